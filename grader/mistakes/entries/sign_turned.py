"""The right answer with the opposite sign."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import BEFORE, INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The negative; start values have a mistake of their own."""
    if isinstance(case.right, Waveform) and case.find not in (BEFORE, INITIAL):
        yield Wrong.times(case.right, constant(fmpq(-1)))


ENTRY = Mistake(
    id="sign-turned",
    title="Sign turned",
    idea="A current or voltage is counted along its reference direction. The size is right, the direction is not.",
    nudge="Which way does the reference arrow or the + mark point, and which way did you count?",
    remark="The answer is right but for its sign.",
    source=source.SIGN_RULES,
    prior=REPORTED,
    wrong=wrong,
)
