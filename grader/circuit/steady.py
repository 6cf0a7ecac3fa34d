"""The steady state that a circuit has been in for all past time: its bounded particular response.

With ``r' = A r + B w``, ``w' = S w`` the steady state is ``r = P w`` where ``P S = A P + B``.  Where A is singular,
some combination of charges (or fluxes) is conserved: it keeps the value it got when the sources were switched on,
long ago, with the circuit at rest.
"""

from collections.abc import Callable

from msgspec import Struct

from grader.circuit import soundness
from grader.circuit.characteristic import characteristic
from grader.circuit.elements import Capacitor, Circuit, Positions, Source
from grader.circuit.elimination import Elimination, Row, add_scaled
from grader.circuit.modal import characteristic_polynomial
from grader.circuit.reduction import Reduced, reduce
from grader.circuit.sources import Exosystem
from grader.errors import CircuitError
from grader.values.scalar import ONE, ZERO, Scalar, is_symbolic, sign
from grader.values.text import listed
from grader.values.waveform import Waveform


class SteadyState(Struct, frozen=True, kw_only=True):
    """The steady state: every independent state as a row over the source states, and what was assumed."""

    reduced: Reduced
    states: tuple[Row, ...]
    assumed: dict[str, str]

    def signal(self, row: Row) -> Waveform:
        """The waveform of a row over unknowns and states, in global t."""
        order = self.reduced.order
        total: Row = {}
        for column, value in self.reduced.free(self.reduced.full(row)).items():
            if column < order:
                add_scaled(total, self.states[column], value)
            else:
                add_scaled(total, {column - order: ONE}, value)
        found = Waveform()
        for column, value in total.items():
            found = found + self.reduced.exosystem.states[column].scaled(value)
        return found


def steady_state(reduced: Reduced) -> SteadyState:
    """Find it; `CircuitError` if a source grows, or a state would grow without bound."""
    _refuse_unsteady_sources(reduced)
    order, source = reduced.order, reduced.exosystem
    width = len(source.matrix)
    # Unknown P[i, k] stands in column i*width + k; the one data column holds the constant.
    one = order * width
    solving = Elimination(range(one))
    for i in range(order):
        for k in range(width):
            row: Row = {}
            for j, value in reduced.derivatives[i].items():
                if j < order:
                    add_scaled(row, {j * width + k: ONE}, value)
                elif j == order + k:
                    add_scaled(row, {one: ONE}, value)
            for m, change in enumerate(source.matrix):
                if k in change:
                    add_scaled(row, {i * width + m: ONE}, -change[k])
            if solving.add(row):
                names = _growing(reduced)
                what = listed([f"the {reduced.circuit.element(name).stores} of {name}" for name in names])
                raise soundness.fault("growth before", names, what=what)
    if solving.free() and source.constant is not None:
        _keep_what_is_conserved(reduced, solving, source.constant, one)
    states: list[Row] = []
    for i in range(order):
        entries = {}
        for k in range(width):
            if i * width + k in solving.solved:
                value = solving.value(i * width + k).get(one, ZERO)
                if value != 0:
                    entries[k] = value
        states.append(entries)
    if any(states) and _grows(reduced):
        raise soundness.unstable_before(reduced.circuit)
    return SteadyState(reduced=reduced, states=tuple(states), assumed=_assumed(reduced, states))


def _grows(reduced: Reduced) -> bool:
    """Whether a natural response grows exponentially (symbols are given the benefit of the doubt)."""
    polynomial = characteristic_polynomial(reduced.derivatives, reduced.order)
    if any(is_symbolic(value) for value in polynomial):
        return False
    return any(sign(root.real) > 0 for root in characteristic(polynomial).roots)


def _refuse_unsteady_sources(reduced: Reduced) -> None:
    source = reduced.exosystem
    for name, output in source.outputs.items():
        for column in output:
            if any(term.rate != 0 or term.power for term in source.states[column].terms):
                raise soundness.fault("unsteady source", (name,))


