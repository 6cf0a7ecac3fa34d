"""A changeover switch."""

from dataclasses import dataclass
from typing import ClassVar

from flint import fmpq

from grader.circuit.elements.base import Element, Nodes, Positions, Surroundings
from grader.circuit.elimination import Row


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeoverSwitch(Element):
    """A switch that connects ``common`` to one throw at a time: (time, throw from then on)."""

    kind: ClassVar[str] = "changeover switch"
    common: str
    throw_before: str
    actions: tuple[tuple[fmpq, str], ...]

    def terminals(self) -> tuple[str, ...]:
        return (self.common, *dict.fromkeys((self.throw_before, *(throw for _, throw in self.actions))))

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        """From the common node to the throw it stands on."""
        return {self.name: (self.common, str(where[self.name]))}

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        return (at.across(self.name),)

    def acts(self) -> tuple[fmpq, ...]:
        return tuple(time for time, _ in self.actions)

    def position(self, instant: fmpq | None) -> str:
        past = [throw for time, throw in self.actions if instant is not None and time <= instant]
        return past[-1] if past else self.throw_before
