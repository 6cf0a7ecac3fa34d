"""The four linear dependent sources."""

from grader.circuit.elements.base import Nodes, Positions, Surroundings, TwoTerminal, minus, scaled
from grader.circuit.elimination import Row
from grader.values.dimension import CONDUCTANCE, NUMBER, RESISTANCE, Dimension
from grader.values.scalar import Scalar

GAIN = {
    ("voltage", "voltage"): NUMBER,
    ("current", "current"): NUMBER,
    ("voltage", "current"): CONDUCTANCE,
    ("current", "voltage"): RESISTANCE,
}
"""Dimension of the gain, by (what controls the source, what it delivers)."""


class DependentSource(TwoTerminal, frozen=True, kw_only=True):
    """A linear dependent source.

    ``delivers`` and ``controlled_by`` are each ``"voltage"`` or ``"current"``.  ``control`` is a pair of nodes
    or an element's name, whose voltage or current (as that element counts it) controls the source.
    ``gain`` is a plain number, or in siemens (current from voltage) or ohms (voltage from current).
    """

    delivers: str
    controlled_by: str
    gain: Scalar
    control: Nodes | str

    @property
    def kind(self) -> str:  # type: ignore[override]
        return f"{self.controlled_by}-controlled {self.delivers} source"

    @property
    def dimension(self) -> Dimension:
        return GAIN[self.controlled_by, self.delivers]

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """What it delivers is the gain times what controls it."""
        if not isinstance(self.control, str):
            control = at.difference(self.control)
        else:
            control = at.through(self.control) if self.controlled_by == "current" else at.across(self.control)
        delivered = at.across(self.name) if self.delivers == "voltage" else at.through(self.name)
        return (minus(delivered, scaled(control, self.gain)),)

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        return (self.between,) if self.delivers == "voltage" else ()
