"""½Li or ½Cv given for the energy."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import STORED, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.functions import square_root
from grader.values.scalar import HALF
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """The energy over the size of the current or voltage."""
    right = case.right
    if case.find != STORED or not isinstance(right, Waveform) or not right.is_constant or not right.terms:
        return
    for element in case.storage:
        if case.item.of in ((), (element.name,)) and len(case.storage) == 1:
            # W = k x^2 / 2, so k x / 2 is the root of W k / 2.
            yield Wrong(square_root(right.scaled(element.value * HALF)))


ENTRY = Mistake(
    id="energy-square-lost",
    title="Square of the energy lost",
    idea="Energy grows with the square of current or voltage: twice the current stores four times the energy.",
    nudge="What happens to the energy if the current (or voltage) doubles, and does your formula agree?",
    remark="The current or voltage was not squared.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
