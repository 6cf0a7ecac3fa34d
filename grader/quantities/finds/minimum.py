"""The smallest value of a signal after a switching, or in a stretch of time."""

from __future__ import annotations

from grader.quantities.finds.maximum import Maximum
from grader.quantities.records import Sample


class Minimum(Maximum):
    """The smallest value of a signal after a switching, or in a stretch of time."""

    name = "minimum"
    sample = Sample(circuit="relay", item='current = "L1"\nuntil = "0.1 s"', answer="3*exp(-2)")
    way = -1


ENTRY = Minimum()
