"""An ideal operational amplifier."""

from typing import ClassVar

from grader.circuit.elements.base import Element, Nodes, Positions, Surroundings
from grader.circuit.elimination import Row


class IdealOpAmp(Element, frozen=True, kw_only=True):
    """An ideal operational amplifier: no input current, no input voltage; the output is referred to ground."""

    kind: ClassVar[str] = "ideal op amp"
    non_inverting: str
    inverting: str
    output: str

    def terminals(self) -> tuple[str, ...]:
        return (self.non_inverting, self.inverting, self.output)

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        return {self.name: (self.output, ground)}

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        return (at.difference((self.non_inverting, self.inverting)),)

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        return ((self.non_inverting, self.inverting),)
