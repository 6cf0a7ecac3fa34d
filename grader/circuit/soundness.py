"""The sentences for circuits that have no unique finite response: what is wrong, and with which elements.

All decisions come from exact elimination; here they are only put into words.
"""

from collections.abc import Iterable

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
from grader.circuit.network import Equation, UnknownIndex, grouped
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import is_symbolic, scalar_text, sign
from grader.values.text import listed


def islands(
    circuit: Circuit, columns: UnknownIndex, where: Positions, stated: Iterable[Equation]
) -> tuple[tuple[str, ...], ...]:
    """Groups of nodes whose voltages among themselves are fixed but nothing refers to ground.

    Elements that say nothing about their voltage (open switches, current sources, op amp outputs) do not
    refer one node to another.  A group is such an island only where no law notices all its voltages shifted.
    """
    named = (nodes for element in circuit.elements for nodes in element.refers(where, circuit.ground))
    group = grouped(columns.nodes, named, circuit.ground)
    members: dict[str, list[str]] = {}
    for node in columns.nodes:
        members.setdefault(group[node], []).append(node)
    members.pop(circuit.ground, None)
    rows = [equation.row for equation in stated]
    found = []
    for nodes in members.values():
        held = [columns.nodes[node] for node in nodes]
        if all(sum((row[c] for c in held if c in row), start=0) == 0 for row in rows):
            found.append(tuple(nodes))
    return tuple(found)


def refuse_floating(groups: tuple[tuple[str, ...], ...], columns: UnknownIndex, row: Row) -> None:
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
    names = _elements_among(circuit, statements)
    involved = [circuit.element(name) for name in names]
    amplifiers = [e.name for e in involved if isinstance(e, IdealOpAmp)]
    dependent = [e.name for e in involved if isinstance(e, DependentSource)]
    driven = [e.name for e in involved if isinstance(e, CurrentSource)]
    opened = [e.name for e in involved if isinstance(e, Switch) and not where[e.name]]
    if amplifiers:
        reason = (
            f"nothing lets {_listed(amplifiers, 'op amp', 'op amps')} hold its inputs at one voltage "
            f"(see {_listed(names)}); lead its output back to its inverting input"
        )
    elif dependent:
        reason = (
            f"with its gain {_listed(dependent, 'the dependent source', 'the dependent sources')} leaves no finite "
            f"solution for {_listed(names)}; change the gain or a resistance"
        )
    elif len(driven) == 1 and opened:
        reason = (
            f"current source {driven[0]} has no path for its current while {_listed(opened, 'switch', 'switches')} "
            f"{'is' if len(opened) == 1 else 'are'} open; give it one"
        )
    elif len(driven) == 1:
        reason = f"current source {driven[0]} has no path for its current; give it one"
    elif driven:
        reason = (
            f"current sources {_listed(driven)} are in series and their currents do not agree, counted in one "
            "direction; put a resistance beside one of them or change a source"
        )
    else:
        reason = (
            f"{_listed(names)} form a loop whose voltages do not add up to zero, so its current would be infinite; "
            "put a resistance into the loop or change a source"
        )
    return CircuitError(reason, tuple(names))


def undetermined(
    circuit: Circuit, columns: UnknownIndex, where: Positions, joint: Elimination, free: int
) -> CircuitError:
    """The error for laws that leave a current or a voltage open; `free` is the column left undetermined."""
    moving = [free, *(column for column, row in joint.solved.items() if free in row)]
    currents = [name for name, column in columns.currents.items() if column in moving]
    nodes = [name for name, column in columns.nodes.items() if column in moving]
    if nodes:
        touching = [
            element.name
            for element in circuit.elements
            if set().union(*element.branches(circuit.ground, where).values()) & set(nodes)
        ]
        return CircuitError(
            f"the voltage of {_listed(_quoted(nodes), 'node', 'nodes')} (at {_listed(touching)}) is not determined: "
            "no resistance, source or feedback fixes it; connect it or give it a path to ground",
            tuple(touching),
        )
    if not currents:
        states = [name for name, column in columns.derivatives.items() if column in moving]
        return CircuitError(
            f"how the current divides among {_listed(states)} is not determined, because nothing but their perfect "
            "coupling holds them together; take a coupling below one, or put a resistance in line",
            tuple(states),
        )
    return CircuitError(
        f"{_listed(currents)} form a loop without resistance in which any current could flow; "
        "put a resistance into the loop or leave one of them out",
        tuple(currents),
    )


