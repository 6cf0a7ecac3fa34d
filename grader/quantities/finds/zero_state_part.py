"""The part of a signal that comes from the sources alone, the storage elements empty at the start."""

from __future__ import annotations

from grader.circuit.superposition import zero_input
from grader.quantities.finds.zero_input_part import ZeroInputPart
from grader.quantities.question import Question
from grader.quantities.records import Sample
from grader.values.waveform import Waveform


class ZeroStatePart(ZeroInputPart):
    """The part of a signal that comes from the sources alone, the storage elements empty at the start."""

    name = "zero-state part"
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="-10*exp(-500*t) + 10")
    other = "zero-input part"
    words = "Zero-state part (from the sources alone)"

    def reference(self, question: Question) -> Waveform:
        """What the initial state leaves."""
        return question.waveform - zero_input(question.solved, question.signal, question.index)


ENTRY = ZeroStatePart()
