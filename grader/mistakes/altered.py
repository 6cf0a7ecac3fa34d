"""Circuits altered on purpose: sources turned or left out, switches read wrongly, other start values and resistances."""

from collections.abc import Mapping

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import (
    ChangeoverSwitch,
    Circuit,
    DependentSource,
    Drive,
    Element,
    IdealTransformer,
    Passive,
    Source,
    Storage,
    Switch,
    Switching,
)
from grader.values.scalar import Scalar
from grader.values.waveform import Waveform, scalar_of


def with_source_times(circuit: Circuit, name: str, factor: Scalar) -> Circuit:
    """One source's delivery multiplied: by 0 left out, by -1 reversed."""

    def alter(element: Element) -> Element:
        if element.name != name or not isinstance(element, Source):
            return element
        pieces = tuple((start, waveform.scaled(factor)) for start, waveform in element.drive.pieces)
        return replace(element, drive=Drive(pieces=pieces))

    return circuit.altered(alter)


def with_gain_times(circuit: Circuit, name: str, factor: Scalar) -> Circuit:
    """One dependent source's gain multiplied: by 0 it delivers nothing, by -1 it is reversed."""
    return circuit.altered(
        lambda e: replace(e, gain=e.gain * factor) if isinstance(e, DependentSource) and e.name == name else e
    )


def with_ratio(circuit: Circuit, name: str, ratio: Scalar) -> Circuit:
    """One ideal transformer with another ratio of its turns."""
    return circuit.altered(
        lambda e: replace(e, ratio=ratio) if isinstance(e, IdealTransformer) and e.name == name else e
    )


def with_switches_reversed(circuit: Circuit) -> Circuit | None:
    """Every switch read the wrong way: closing for opening, the throws exchanged.  None where none acts."""

    def alter(element: Element) -> Element:
        if isinstance(element, Switch) and element.actions:
            actions = tuple((time, not closed) for time, closed in element.actions)
            return element.standing(not element.before, actions)
        if isinstance(element, ChangeoverSwitch) and len(element.actions) == 1:
            time, to = element.actions[0]
            return element.standing(to, ((time, element.before),))
        return element

    altered = circuit.altered(alter)
    return altered if altered != circuit else None


def with_switch_left(circuit: Circuit, name: str) -> Circuit:
    """One switch, plain or changeover, that never acts."""
    return circuit.altered(lambda e: e.standing(e.before) if isinstance(e, Switching) and e.name == name else e)


def with_storage_times(circuit: Circuit, factor: Scalar) -> Circuit:
    """Every capacitance or inductance multiplied: the time constant is, too, and nothing else of the response."""
    return circuit.altered(lambda e: replace(e, value=e.value * factor) if isinstance(e, Storage) else e)


def with_values_exchanged(circuit: Circuit, one: Passive, other: Passive) -> Circuit:
    """Two resistors, or two capacitors, with each other's values."""
    swapped = {one.name: replace(one, value=other.value), other.name: replace(other, value=one.value)}
    return circuit.altered(lambda element: swapped.get(element.name, element))


def started(circuit: Circuit, start: fmpq, states: Mapping[str, Waveform]) -> Circuit:
    """The circuit from one of its actions on, with its storage elements in given states just before.

    Parameters
    ----------
    start : fmpq
        The instant of the action (seconds).
    states : mapping
        Volts of capacitors, amperes of inductors, by name.
    """

    def alter(element: Element) -> Element:
        if isinstance(element, Storage) and element.name in states:
            return replace(element, initial=scalar_of(states[element.name]))
        if isinstance(element, Switching):
            passed = [position for time, position in element.actions if time < start]
            return element.standing([element.before, *passed][-1], tuple(a for a in element.actions if a[0] >= start))
        if isinstance(element, Source):
            pieces = element.drive.pieces
            before = [waveform for since, waveform in pieces if since is None or since < start]
            steps = tuple(piece for piece in pieces if piece[0] is not None and piece[0] >= start)
            return replace(element, drive=Drive(pieces=((None, before[-1]), *steps)))
        return element

    return circuit.altered(alter)
