"""The circuit at one instant as a resistive circuit: dc steady state, the first instant, sources off, and wrong ones.

Storage elements, sources and switches are treated as asked: a capacitor open (dc steady state) or as a voltage source
(the first instant), an inductor short or as a current source, a source off, scaled, shorted or removed, a switch in
another position.  The same routine serves the worked solution, the resistance seen, and circuits solved wrongly on
purpose.
"""

from collections.abc import Mapping

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit import signals, soundness
from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    Drive,
    Element,
    Nodes,
    Positions,
    Signal,
    Source,
    Switch,
    VoltageSource,
)
from grader.circuit.elimination import Elimination, Row, add_scaled
from grader.circuit.network import Equation, Islands, UnknownIndex, branch, equations, layout, positions
from grader.circuit.sources import drive_at
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import Waveform

_NOTHING = Waveform()


class Substitution(Struct, frozen=True, kw_only=True):
    """What stands in for an element.

    ``kind`` is ``"open"``, ``"short"``, ``"off"`` (a source that delivers zero), ``"voltage"`` or ``"current"`` (an
    ideal source of that ``value``, in place of the element) or ``"scaled"`` (what a source delivers times ``factor``).
    """

    kind: str
    value: Waveform = _NOTHING
    factor: Scalar = ONE


OPEN = Substitution(kind="open")
SHORT = Substitution(kind="short")
OFF = Substitution(kind="off")


def as_voltage(value: Waveform) -> Substitution:
    """An ideal voltage source (V) in place of the element."""
    return Substitution(kind="voltage", value=value)


def as_current(value: Waveform) -> Substitution:
    """An ideal current source (A) in place of the element."""
    return Substitution(kind="current", value=value)


def scaled(factor: Scalar) -> Substitution:
    """A source that delivers that multiple of what it does (-1: reversed)."""
    return Substitution(kind="scaled", factor=factor)


def dc_roles(circuit: Circuit) -> dict[str, Substitution]:
    """Capacitors open, inductors short."""
    return {
        element.name: OPEN if element.stores == "voltage" else SHORT for element in circuit.elements if element.stores
    }


def held_roles(circuit: Circuit, held: Mapping[str, Waveform]) -> dict[str, Substitution]:
    """Capacitors as voltage sources and inductors as current sources of the values given, by name."""
    return {
        name: as_voltage(value) if circuit.element(name).stores == "voltage" else as_current(value)
        for name, value in held.items()
    }


def sources_off(circuit: Circuit) -> dict[str, Substitution]:
    """Every independent source off: voltage sources short, current sources open."""
    return {e.name: OFF for e in circuit.elements if isinstance(e, Source)}


class ResistiveCircuit(Struct, frozen=True, kw_only=True):
    """A resistive circuit solved."""

    circuit: Circuit
    """As stated, before any treatment."""
    columns: UnknownIndex
    where: Positions
    solution: Elimination
    values: tuple[Waveform, ...]
    islands: Islands
    treated: Circuit

    def value(self, signal: Signal) -> Waveform:
        """A signal's value.

        Raises
        ------
        NotDefined
            If the laws leave it open (two shorts side by side, a floating part).
        """
        return signals.evaluate(self.circuit, self, signal, self.read)

    def read(self, row: Row) -> Waveform:
        """The value of a row over unknowns."""
        soundness.refuse_floating(self.islands, self.columns, row)
        total: Row = {}
        for column, factor in row.items():
            add_scaled(total, self.solution.solved.get(column, {}), -factor)
            add_scaled(total, {column: ONE}, factor)
        found = Waveform()
        for column, factor in total.items():
            if column in self.columns.unknowns:
                error = soundness.undetermined(self.treated, self.columns, self.where, self.solution, column)
                raise NotDefined(str(error))
            found = found + self.values[column - self.columns.first_source_column].scaled(factor)
        return found

    def state(self, name: str) -> Row:
        """The voltage of a capacitor or the current of an inductor, as a row."""
        element = self.circuit.element(name)
        return (
            signals.voltage_row(self, element) if isinstance(element, Capacitor) else signals.current_row(self, element)
        )


