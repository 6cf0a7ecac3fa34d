"""The name of the opposite type of damping."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.quantities.steps import OVERDAMPED, UNDERDAMPED

OPPOSITE = {OVERDAMPED: UNDERDAMPED, UNDERDAMPED: OVERDAMPED}


def wrong(case: Case) -> Iterator[Wrong]:
    """The opposite name, for the type itself and for a choice of it."""
    if isinstance(case.right, str) and case.right.strip().lower() in OPPOSITE:
        yield Wrong(OPPOSITE[case.right.strip().lower()])


ENTRY = Mistake(
    id="damping-name-turned",
    title="Overdamped and underdamped exchanged",
    idea="Much damping (α > ω0) lets nothing swing: that is overdamped. The names were exchanged.",
    nudge="Does a lot of damping let the circuit swing?",
    remark="The name is that of the opposite case.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
