"""What a signal is in terms of the unknowns: rows for currents and voltages, products for power and energy."""

from collections.abc import Callable, Sequence
from typing import Protocol

from flint import fmpq
from msgspec import Struct

from grader.circuit.elements import Capacitor, Circuit, CoupledInductors, Element, Inductor, Positions, Signal, Storage
from grader.circuit.elimination import Row, add_scaled
from grader.circuit.modal import NOISE
from grader.circuit.network import UnknownIndex, branch, difference
from grader.circuit.reduction import Reduced
from grader.errors import CircuitError
from grader.values.scalar import HALF, ONE, Scalar, to_float
from grader.values.waveform import Waveform

Reader = Callable[[Row], Waveform]
"""Gives the waveform (or the value at an instant) of a row over unknowns and states."""


class Impulse(Struct, frozen=True, kw_only=True):
    """A charge (C) that passes through an element, or a flux linkage (Wb) across it, at the instant of an action."""

    element: str
    kind: str
    time: fmpq
    amount: Waveform


class Frame(Protocol):
    """What signals need of a solved circuit."""

    @property
    def circuit(self) -> Circuit: ...  # noqa: D102
    @property
    def columns(self) -> UnknownIndex: ...  # noqa: D102
    @property
    def where(self) -> Positions: ...  # noqa: D102
    def state(self, name: str) -> Row: ...  # noqa: D102


def evaluate(circuit: Circuit, reduced: Frame, signal: Signal, read: Reader) -> Waveform:
    """A signal, given how rows are read.

    Parameters
    ----------
    signal : Signal
        Power is v·i, absorbed; energy is ½Li², ½Cv² (of a coupling: of both coils with their mutual part); charge
        is Cv, flux linkage is Li plus what the coupled coils add.

    Raises
    ------
    CircuitError
        If the circuit has no such signal.
    NotDefined
        If it has no value here.
    """
    if not isinstance(signal.of, str):
        return read(_between(reduced, signal.of[0], signal.of[1]))
    element = _element(circuit, signal)
    match signal.kind, element:
        case ("current", Inductor()) | ("voltage", Capacitor()):
            return read(reduced.state(element.name))  # what is given at the first action counts, whatever was before
        case "current", _:
            return read(current_row(reduced, element))
        case "voltage", _:
            return read(voltage_row(reduced, element))
        case "power", _:
            factors = (Signal(kind=kind, of=element.name) for kind in ("voltage", "current"))
            across, through = (evaluate(circuit, reduced, factor, read) for factor in factors)
            return across * through
        case "energy", CoupledInductors(inductors=(first, second)):
            one, two = (read(reduced.state(name)) for name in (first, second))
            own = _energy(one, circuit, first) + _energy(two, circuit, second)
            return own + (one * two).scaled(element.mutual)
        case "energy", Capacitor() | Inductor():
            return _energy(read(reduced.state(element.name)), circuit, element.name)
        case "charge", Capacitor():
            return read(_scaled(reduced.state(element.name), element.value))
        case "flux", Inductor():
            return read(flux_row(circuit, reduced, element))
    raise CircuitError(f"'{element.name}' has no {signal.kind}: {_WHO_HAS[signal.kind]}", (element.name,))


_WHO_HAS = {
    "current": "ask for the current of an element",
    "voltage": "ask for the voltage of an element or of a node pair",
    "power": "ask for the power of an element with two terminals",
    "energy": "only inductors, capacitors and couplings store energy",
    "charge": "only capacitors hold a charge",
    "flux": "only inductors link a flux",
}


def acting_on(circuit: Circuit, reduced: Reduced, signal: Signal | None) -> Reduced:
    """The state equations that a signal obeys, without states that do not act on it; all where none is named."""
    rows: list[Row] = []

    def noted(row: Row) -> Waveform:
        rows.append(row)
        return Waveform()

    if signal is not None:
        evaluate(circuit, reduced, signal, noted)
    return reduced.acting_on(rows)


def _element(circuit: Circuit, signal: Signal) -> Element:
    try:
        return circuit.element(str(signal.of))
    except KeyError:
        raise CircuitError(f"there is no element '{signal.of}' in the circuit to ask the {signal.kind} of") from None


def _between(reduced: Frame, first: str, second: str) -> Row:
    for node in (first, second):
        if node not in reduced.columns.nodes and node != reduced.circuit.ground:
            raise CircuitError(f"there is no node '{node}' in the circuit to ask a voltage of")
    return difference(reduced.columns, (first, second))


def current_row(reduced: Frame, element: Element) -> Row:
    """An element's current."""
    branch(reduced.circuit, element, reduced.where)  # refuses a coupling
    return {reduced.columns.currents[element.name]: ONE}


def voltage_row(reduced: Frame, element: Element) -> Row:
    """An element's voltage."""
    return difference(reduced.columns, branch(reduced.circuit, element, reduced.where))


def flux_row(circuit: Circuit, reduced: Frame, inductor: Inductor) -> Row:
    """An inductor's flux linkage, its own and that of coupled currents."""
    row = _scaled(reduced.state(inductor.name), inductor.value)
    for other, mutual in circuit.coupled_to(inductor.name).items():
        add_scaled(row, reduced.state(other), mutual)
    return row


def _scaled(row: Row, factor: Scalar) -> Row:
    return {column: value * factor for column, value in row.items()}


def _energy(state: Waveform, circuit: Circuit, name: str) -> Waveform:
    element = circuit.element(name)
    assert isinstance(element, Storage)
    return (state * state).scaled(element.value * HALF)


def impulses(reduced: Reduced, time: fmpq, arriving: Sequence[Waveform]) -> list[Impulse]:
    """The charges and fluxes that pass at the instant an interval opens.

    Parameters
    ----------
    arriving : sequence of Waveform
        States just before, then source states just after.
    """
    if not reduced.jump:
        return []
    found = []
    first = reduced.columns.state_columns.start
    for element in reduced.circuit.elements:
        if isinstance(element, CoupledInductors):
            continue
        for kind, row in (("charge", current_row(reduced, element)), ("flux", voltage_row(reduced, element))):
            total: Row = {}
            for column, value in row.items():
                add_scaled(total, reduced.jump.get(column, {}), value)
            amount = applied(total, arriving, first)
            if amount.terms:
                found.append(Impulse(element=element.name, kind=kind, time=time, amount=amount))
    return found


def applied(full: Row, values: Sequence[Waveform], first: int) -> Waveform:
    """A full row applied to values of the states and source states; `first` is the column of the first."""
    parts = [values[column - first].scaled(factor) for column, factor in full.items()]
    total = Waveform()
    for part in parts:
        total = total + part
    if total.exact:
        return total
    size = max(
        (abs(to_float(c)) for part in parts for term in part.terms for c in (term.cosine, term.sine)), default=0.0
    )
    kept = (term for term in total.terms if max(abs(to_float(term.cosine)), abs(to_float(term.sine))) >= NOISE * size)
    return Waveform(tuple(kept), exact=False)
