"""A capacitor: its voltage is a state; open in the dc steady state, a voltage source at the first instant."""

from typing import ClassVar

from grader.circuit.elements.base import Storage, Surroundings, minus, scaled
from grader.circuit.elimination import Row
from grader.values.dimension import CAPACITANCE, Dimension


class Capacitor(Storage, frozen=True):
    """A capacitance in farads; ``initial``: its voltage (V) at the first action, in place of the steady state's."""

    kind: ClassVar[str] = "capacitor"
    dimension: ClassVar[Dimension] = CAPACITANCE
    stores: ClassVar[str] = "voltage"
    lasting: ClassVar[tuple[str, ...]] = ("voltage", "charge", "energy")

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """``v`` is the state, ``i = C dv/dt``."""
        charging = minus(scaled(at.rate(self.name), self.value), at.through(self.name))
        return minus(at.across(self.name), at.state(self.name)), charging
