"""An oscillation evaluated with the calculator in degrees."""

from __future__ import annotations

import math
from collections.abc import Iterator

from grader.mistakes.case import AT, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import rational, to_float
from grader.values.term import sample
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The value at an instant with every angle taken as degrees."""
    if case.find != AT or case.signal is None or case.item.at is None or case.index == 0:
        return
    response = case.question.solved.waveform(case.signal, case.index).delayed(-case.start)
    if response.is_symbolic or not any(mode.frequency for mode in response.modes()):
        return
    turned = [mode._replace(frequency=math.radians(mode.frequency)) for mode in response.modes()]
    value = sample(turned, to_float(case.item.at - case.start))
    yield Wrong(constant(rational(repr(value)), exact=False))


ENTRY = Mistake(
    id="degrees-for-radians",
    title="Calculator in degrees",
    idea="ωt is an angle in radians. The calculator took it as degrees, so the cosine hardly moved.",
    nudge="In which unit of angle does ωt come out, and in which did your calculator take it?",
    remark="The oscillation was evaluated with the angle in degrees.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
