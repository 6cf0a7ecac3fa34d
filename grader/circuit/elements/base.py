"""What every element kind says about itself, and the surroundings in which it states its law.

Every two-terminal element is given ``between`` two nodes.  The first node is its + terminal, and its current is counted
from the first node to the second through the element (passive sign convention).  Values are exact scalars in SI base
units.
"""

from collections.abc import Mapping
from typing import Any, ClassVar, Protocol, Self, TypeAlias

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elimination import Row, add_scaled
from grader.values.dimension import CURRENT, VOLTAGE, Dimension
from grader.values.scalar import ONE, Scalar

Nodes: TypeAlias = tuple[str, str]

Positions: TypeAlias = Mapping[str, bool | str]
"""Where each switch stands: closed or not, or the throw of a changeover switch."""


class Surroundings(Protocol):
    """Rows over the unknowns and data of a circuit, for the laws of its elements."""

    def difference(self, nodes: Nodes) -> Row:
        """The voltage from the first node to the second."""

    def across(self, name: str) -> Row:
        """An element's voltage."""

    def through(self, name: str) -> Row:
        """An element's current."""

    def rate(self, name: str) -> Row:
        """The derivative of a storage element's own quantity."""

    def state(self, name: str) -> Row:
        """A storage element's own quantity: a capacitor's voltage, an inductor's current."""

    def delivered(self, name: str) -> Row:
        """What an independent source delivers."""

    def mutual(self, name: str) -> Mapping[str, Scalar]:
        """The other inductors that one is coupled to, and the mutual inductances."""

    @property
    def where(self) -> Positions:
        """Where the switches stand."""


class Element(Struct, frozen=True, kw_only=True):
    """One element; a kind says what differs from this."""

    kind: ClassVar[str]
    """What it is called, in rubrics and in sentences."""
    stores: ClassVar[str] = ""
    """The kind of signal that cannot jump (``"voltage"``, ``"current"``), of a storage element."""
    lasting: ClassVar[tuple[str, ...]] = ()
    """That kind and those that follow from it alone."""
    name: str

    def terminals(self) -> tuple[str, ...]:
        """Every node it is connected to."""
        return ()

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        """Its currents by name, each with the nodes it is counted between; the first is the element's own."""
        return {}

    def law(self, at: Surroundings) -> tuple[Row, ...]:
        """What it demands of voltages and currents: rows whose sums are zero, one for each branch and each state."""
        return ()

    def acts(self) -> tuple[fmpq, ...]:
        """The instants (seconds) at which it changes the circuit."""
        return ()

    def position(self, instant: fmpq | None) -> bool | str | None:
        """Where a switch stands from an instant on (None: before every action); None for what is no switch."""
        return None

    def refers(self, where: Positions, ground: str) -> tuple[Nodes, ...]:
        """Pairs of nodes between which it says something about the voltage."""
        return tuple(self.branches(ground, where).values())


class TwoTerminal(Element, frozen=True, kw_only=True):
    """An element between two nodes."""

    between: Nodes

    def terminals(self) -> tuple[str, ...]:
        """Both ends."""
        return self.between

    def branches(self, ground: str, where: Positions) -> dict[str, Nodes]:
        """One."""
        return {self.name: self.between}


class Switching:
    """What switches share: where they stand ``before`` their ``actions``, (time in seconds, position from then on)."""

    __slots__ = ()
    before: bool | str
    actions: tuple[tuple[fmpq, bool | str], ...]

    def acts(self) -> tuple[fmpq, ...]:
        return tuple(time for time, _ in self.actions)

    def position(self, instant: fmpq | None) -> bool | str:
        past = [position for time, position in self.actions if instant is not None and time <= instant]
        return past[-1] if past else self.before

    def standing(self, before: Any, actions: tuple[tuple[fmpq, Any], ...] = ()) -> Self:
        """The same switch standing elsewhere at first, and with other actions."""
        return replace(self, before=before, actions=actions)  # type: ignore[type-var]


class Passive(TwoTerminal, frozen=True, kw_only=True):
    """An element whose law has one constant: its ``value``, of ``dimension``."""

    dimension: ClassVar[Dimension]
    value: Scalar


class Storage(Passive, frozen=True, kw_only=True):
    """A storage element; ``initial`` is its state at the first action, in place of the steady state's."""

    initial: Scalar | None = None

    @property
    def state_dimension(self) -> Dimension:
        """The dimension of what cannot jump."""
        return VOLTAGE if self.stores == "voltage" else CURRENT


def scaled(row: Row, factor: Scalar) -> Row:
    """A multiple of a row."""
    return {column: value * factor for column, value in row.items()} if factor else {}


def total(*rows: Row) -> Row:
    """The sum of rows, without zeros."""
    found: Row = {}
    for row in rows:
        add_scaled(found, row, ONE)
    return found


def minus(left: Row, right: Row) -> Row:
    """The difference of two rows, without zeros."""
    return total(left, scaled(right, -ONE))
