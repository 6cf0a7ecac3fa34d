"""An inductor: its current is a state; a wire in the dc steady state, a current source at the first instant."""

from typing import ClassVar

from grader.circuit.elements.base import Storage, Surroundings, minus, scaled, total
from grader.circuit.elimination import Row
from grader.values.dimension import INDUCTANCE, Dimension


class Inductor(Storage, frozen=True):
    """An inductance in henries; ``initial``: its current (A) at the first action."""

    kind: ClassVar[str] = "inductor"
    dimension: ClassVar[Dimension] = INDUCTANCE
    stores: ClassVar[str] = "current"
    lasting: ClassVar[tuple[str, ...]] = ("current", "flux", "energy")

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """``i`` is the state, ``v = L di/dt`` and what coupled currents add."""
        linked = [scaled(at.rate(other), mutual) for other, mutual in at.mutual(self.name).items()]
        flux = total(scaled(at.rate(self.name), self.value), *linked)
        return minus(at.through(self.name), at.state(self.name)), minus(flux, at.across(self.name))
