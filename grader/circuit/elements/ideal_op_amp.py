"""An ideal operational amplifier."""

from dataclasses import dataclass
from typing import ClassVar

from grader.circuit.elements.base import Element, Nodes, Positions, Surroundings
from grader.circuit.elimination import Row


@dataclass(frozen=True, slots=True, kw_only=True)
class IdealOpAmp(Element):
    """An ideal operational amplifier: no input current, no input voltage; the output is referred to ground."""

    kind: ClassVar[str] = "ideal op amp"
    non_inverting: str
    inverting: str
    output: str

    def terminals(self) -> tuple[str, ...]:
        """Its inputs and its output."""
        return (self.non_inverting, self.inverting, self.output)

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        """Its output current."""
        return {self.name: (self.output, ground)}

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """Its inputs are at one voltage."""
        return (at.difference((self.non_inverting, self.inverting)),)

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        """One input to the other."""
        return ((self.non_inverting, self.inverting),)
