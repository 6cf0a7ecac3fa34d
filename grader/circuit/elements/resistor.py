"""A resistor."""

from typing import ClassVar

from grader.circuit.elements.base import Passive, Surroundings, minus, scaled
from grader.circuit.elimination import Row
from grader.values.dimension import RESISTANCE, Dimension


class Resistor(Passive, frozen=True):
    """A resistance in ohms; negative values are allowed (an active one-port)."""

    kind: ClassVar[str] = "resistor"
    dimension: ClassVar[Dimension] = RESISTANCE

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """``v = R i``."""
        return (minus(at.across(self.name), scaled(at.through(self.name), self.value)),)
