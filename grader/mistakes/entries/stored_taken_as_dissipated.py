"""The energy stored at the start or at the end given for the heat."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Signal
from grader.mistakes.case import DISSIPATED, FINAL, INITIAL, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """All energy stored at the start, and at the end."""
    if case.find != DISSIPATED or case.index == 0:
        return
    for find, variant in ((INITIAL, "at the start"), (FINAL, "at the end")):
        total = Waveform()
        for element in case.storage:
            energy = case.solvers(find, Signal(kind="energy", of=element.name))
            if energy is None:
                return
            total = total + energy
        yield Wrong(total, variant)


ENTRY = Mistake(
    id="stored-taken-as-dissipated",
    title="Stored energy taken for the energy dissipated",
    idea=(
        "What a resistor turns to heat equals what the element gave up only if nothing else gives or takes "
        "energy. Elsewhere sources deliver and other resistors share."
    ),
    nudge="Does all of the stored energy go into this resistor, and does anything else deliver energy?",
    remark="The energy stored at the start (or at the end) was given for the energy dissipated.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
