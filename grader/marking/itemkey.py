"""What marking needs to know of one item."""

from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from grader.circuit.elements import Signal
from grader.problem import Marking
from grader.quantities import FINDS, Answer, asked
from grader.rubric.references import Reference
from grader.values.dimension import TIME, Dimension
from grader.values.waveform import Waveform

KEY_IS_ANSWER = tuple(find for find in FINDS if asked(find).key_is_answer)
"""Finds whose key is the answer itself: no circuit decides them."""


class KnownWrongAnswer(Struct, frozen=True, kw_only=True):
    """A known wrong answer: what it earns (share of the points) and what the student is told, and the mistake behind it."""

    answer: Answer
    share: float
    comment: str
    mistake: str = ""


class ItemKey(Struct, frozen=True, kw_only=True, dict=True):
    """One item with its reference answer.

    ``accepted`` starts with the reference answer; ``parts`` are the weights of an expression's parts.
    """

    problem: str
    id: str
    points: float
    marking: Marking
    hint: str
    reference: Reference
    signal: Signal | None
    """The current, voltage … asked about; answers about the same one share its reference direction."""
    accepted: tuple[Answer, ...]
    parts: tuple[tuple[str, float], ...]
    options: tuple[str, ...]
    percent: bool
    """Whether the instructor's own answer is given in percent."""
    names: Mapping[str, Dimension | None]
    """What may be named in an answer, and its dimension."""
    values: Mapping[str, Waveform]
    """The right values of those names."""
    carries: tuple[tuple[str, str], ...]
    """Those that stand for an earlier item, with its id."""
    foreseen: tuple[KnownWrongAnswer, ...] = ()
    intervals: tuple["ItemKey", ...] = ()
    """Of a response: the expression of each interval, with its share of the points."""

    @cached_property
    def rests_on(self) -> tuple[frozenset[str], frozenset[str]]:
        """The items that its rules use, and those that its names stand for."""
        rules = (rule for one in (*self.intervals, self) for rule in one.reference.rules)
        used = frozenset(item for rule in rules for item in rule.items)
        return used, frozenset(item for _, item in self.carries)

    @property
    def directed(self) -> bool:
        """Whether the answer is counted along a reference direction: a signal's value, but not an instant or an energy."""
        return self.signal is not None and self.signal.kind != "energy" and self.reference.dimension != TIME
