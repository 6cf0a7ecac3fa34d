"""The instant at which a signal is smallest, on the problem's own clock."""

from __future__ import annotations

from grader.quantities.finds.time_of_maximum import TimeOfMaximum
from grader.quantities.records import Sample


class TimeOfMinimum(TimeOfMaximum):
    """The instant at which a signal is smallest, on the problem's own clock."""

    name = "time of minimum"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0")
    way = -1
    word = "smallest"


ENTRY = TimeOfMinimum()
