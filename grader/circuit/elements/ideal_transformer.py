"""An ideal transformer: it stores nothing, and its law holds at dc, too."""

from typing import ClassVar

from grader.circuit.elements.base import Element, Nodes, Positions, Surroundings, minus, scaled, total
from grader.circuit.elimination import Row
from grader.values.scalar import Scalar


class IdealTransformer(Element, frozen=True, kw_only=True):
    """Two windings, dots at their first nodes: ``v1 = n v2`` and ``i2 = -n i1``, ``ratio`` n the turns' ``N1/N2``.

    Its own voltage and current are those of the primary.
    """

    kind: ClassVar[str] = "ideal transformer"
    primary: Nodes
    secondary: Nodes
    ratio: Scalar

    @property
    def second(self) -> str:
        """The name of the secondary's current."""
        return f"{self.name}:2"

    def terminals(self) -> tuple[str, ...]:
        return (*self.primary, *self.secondary)

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        return {self.name: self.primary, self.second: self.secondary}

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        voltages = minus(at.difference(self.primary), scaled(at.difference(self.secondary), self.ratio))
        return voltages, total(at.through(self.second), scaled(at.through(self.name), self.ratio))