def unbounded_impulse(columns: UnknownIndex, constraint: Row) -> CircuitError:
    """The error for an action that forces more than a finite jump."""
    names = [name for name, column in columns.states.items() if column in constraint]
    return CircuitError(
        f"the action forces an impulse where {_listed(names)} cannot take one, so there is no finite response; "
        "put a resistance beside the elements named",
        tuple(names),
    )


def undetermined_jump(names: list[str]) -> CircuitError:
    """The error for an action after which the states are open."""
    return CircuitError(
        f"how charge or flux divides among {_listed(names)} at the action is not determined; add a resistance",
        tuple(names),
    )


def no_steady_state(circuit: Circuit, names: list[str]) -> CircuitError:
    """The error for a circuit that cannot have been at rest before the first action."""
    what = _listed(
        [
            f"the voltage of {name}" if isinstance(circuit.element(name), Capacitor) else f"the current of {name}"
            for name in names
        ]
    )
    return CircuitError(
        f"there is no steady state before the first action: {what} would have grown without bound; "
        "give initial values, or a path that limits the growth",
        tuple(names),
    )


def unstable_before(circuit: Circuit) -> CircuitError:
    """The error for a driven circuit whose natural response grows before the first action."""
    names = [
        element.name
        for element in circuit.elements
        if isinstance(element, (DependentSource, IdealOpAmp))
        or (isinstance(element, Resistor) and not is_symbolic(element.value) and sign(element.value) < 0)
    ]
    return CircuitError(
        f"there is no steady state before the first action: the natural response grows because of {_listed(names)}; "
        "give initial values",
        tuple(names),
    )


def unsteady_source(name: str) -> CircuitError:
    """The error for a source that grows or decays for ever before the first action."""
    return CircuitError(
        f"{name} has been growing or decaying for all past time, so there is no steady state before the first action; "
        "let it start with u(t), or give a step",
        (name,),
    )


def refuse_impossible(circuit: Circuit) -> None:
    """Refuse elements that no circuit can hold.

    Raises
    ------
    CircuitError
        For an inductance or capacitance that is not positive, an op amp without two inputs, a coupling of more than
        one, or a control that is not there.
    """
    for element in circuit.elements:
        if isinstance(element, Storage) and not is_symbolic(element.value) and sign(element.value) <= 0:
            raise CircuitError(
                f"{element.name} is {'a capacitance' if isinstance(element, Capacitor) else 'an inductance'} of "
                f"{scalar_text(element.value)}; it must be positive",
                (element.name,),
            )
        if isinstance(element, IdealOpAmp) and element.non_inverting == element.inverting:
            raise CircuitError(
                f"both inputs of {element.name} are at node '{element.inverting}', so nothing determines its output; "
                "connect them to two nodes",
                (element.name,),
            )
        if isinstance(element, CoupledInductors):
            _refuse_impossible_coupling(circuit, element)
        if isinstance(element, DependentSource) and isinstance(element.control, str):
            named = {e.name for e in circuit.elements if not isinstance(e, CoupledInductors)}
            if element.control not in named:
                raise CircuitError(
                    f"{element.name} is controlled by '{element.control}', which has no voltage or current here; name "
                    "an element of the circuit",
                    (element.name,),
                )


def _refuse_impossible_coupling(circuit: Circuit, coupling: CoupledInductors) -> None:
    coils = [e for e in circuit.elements if isinstance(e, Inductor) and e.name in coupling.inductors]
    if len(coils) != 2:
        raise CircuitError(
            f"{coupling.name} couples {_listed(list(coupling.inductors))}; it must name two inductors of the circuit",
            (coupling.name,),
        )
    excess = coupling.mutual * coupling.mutual - coils[0].value * coils[1].value
    if not is_symbolic(excess) and sign(excess) > 0:
        raise CircuitError(
            f"{coupling.name} couples {_listed(list(coupling.inductors))} by more than one: the mutual inductance may be at "
            "most the root of the product of their inductances",
            (coupling.name,),
        )


def _elements_among(circuit: Circuit, statements: Iterable[str]) -> list[str]:
    stated = set(statements)
    return [element.name for element in circuit.elements if element.name in stated]


def _quoted(names: Iterable[str]) -> list[str]:
    return [f"'{name}'" for name in names]


def _listed(names: list[str], one: str = "", many: str = "") -> str:
    """``R1``, ``R1 and R2``, ``R1, R2 and R3``, after the word for one or for many."""
    word = one if len(names) == 1 else many
    return f"{word} {listed(names)}".strip()
