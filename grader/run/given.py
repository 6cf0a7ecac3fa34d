"""Points that a person gave, and the answer that they were given for: they hold for that one alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from grader.marking.marks import Mark
from grader.regex import regex
from grader.reports.wording import points_text
from grader.uploads.escaping import visible


class Points(Struct, frozen=True, kw_only=True):
    """Points that a person gives for one answer, with the words for it.

    ``answer`` and ``possible`` are the answer ("": blank) and the item's points as they then were; None: as they are.
    It holds for that answer alone, and on a line of its own for each way of writing it.
    """

    points: float
    reason: str = ""
    answer: str | None = None
    possible: float | None = None

    @property
    def ways(self) -> frozenset[str]:
        """The ways of writing the answer, without what is layout alone."""
        return frozenset(map(without_layout, (self.answer or "", *(self.answer or "").splitlines())))

    def holds_for(self, answer: str) -> bool:
        """Whether it was taken on this answer; where it names none, it was taken on what stands there now."""
        return self.answer is None or without_layout(answer) in self.ways

    def meets(self, other: Points) -> bool:
        """Whether both may be about the same answer."""
        return self.answer is None or other.answer is None or not self.ways.isdisjoint(other.ways)

    def as_said(self, other: Points) -> bool:
        """Whether both say the same."""
        return (self.points, self.reason) == (other.points, other.reason)

    def again(self, earlier: Sequence[Points], *, alone: bool = True) -> Points:
        """A decision given back: where it differs from the earlier one, it was taken on what stands there now.

        Where it is the same and does not say on which answer it was taken, it was on the earlier one's.  Where it is
        not ``alone``, another row is there for what stands there now.
        """
        met = [one for one in earlier if self.meets(one)]
        if not met:
            return self
        if same_said := next((one for one in met if self.as_said(one)), None):
            return same_said if self.answer is None else self
        if not alone:
            return replace(self, possible=None)
        return next(filter(self.as_said, earlier), None) or replace(self, answer=None, possible=None)


def given_again(given: tuple[Points, ...], earlier: tuple[Points, ...], kept: bool) -> tuple[Points, ...]:
    """Decisions on one item given back, that on what stands there now first, and the earlier ones that they leave on record.

    Of these, where they are not ``kept``, those alone in whose row a decision on another answer was written.
    """
    new = tuple(dict.fromkeys(one.again(earlier, alone=len(given) == 1) for one in given))
    left = [
        one
        for one in earlier
        if (kept or any(written.meets(one) for written in given))
        and not any(said.answer is not None and said.meets(one) for said in new)
    ]
    return (*sorted(new, key=lambda one: one.answer is not None), *(one for one in left if one not in new))


def standing(found: Iterable[Points], answer: str) -> Points | None:
    """Of what was decided on an item, that on the answer which stands there now."""
    return next((one for one in found if one.holds_for(answer)), None)


def on_record(found: Iterable[Points], answer: str) -> tuple[Points, ...]:
    """Of what was decided on an item, all that is on other answers: it counts again when one of them comes back."""
    return tuple(one for one in found if not one.holds_for(answer))


def same(text: str) -> str:
    """A text as it comes back from a table: what cannot be seen shown, blanks and line ends alike."""
    return " ".join(visible(text).split())


_LAYOUT = regex(r"(?<=\d) (?=[^\W\d_])|(?<==) | (?==)")
"""Blanks that may stand or not: before a unit, beside an equal sign."""


def without_layout(answer: str) -> str:
    """An answer without what is layout alone: a decision holds however that is."""
    return _LAYOUT.sub("", same(answer))


def called(answer: str) -> str:
    """An answer in a sentence, each way of writing it."""
    return f"the answer {' or '.join(f'“{way}”' for way in answer.splitlines())}" if answer else "no answer"


def outdated(mark: Mark, points: Points) -> str:
    """What is another than when a mark was decided, as a sentence; "" where all is as it was."""
    if not points.holds_for(mark.answer):
        return (
            f"Decided for {called(points.answer or '')}, where {called(mark.answer)} stands now: it counts again when that "
            "answer does. To let it count now, change the decision or its reason; - takes it back."
        )
    if points.possible is not None and points.possible != mark.possible:
        return (
            f"Decided, but for {points_text(points.possible)} points where the item has {points_text(mark.possible)} now. "
            "To settle it, change the decision or its reason."
        )
    return ""