def dc_gains(circuit: Circuit, where: Positions, row_in: Callable[[Reduced], Row]) -> Row | None:
    """What each source adds to a current or voltage in the dc steady state, for one of what it delivers; None where that is not all.

    ``row_in`` is what is asked, in the equations of the circuit whose sources are left open.
    """
    reduced = reduce(circuit, where, _any_drive(circuit))
    order = reduced.order
    solving = Elimination(range(order))
    if solving.add_all(reduced.derivatives):
        return None
    total: Row = {}
    for column, factor in reduced.free(reduced.full(row_in(reduced))).items():
        add_scaled(total, solving.value(column) if column in solving.solved else {column: ONE}, factor)
    if any(column < order for column in total):  # a charge that nothing can change counts, too
        return None
    return {
        column - order: gain for column, gain in total.items() if (column - order) % 2 == 0
    }  # nothing changes any more


def conserved(reduced: Reduced) -> list[Row]:
    """Combinations of independent states that cannot change: rows l with l A = 0."""
    order = reduced.order
    transposed = Elimination(range(order))
    for j in range(order):
        transposed.add({i: row[j] for i, row in enumerate(reduced.derivatives) if j in row})
    found = []
    for free in transposed.free():
        row: Row = {free: ONE}
        for column, own in transposed.solved.items():
            if free in own:
                row[column] = -own[free]
        found.append(row)
    return found


def conserved_count(reduced: Reduced) -> int:
    """How many independent charges and fluxes nothing can change (rows l with l A = 0 and l B = 0).

    Where all states are of that sort none is counted: a capacitor left alone is a circuit of first order.
    """
    changing = Elimination(range(reduced.order + len(reduced.exosystem.matrix)))
    changing.add_all(reduced.derivatives)
    count = reduced.order - len(changing.solved)
    return count if count < reduced.order else 0


def _growing(reduced: Reduced) -> list[str]:
    """States in a conserved combination that the sources drive all the same (or all, in resonance)."""
    names: dict[str, None] = {}
    for row in conserved(reduced):
        total: Row = {}
        for i, value in row.items():
            add_scaled(total, reduced.derivatives[i], value)
        if total:
            names.update(dict.fromkeys(reduced.independent[i] for i in row))
    return list(names) or list(reduced.independent)


def _keep_what_is_conserved(reduced: Reduced, solving: Elimination, constant: int, one: int) -> None:
    width = len(reduced.exosystem.matrix)
    first = reduced.columns.first_source_column
    for row in conserved(reduced):
        equation: Row = {}
        for i, value in row.items():
            add_scaled(equation, {i * width + constant: ONE}, value)
            jump = reduced.jump.get(reduced.columns.derivatives[reduced.independent[i]], {})
            switched_on: Scalar = jump.get(first + constant, ZERO)
            if switched_on != 0:
                add_scaled(equation, {one: ONE}, -value * switched_on)
        solving.add(equation)


def _assumed(reduced: Reduced, states: list[Row]) -> dict[str, str]:
    """What is taken for granted about storage elements that nothing can charge before the first action."""
    columns = reduced.columns
    alone = [
        name
        for name, state in zip(reduced.independent, states, strict=True)
        if not state and not reduced.unknowns[columns.derivatives[name]]
    ]
    if not alone:
        return {}
    try:
        general = reduce(reduced.circuit, reduced.where, _any_drive(reduced.circuit))
    except CircuitError:
        general = reduced
    found = {}
    for name in alone:
        if general.unknowns[columns.derivatives[name]]:
            continue  # a source that happens to deliver nothing could charge it
        if isinstance(reduced.circuit.element(name), Capacitor):
            found[name] = f"before the first action no current can reach {name}, so it is taken as uncharged"
        else:
            found[name] = f"before the first action no voltage can reach {name}, so it is taken to carry no current"
    return found


def _any_drive(circuit: Circuit) -> Exosystem:
    """Sources that deliver anything: for each a value and its rate of change, both left open."""
    names = [e.name for e in circuit.elements if isinstance(e, Source)]
    return Exosystem(
        matrix=tuple(row for k in range(len(names)) for row in ({2 * k + 1: ONE}, {})),
        states=(),
        outputs={name: {2 * k: ONE} for k, name in enumerate(names)},
        factors=(),
        constant=None,
    )
