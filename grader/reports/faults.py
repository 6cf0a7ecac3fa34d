"""What an answer lost points to, by name: a mistake of the catalogue, or a fault that is none of them.

Kept apart from the class's figures, which need numerical libraries: the gradebook names what was lost without them.
"""

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from grader.marking.beliefs import is_wrong
from grader.marking.credit import charges_figures, charges_unit
from grader.marking.marks import PARTLY, Mark
from grader.mistakes.catalogue import catalogue
from grader.mistakes.records import NO_SOURCE, TOGETHER, Citation, Mistake


class Fault(NamedTuple):
    """What costs points without being a mistake of the catalogue, described like one; ``nudge`` as a question."""

    id: str
    title: str
    idea: str
    nudge: str
    source: Citation = NO_SOURCE._replace(text="Counted from the marks.")


UNIT_ALONE = Fault(
    id="unit-alone",
    title="Right but for its unit",
    idea="The size is right; the unit is missing, or that of another quantity. A number without its unit is no answer.",
    nudge="2.4: volts, millivolts, or volts per second?",
)

FIGURES_ALONE = Fault(
    id="figures-alone",
    title="Right but for its figures",
    idea="The value is right; it is given to fewer significant figures than were asked.",
    nudge="How many figures are asked, and how many must be kept on the way to them?",
)

FAULTS = {fault.id: fault for fault in (UNIT_ALONE, FIGURES_ALONE)}


def fault_alone(mark: Mark) -> str:
    """The id of the fault for which alone an answer lost points that is right in what it says; "" where there is none.

    There is none where a person decided so.
    """
    if mark.verdict != PARTLY or is_wrong(mark) or mark.decision:
        return ""
    figures = any(map(charges_figures, mark.reasons)) and not any(map(charges_unit, mark.reasons))
    return FIGURES_ALONE.id if figures else UNIT_ALONE.id


def described(id: str) -> Fault | Mistake | None:
    """What is said of a mistake of the catalogue, or of a fault alone; None where there is no such (any more)."""
    return FAULTS.get(id) or catalogue().get(id)


def mistake_title(id: str) -> str:
    """A mistake's name in words; its id where the catalogue has no such mistake (any more)."""
    known = described(id)
    return known.title if known is not None else id


def named_first(mistakes: Sequence[str], tied: int) -> dict[str, float]:
    """The mistakes that explain an answer best, each with its share of one where it stands beside others."""
    first = mistakes[: max(tied, 1)]
    shares: dict[str, float] = defaultdict(float)
    for joint in first:
        ids = joint.split(TOGETHER)
        for id in ids:
            shares[id] += 1 / len(first) / len(ids)
    return dict(shares)
