"""A switch."""

from typing import ClassVar

from flint import fmpq

from grader.circuit.elements.base import Nodes, Positions, Surroundings, Switching, TwoTerminal
from grader.circuit.elimination import Row


class Switch(Switching, TwoTerminal, frozen=True, kw_only=True):
    """A switch, closed or not (False) before and after each of its actions."""

    kind: ClassVar[str] = "switch"
    before: bool
    actions: tuple[tuple[fmpq, bool], ...]

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """No voltage where it is closed, no current where it is open."""
        return (at.across(self.name) if at.where[self.name] else at.through(self.name),)

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        return (self.between,) if where[self.name] else ()
