"""A switch."""

from dataclasses import dataclass
from typing import ClassVar

from flint import fmpq

from grader.circuit.elements.base import Nodes, Positions, Surroundings, TwoTerminal
from grader.circuit.elimination import Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch(TwoTerminal):
    """A switch with its actions in order of time (seconds): (time, closed from then on)."""

    kind: ClassVar[str] = "switch"
    closed_before: bool
    actions: tuple[tuple[fmpq, bool], ...]

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """No voltage where it is closed, no current where it is open."""
        return (at.across(self.name) if at.where[self.name] else at.through(self.name),)

    def acts(self) -> tuple[fmpq, ...]:
        return tuple(time for time, _ in self.actions)

    def position(self, instant: fmpq | None) -> bool:
        past = [closed for time, closed in self.actions if instant is not None and time <= instant]
        return past[-1] if past else self.closed_before

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        return (self.between,) if where[self.name] else ()
