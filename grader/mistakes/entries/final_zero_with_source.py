"""Every transient taken to die to zero."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import FINAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """Zero."""
    if case.find == FINAL:
        yield Wrong(Waveform())


ENTRY = Mistake(
    id="final-zero-with-source",
    title="Final value zero in spite of a source",
    idea=(
        "The natural part dies away, the forced part stays. Where a source is still connected, the response "
        "settles to what that source maintains."
    ),
    nudge="Is there a source still connected when the transient has died away?",
    remark="The final value was given as zero.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
