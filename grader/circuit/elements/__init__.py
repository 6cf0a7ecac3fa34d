"""What a circuit is made of: small frozen records, as the instructor states them, a file for each kind."""

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements.base import Element, Nodes, Passive, Positions, Storage, Switching, TwoTerminal
from grader.circuit.elements.capacitor import Capacitor
from grader.circuit.elements.changeover_switch import ChangeoverSwitch
from grader.circuit.elements.coupled_inductors import CoupledInductors
from grader.circuit.elements.dependent_source import GAIN, DependentSource
from grader.circuit.elements.ideal_op_amp import IdealOpAmp
from grader.circuit.elements.ideal_transformer import IdealTransformer
from grader.circuit.elements.inductor import Inductor
from grader.circuit.elements.resistor import Resistor
from grader.circuit.elements.sources import CurrentSource, Drive, Source, VoltageSource
from grader.circuit.elements.switch import Switch
from grader.values.dimension import CHARGE, CURRENT, ENERGY, FLUX, POWER, VOLTAGE, Dimension
from grader.values.scalar import ZERO, Scalar

__all__ = [
    "GAIN", "SIGNAL_KINDS", "Capacitor", "ChangeoverSwitch", "Circuit", "CoupledInductors", "CurrentSource",
    "DependentSource", "Drive", "Element", "IdealOpAmp", "IdealTransformer", "Inductor", "Nodes", "Passive",
    "Positions", "Resistor", "Signal", "Source", "Storage", "Switch", "Switching", "TwoTerminal",
    "VoltageSource", "other_signal", "own_signal",
]  # fmt: skip


class Circuit(Struct, frozen=True, kw_only=True):
    """A circuit: its elements in the order stated, and the node all voltages are referred to."""

    elements: tuple[Element, ...]
    ground: str

    @property
    def nodes(self) -> frozenset[str]:
        """Every node at which an element is connected."""
        return frozenset(node for element in self.elements for node in element.terminals())

    def element(self, name: str) -> Element:
        """The element of that name.

        Raises
        ------
        KeyError
            If there is none.
        """
        for element in self.elements:
            if element.name == name:
                return element
        raise KeyError(name)

    def unused(self, name: str) -> str:
        """That name, or one like it, that no element has."""
        while any(element.name == name for element in self.elements):
            name += "_"
        return name

    def coupled_to(self, name: str) -> dict[str, Scalar]:
        """The inductors that one is coupled to, and the mutual inductances (H)."""
        found: dict[str, Scalar] = {}
        for coupling in self.elements:
            if isinstance(coupling, CoupledInductors) and name in coupling.inductors:
                first, second = coupling.inductors
                other = second if name == first else first
                found[other] = found.get(other, ZERO) + coupling.mutual
        return found

    def altered(self, alter: Callable[[Element], Element]) -> "Circuit":
        """The circuit with every element altered."""
        return replace(self, elements=tuple(map(alter, self.elements)))


_SIGNALS = {
    "current": ("i", CURRENT), "voltage": ("v", VOLTAGE), "power": ("p", POWER),
    "energy": ("w", ENERGY), "charge": ("q", CHARGE), "flux": ("λ", FLUX),
}  # fmt: skip
"""The letter that each kind of signal is written with (IEC 60027-1, small letters for instantaneous values; from memory), and its dimension."""

SIGNAL_KINDS = tuple(_SIGNALS)


class Signal(Struct, frozen=True, kw_only=True):
    """A quantity of the circuit as a function of time.

    ``kind`` is one of `SIGNAL_KINDS`; ``of`` names an element, or, for a voltage, may be a pair of nodes
    (first minus second).
    """

    kind: str
    of: str | Nodes

    @property
    def dimension(self) -> Dimension:
        """What it is measured in."""
        return _SIGNALS[self.kind][1]

    @property
    def symbol(self) -> str:
        """As a formula writes it: ``i_L1``, ``v_C1``, ``v_ab``."""
        return f"{_SIGNALS[self.kind][0]}_{self.of if isinstance(self.of, str) else ''.join(self.of)}"


def own_signal(element: Element) -> Signal:
    """What cannot jump: a capacitor's voltage, an inductor's current."""
    return Signal(kind=element.stores, of=element.name)


def other_signal(element: Element) -> Signal:
    """What its law finds from the derivative of that: a capacitor's current, an inductor's voltage."""
    return Signal(kind={"voltage": "current", "current": "voltage"}.get(element.stores, ""), of=element.name)
