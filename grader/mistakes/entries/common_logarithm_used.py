"""The logarithm to base ten used to find a time."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import REACH, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.functions import log
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The time since the switching over ln 10."""
    if case.find == REACH and isinstance(case.right, Waveform):
        start = constant(case.start)
        yield Wrong(start + (case.right - start) / log(constant(fmpq(10))))


ENTRY = Mistake(
    id="common-logarithm-used",
    title="Common logarithm used",
    idea=(
        "The exponential is to base e, so the natural logarithm undoes it. The common one is smaller by the "
        "factor 2.303."
    ),
    nudge="Which logarithm undoes a power of e?",
    remark="The time was found with the logarithm to base ten.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
