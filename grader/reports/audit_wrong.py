"""Which marks are wrong answers, and which lose points by their unit (or their number of figures) alone."""

from __future__ import annotations

from typing import NamedTuple

from grader.marking.beliefs import is_wrong
from grader.marking.marks import PARTLY, Mark
from grader.mistakes.records import NO_SOURCE, Citation


class Fault(NamedTuple):
    """What costs points without being a mistake of the catalogue, described like one."""

    id: str
    title: str
    idea: str
    source: Citation


UNIT_ALONE = Fault(
    id="unit-or-figures-alone",
    title="Right but for its unit or its figures",
    idea="The size is right; the unit is missing or that of another quantity, or too few figures are given. "
    "A number without its unit is no answer.",
    source=NO_SOURCE._replace(text="Counted from the marks."),
)


def loses_unit_alone(mark: Mark) -> bool:
    """Whether an answer is right in what it says and lost points all the same."""
    return mark.verdict == PARTLY and not is_wrong(mark)


__all__ = ["UNIT_ALONE", "Fault", "is_wrong", "loses_unit_alone"]
