"""Li² or Cv² given for half of it."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import STORED, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """Twice the energy."""
    energy = case.find == STORED or (case.signal is not None and case.signal.kind == "energy")
    if energy and isinstance(case.right, Waveform):
        yield Wrong.times(case.right, constant(fmpq(2)))


ENTRY = Mistake(
    id="energy-factor-half-lost",
    title="Factor one half of the energy lost",
    idea="The energy is the area under a straight line, hence the one half in ½Li² and ½Cv².",
    nudge="Where does the one half in the energy of a coil or a capacitor come from, and is it in your formula?",
    remark="Twice the stored energy was given.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
