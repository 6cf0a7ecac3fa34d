"""A resistor."""

from __future__ import annotations

from dataclasses import dataclass

from grader.circuit.elements.base import Surroundings, TwoTerminal
from grader.circuit.elements.rows import minus, scaled
from grader.circuit.elimination import Row
from grader.values.scalar import Scalar


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor(TwoTerminal):
    """A resistance in ohms; negative values are allowed (an active one-port)."""

    value: Scalar

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """``v = R i``."""
        return (minus(at.across(self.name), scaled(at.through(self.name), self.value)),)
