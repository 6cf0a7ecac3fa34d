"""The time since the switching given for the instant."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import REACH, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The right instant less the instant of switching."""
    if case.find == REACH and case.start != 0 and isinstance(case.right, Waveform):
        yield Wrong(case.right - constant(case.start))


ENTRY = Mistake(
    id="time-from-switching-given",
    title="Time counted from the switching",
    idea="The instant is asked on the problem's own clock. The time since the switching was given.",
    nudge="From which instant does your time count, and from which does the question?",
    remark="The time since the switching was given in place of the instant.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
