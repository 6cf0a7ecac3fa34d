"""The period of a circuit that repeats between two levels."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.cycles import KEYS, LEVELS, level_faults, levels_text, phases
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.values.dimension import TIME
from grader.values.waveform import Waveform


class Period(Asked):
    """How long a circuit takes to repeat whose switch acts whenever a capacitor's voltage or coil's current reaches a level."""

    name = "period"
    needs = (SIGNAL, "by", *LEVELS)
    keys = KEYS
    measures = TIME
    sample = Sample(
        circuit="flasher", item='voltage = "C1"\nby = "S1"\nlow = "3 V"\nhigh = "6 V"', answer="0.0015435666224810915"
    )

    def reference(self, question: Question) -> Waveform:
        """Both phases together."""
        before, after = phases(question)
        return before + after

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Period of the repeating circuit, {levels_text(problem, item)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Levels that can be read."""
        return tuple(level_faults(problem, item))


ENTRY = Period()