def dc(
    circuit: Circuit,
    when: fmpq | None,
    treat: Mapping[str, Substitution] | None = None,
    *,
    sources_at: fmpq | None = None,
) -> ResistiveCircuit:
    """Solve the circuit as a resistive one.

    Parameters
    ----------
    when : fmpq or None
        Switches and sources as from this instant on (seconds); None: before the first action.
    treat : mapping of str to Substitution
        What stands in for the elements named.  Capacitors not named are open, inductors not named are short.
    sources_at : fmpq or None
        Sources take the value they have at this time (seconds); None: the value they settle to.

    Raises
    ------
    CircuitError
        If the laws contradict each other.
    NotDefined
        If a source settles to no value and no time is given.
    """
    treatment = dc_roles(circuit) | dict(treat or {})
    where = dict(positions(circuit, when))
    values: dict[str, Waveform] = {}
    elements: list[Element] = []
    for element in circuit.elements:
        stand_in = _stand_in(circuit, element, treatment.get(element.name), where)
        if stand_in is not None:
            elements.append(stand_in)
        if isinstance(stand_in, Source):
            values[element.name] = _delivered(element, treatment.get(element.name), when, sources_at)
    treated = replace(circuit, elements=tuple(elements))
    columns = layout(treated, where)
    first = columns.first_source_column
    drives: dict[str, Row] = {name: {first + k: ONE} for k, name in enumerate(values)}
    stated, islands = equations(treated, columns, where, drives)
    solution = Elimination(columns.unknowns)
    delivered = tuple(values.values())
    for equation in stated:
        left = solution.add(equation.row)
        if left and signals.applied(left, delivered, first).terms:
            raise _contradiction(treated, columns, where, stated)
    return ResistiveCircuit(
        circuit=circuit,
        columns=columns,
        where=where,
        solution=solution,
        values=delivered,
        islands=islands,
        treated=treated,
    )


def _stand_in(
    circuit: Circuit, element: Element, treatment: Substitution | None, where: dict[str, bool | str]
) -> Element | None:
    """The element that the treatment makes of it; None for what is left out (couplings say nothing at rest)."""
    if isinstance(element, CoupledInductors):
        return None
    if treatment is None or treatment.kind == "scaled":
        return element
    between: Nodes = branch(circuit, element, where)
    if treatment.kind in ("voltage", "current"):
        kind = VoltageSource if treatment.kind == "voltage" else CurrentSource
        return kind(name=element.name, between=between, drive=Drive(pieces=()))
    if treatment.kind == "off":
        closed = isinstance(element, (Source, DependentSource)) and element.delivers == "voltage"
    else:
        closed = treatment.kind == "short"
    where[element.name] = closed
    return Switch(name=element.name, between=between, before=closed, actions=())


def _delivered(
    element: Element, treatment: Substitution | None, when: fmpq | None, sources_at: fmpq | None
) -> Waveform:
    if treatment is not None and treatment.kind in ("voltage", "current"):
        return treatment.value
    assert isinstance(element, Source)
    waveform = drive_at(element.drive, when)
    value = waveform.limit() if sources_at is None else waveform.at(sources_at)
    if value is None:
        raise NotDefined(f"what {element.name} delivers does not settle, so there is no dc value")
    return value if treatment is None else value.scaled(treatment.factor)


def _contradiction(circuit: Circuit, columns: UnknownIndex, where: Positions, stated: list[Equation]) -> CircuitError:
    """Solve again with every statement marked, to name those whose combination fails."""
    tags = columns.first_source_column + len(circuit.elements)
    again = Elimination(columns.unknowns)
    for index, equation in enumerate(stated):
        left = again.add(equation.row | {tags + index: ONE})
        if left and any(column < tags for column in left):
            return soundness.contradiction(circuit, where, [stated[c - tags].states for c in left if c >= tags])
    raise AssertionError("the same statements contradict each other the second time")
