"""What an interval shares with another one: the same sources act in the same way in the end, the same resistance is seen.

Whoever has slipped there keeps the slip, and is charged for it once.
"""

from collections.abc import Iterator
from contextlib import suppress
from functools import partial

from grader.circuit.elimination import Row
from grader.circuit.network import instant_of, positions
from grader.circuit.resistance import resistance_seen, storage_combination
from grader.circuit.steady import dc_gains
from grader.errors import CircuitError, NotDefined
from grader.problem import Item
from grader.quantities.finding import Find
from grader.quantities.links import CURRENT_AND_VOLTAGE, row_of
from grader.quantities.question import Question
from grader.quantities.rules import Rule
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import constant


def from_other_interval(question: Question, find: str) -> Iterator[Rule]:
    """The nearest earlier answer on another interval that this one has in common with it, by the factor between them."""
    for item in question.earlier(find):
        place = "in common", find, item.id, question.item.signal, question.item.after, question.item.by
        factor = question.once(place, partial(_in_common, question, item, find))
        if factor is not None:
            says = "This follows from your own answer for another interval, with which this one has it in common."
            yield Rule(formula="k*x", uses=(("x", item.id),), given=(("k", constant(factor)),), says=says)
            return


def _in_common(question: Question, item: Item, find: str) -> Scalar | None:
    """`in_common` for an item's answer on another interval; None where it is about something else."""
    with suppress(NotDefined):
        alike = question.about(item) == 1 if find == Find.FINAL else item.by == question.item.by
        return in_common(question, question.index_of(item), find) if alike else None
    return None


def in_common(question: Question, there: int, find: str) -> Scalar | None:
    """The factor from an answer on another interval to that on the one asked; None where they have nothing in common."""
    with suppress(NotDefined, CircuitError):
        if question.index == there:
            return None
        if find == Find.FINAL:
            return ONE if _same_end(question, there) else None
        if find in (Find.TAU, Find.SEEN):
            ratio = _tau_ratio(question, there)
            return ratio if ratio is None or find == Find.TAU else ONE
    return None


def _same_end(question: Question, there: int) -> bool:
    """Whether the signal asked tends to the same on another interval, every source having the same share in it."""
    ends = [question.solved.final(question.signal, index) for index in (question.index, there)]
    if question.signal.kind not in CURRENT_AND_VOLTAGE or not ends[0].terms or ends[0] != ends[1]:
        return False
    gains = [_gains(question, index) for index in (question.index, there)]
    return gains[0] is not None and gains[0] == gains[1]


def _gains(question: Question, index: int) -> Row | None:
    """What each source adds to the signal asked in the end of an interval."""
    where = positions(question.circuit, instant_of(question.circuit, index))
    return dc_gains(question.circuit, where, partial(row_of, question.circuit, question.signal))


def _tau_ratio(question: Question, there: int) -> Scalar | None:
    """How many times the time constant of another interval the one asked is, where what stores energy sees the same resistance in both."""
    circuit, by = question.circuit, question.item.by
    seen = [resistance_seen(circuit, index, by) for index in (question.index, there)]
    if seen[0] != seen[1] or by is not None:
        return ONE if seen[0] == seen[1] else None
    now, then = (storage_combination(circuit, index) for index in (question.index, there))
    if now.kind is not then.kind or {*now.members}.isdisjoint(then.members):
        return None
    return now.value / then.value
