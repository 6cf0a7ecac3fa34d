"""Independent sources."""

from typing import ClassVar

from flint import fmpq
from msgspec import Struct

from grader.circuit.elements.base import Nodes, Positions, Surroundings, TwoTerminal, minus
from grader.circuit.elimination import Row
from grader.values.dimension import CURRENT, VOLTAGE, Dimension
from grader.values.scalar import Scalar
from grader.values.waveform import Waveform


class Drive(Struct, frozen=True, kw_only=True):
    """What an independent source delivers: one waveform (in global t) from each instant on.

    ``pieces`` holds (start, waveform) in order of time; the first start is None: for all past time.  ``impulses`` are
    the instants and areas of multiples of the unit impulse (V s, A s).
    """

    pieces: tuple[tuple[fmpq | None, Waveform], ...]
    impulses: tuple[tuple[fmpq, Scalar], ...] = ()

    @staticmethod
    def always(waveform: Waveform) -> "Drive":
        """One waveform for all time."""
        return Drive(pieces=((None, waveform),))


class Source(TwoTerminal, frozen=True, kw_only=True):
    """What independent sources share: a drive of one dimension, whose pieces begin at actions."""

    delivers: ClassVar[str]
    dimension: ClassVar[Dimension]
    drive: Drive

    def acts(self) -> tuple[fmpq, ...]:
        """Where a new piece begins, or an impulse stands."""
        struck = (time for time, _ in self.drive.impulses)
        return (*struck, *(start for start, _ in self.drive.pieces if start is not None))


class VoltageSource(Source, frozen=True):
    """An ideal voltage source (volts, first node positive)."""

    kind: ClassVar[str] = "voltage source"
    delivers: ClassVar[str] = "voltage"
    dimension: ClassVar[Dimension] = VOLTAGE

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        return (minus(at.across(self.name), at.delivered(self.name)),)


class CurrentSource(Source, frozen=True):
    """An ideal current source (amperes, from the first node to the second through the source)."""

    kind: ClassVar[str] = "current source"
    delivers: ClassVar[str] = "current"
    dimension: ClassVar[Dimension] = CURRENT

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        return (minus(at.through(self.name), at.delivered(self.name)),)

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        """Nothing: any voltage will do."""
        return ()
