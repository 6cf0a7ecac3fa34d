"""Critical damping and its neighbours confused."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.quantities.steps import CRITICAL, OVERDAMPED, UNDERDAMPED


def wrong(case: Case) -> Iterator[Wrong]:
    """Critical for the others, the others for critical."""
    if not isinstance(case.right, str):
        return
    right = case.right.strip().lower()
    if right in (OVERDAMPED, UNDERDAMPED):
        yield Wrong(CRITICAL)
    elif right == CRITICAL:
        yield Wrong(OVERDAMPED)
        yield Wrong(UNDERDAMPED)


ENTRY = Mistake(
    id="critical-taken-for-another",
    title="Critical damping taken for something else, or something else for critical",
    idea=("α equal to ω0 is the border between the two other types. Near it, one lost factor of two changes the name."),
    nudge="How does α compare with ω0 here, to all the digits you have?",
    remark="The name does not fit the comparison of α with ω0.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
