"""The overshoot as a share of the whole change, from the initial to the final value."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.finds.overshoot import Overshoot
from grader.quantities.records import Sample
from grader.values.dimension import NUMBER, Dimension


class PercentOvershoot(Overshoot):
    """The overshoot as a share of the whole change, from the initial to the final value."""

    name = "percent overshoot"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.094780224842154995")
    share = True
    words = "Overshoot in per cent of the whole change"

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """A plain number."""
        return NUMBER


ENTRY = PercentOvershoot()
