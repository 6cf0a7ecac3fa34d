"""A changeover switch."""

from typing import ClassVar

from flint import fmpq

from grader.circuit.elements.base import Element, Nodes, Positions, Surroundings, Switching
from grader.circuit.elimination import Row


class ChangeoverSwitch(Switching, Element, frozen=True, kw_only=True):
    """A switch that connects ``common`` to one throw at a time."""

    kind: ClassVar[str] = "changeover switch"
    common: str
    before: str
    actions: tuple[tuple[fmpq, str], ...]

    @property
    def throws(self) -> tuple[str, ...]:
        """Every throw that it ever stands on, once."""
        return tuple(dict.fromkeys((self.before, *(throw for _, throw in self.actions))))

    def terminals(self) -> tuple[str, ...]:
        return (self.common, *self.throws)

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        """From the common node to the throw it stands on."""
        return {self.name: (self.common, str(where[self.name]))}

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        return (at.across(self.name),)
