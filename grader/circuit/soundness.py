"""What is wrong with a circuit that has no unique finite response, and with which elements.

All decisions come from exact elimination; here they are only put into words, those of ``soundness.toml``.
"""

import tomllib
from collections.abc import Iterable, Sequence
from pathlib import Path

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    IdealOpAmp,
    Inductor,
    Positions,
    Resistor,
    Storage,
    Switch,
)
from grader.circuit.elimination import Elimination, Row
from grader.circuit.network import Islands, UnknownIndex
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import is_symbolic, scalar_text, sign
from grader.values.text import listed

_SAYS: dict[str, str] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))


def fault(key: str, names: Sequence[str], **words: str) -> CircuitError:
    """The error for elements of these names, in the words of that key."""
    return CircuitError(_SAYS[key].format(names=listed(names), **words), tuple(names))


def refuse_floating(groups: Islands, columns: UnknownIndex, row: Row) -> None:
    """Refuse a combination of voltages that depends on where a floating part stands."""
    for nodes in groups:
        held = [columns.nodes[node] for node in nodes]
        if sum((row[c] for c in held if c in row), start=0) != 0:
            raise NotDefined(
                f"nothing refers {_listed(_quoted(nodes), 'node', 'nodes')} to the rest of the circuit here, so a voltage "
                "across the gap is not defined; ask for one between nodes of the same part"
            )


def contradiction(circuit: Circuit, where: Positions, statements: Iterable[str]) -> CircuitError:
    """The error for laws that cannot all hold, given the statements whose combination fails."""
    stated = set(statements)
    involved = [element for element in circuit.elements if element.name in stated]
    names = [element.name for element in involved]
    amplifiers = [e.name for e in involved if isinstance(e, IdealOpAmp)]
    dependent = [e.name for e in involved if isinstance(e, DependentSource)]
    driven = [e.name for e in involved if isinstance(e, CurrentSource)]
    opened = [e.name for e in involved if isinstance(e, Switch) and not where[e.name]]
    if amplifiers:
        return fault("inputs apart", names, amplifiers=_listed(amplifiers, "op amp", "op amps"))
    if dependent:
        return fault("gain", names, sources=_listed(dependent, "the dependent source", "the dependent sources"))
    if len(driven) > 1:
        return fault("currents in series", names, sources=listed(driven))
    if driven and opened:
        are = "is" if len(opened) == 1 else "are"
        return fault("switched off", names, source=driven[0], switches=_listed(opened, "switch", "switches"), are=are)
    return fault("no path", names, source=driven[0]) if driven else fault("voltage loop", names)


def undetermined(
    circuit: Circuit, columns: UnknownIndex, where: Positions, joint: Elimination, free: int
) -> CircuitError:
    """The error for laws that leave a current or a voltage open; `free` is the column left undetermined."""
    moving = [free, *(column for column, row in joint.solved.items() if free in row)]
    nodes, currents, states = (
        [name for name, column in named.items() if column in moving]
        for named in (columns.nodes, columns.currents, columns.derivatives)
    )
    if nodes:
        touching = [
            element.name
            for element in circuit.elements
            if set().union(*element.branches(circuit.ground, where).values()) & set(nodes)
        ]
        return fault("open voltage", touching, nodes=_listed(_quoted(nodes), "node", "nodes"))
    return fault("current loop", currents) if currents else fault("perfect coupling", states)


def unstable_before(circuit: Circuit) -> CircuitError:
    """The error for a driven circuit whose natural response grows before the first action."""
    names = [
        element.name
        for element in circuit.elements
        if isinstance(element, (DependentSource, IdealOpAmp))
        or (isinstance(element, Resistor) and not is_symbolic(element.value) and sign(element.value) < 0)
    ]
    return fault("unstable before", names)


def refuse_impossible(circuit: Circuit) -> None:
    """Refuse elements that no circuit can hold.

    Raises
    ------
    CircuitError
        For an inductance or capacitance that is not positive, an op amp without two inputs, a coupling of more than
        one, or a control that is not there.
    """
    for element in circuit.elements:
        own = (element.name,)
        if isinstance(element, Storage) and not is_symbolic(element.value) and sign(element.value) <= 0:
            what = "a capacitance" if isinstance(element, Capacitor) else "an inductance"
            raise fault("not positive", own, what=what, value=scalar_text(element.value))
        if isinstance(element, IdealOpAmp) and element.non_inverting == element.inverting:
            raise fault("inputs joined", own, node=element.inverting)
        if isinstance(element, CoupledInductors):
            _refuse_impossible_coupling(circuit, element)
        if isinstance(element, DependentSource) and isinstance(element.control, str):
            named = {e.name for e in circuit.elements if not isinstance(e, CoupledInductors)}
            if element.control not in named:
                raise fault("no control", own, control=element.control)


def _refuse_impossible_coupling(circuit: Circuit, coupling: CoupledInductors) -> None:
    coils = [e for e in circuit.elements if isinstance(e, Inductor) and e.name in coupling.inductors]
    if len(coils) != 2:
        raise fault("no two coils", (coupling.name,), coils=listed(coupling.inductors))
    excess = coupling.mutual * coupling.mutual - coils[0].value * coils[1].value
    if not is_symbolic(excess) and sign(excess) > 0:
        raise fault("coupled too closely", (coupling.name,), coils=listed(coupling.inductors))


def _quoted(names: Iterable[str]) -> list[str]:
    return [f"'{name}'" for name in names]


def _listed(names: list[str], one: str, many: str) -> str:
    """``R1``, ``R1 and R2``, ``R1, R2 and R3``, after the word for one or for many."""
    return f"{one if len(names) == 1 else many} {listed(names)}"
