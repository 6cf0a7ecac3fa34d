"""A response taken apart: natural and forced, and what the initial state and the sources make of it."""

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Drive, Element, Signal, Source, Storage, Switching, own_signal
from grader.circuit.network import positions
from grader.circuit.response import Solved, solve
from grader.errors import NotDefined
from grader.values.scalar import ONE
from grader.values.term import Term
from grader.values.waveform import Waveform, number_of


def parts_by_shape(solved: Solved, signal: Signal, index: int) -> tuple[Waveform, Waveform]:
    """The natural and the forced part of a current, voltage, charge or flux on an interval, in global t.

    Raises
    ------
    NotDefined
        If a source has the shape of a natural response (resonance; a dc source on a root of zero): then the parts are
        not told apart.
    """
    if signal.kind in ("power", "energy"):
        raise NotDefined(f"the {signal.kind} is no sum of a natural and a forced part; ask for a current or a voltage")
    waveform = solved.waveform(signal, index)
    reduced = solved.reduced(index)
    driven = {
        _shape(term) for state in reduced.exosystem.states for term in state.terms if _drives(solved, index, term)
    }
    roots = {(root.real, root.imaginary) for root in solved.characteristic(index).roots}
    if driven & roots:
        raise NotDefined(
            "a source has the shape of a natural response here, so that natural and forced part are not told apart"
        )
    forced = tuple(term for term in waveform.terms if _shape(term) in driven)
    natural = tuple(term for term in waveform.terms if _shape(term) not in driven)
    return Waveform(natural, waveform.exact), Waveform(forced, waveform.exact)


def _shape(term: Term) -> tuple[object, object]:
    return term.rate, term.frequency


def _drives(solved: Solved, index: int, term: Term) -> bool:
    """Whether a source delivers such a term: a constant state may stand for nothing but zeros."""
    source = solved.reduced(index).exosystem
    delivered = {column for row in source.outputs.values() for column in row}
    return any(_shape(t) == _shape(term) for column in delivered for t in source.states[column].terms)


def zero_input(solved: Solved, signal: Signal, index: int) -> Waveform:
    """A signal on an interval with every source at zero from its opening on and the states as they were, in global t.

    Raises
    ------
    NotDefined
        If a state has no plain value just before.
    """
    opened = solved.opening(index)
    where = positions(solved.circuit, opened)
    alone = solve(solved.circuit.altered(lambda element: _left_alone(solved, element, where.get(element.name), index)))
    return alone.waveform(signal, 1).delayed(opened)


def _left_alone(solved: Solved, element: Element, where: bool | str | None, index: int) -> Element:
    """An element as it stays: sources at zero, switches where they are, states as just before."""
    if isinstance(element, Source):
        return replace(element, drive=Drive.always(Waveform()))
    if isinstance(element, Switching):
        return element.standing(where)
    if isinstance(element, Storage):
        held = solved.just_before(own_signal(element), index)
        return replace(element, initial=held.number if held.is_number else _approximate(held))
    return element


def _approximate(held: Waveform) -> fmpq:
    if held.is_symbolic:
        raise NotDefined("what the storage elements hold at the switching is no plain value in these letters")
    return number_of(held) * ONE
