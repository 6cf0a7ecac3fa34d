"""What a circuit is made of: small frozen records, as the instructor states them.

Every two-terminal element is given ``between`` two nodes.  The first node is its + terminal, and its
current is counted from the first node to the second through the element (passive sign convention).
A current source drives its current that way, too.  Values are exact scalars in SI base units.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from flint import fmpq

from grader.values.scalar import Scalar
from grader.values.waveform import Waveform

Nodes: TypeAlias = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor:
    """A resistance in ohms; negative values are allowed (an active one-port)."""

    name: str
    between: Nodes
    value: Scalar


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitor:
    """A capacitance in farads; ``initial``: its voltage (V) at the first action, in place of the steady state's."""

    name: str
    between: Nodes
    value: Scalar
    initial: Scalar | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Inductor:
    """An inductance in henries; ``initial``: its current (A) at the first action."""

    name: str
    between: Nodes
    value: Scalar
    initial: Scalar | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """What an independent source delivers: one waveform (in global t) from each instant on.

    ``pieces`` holds (start, waveform) in order of time; the first start is None: since ever.
    """

    pieces: tuple[tuple[fmpq | None, Waveform], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageSource:
    """An ideal voltage source (volts, first node positive)."""

    name: str
    between: Nodes
    drive: Drive


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource:
    """An ideal current source (amperes, from the first node to the second through the source)."""

    name: str
    between: Nodes
    drive: Drive


@dataclass(frozen=True, slots=True, kw_only=True)
class DependentSource:
    """A linear dependent source.

    ``delivers`` and ``controlled_by`` are each ``"voltage"`` or ``"current"``.  ``control`` is a pair of nodes
    or an element's name, whose voltage or current (as that element counts it) controls the source.
    ``gain`` is a plain number, or in siemens (current from voltage) or ohms (voltage from current).
    """

    name: str
    between: Nodes
    delivers: str
    controlled_by: str
    gain: Scalar
    control: Nodes | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """A switch with its actions in order of time (seconds): (time, closed from then on)."""

    name: str
    between: Nodes
    closed_before: bool
    actions: tuple[tuple[fmpq, bool], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeoverSwitch:
    """A switch that connects ``common`` to one throw at a time: (time, throw from then on)."""

    name: str
    common: str
    throw_before: str
    actions: tuple[tuple[fmpq, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class IdealOpAmp:
    """An ideal operational amplifier: no input current, no input voltage; the output is referred to ground."""

    name: str
    non_inverting: str
    inverting: str
    output: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoupledInductors:
    """Mutual inductance (henries) between two inductors, dots at their first nodes."""

    name: str
    inductors: tuple[str, str]
    mutual: Scalar


Element: TypeAlias = (
    Resistor
    | Capacitor
    | Inductor
    | VoltageSource
    | CurrentSource
    | DependentSource
    | Switch
    | ChangeoverSwitch
    | IdealOpAmp
    | CoupledInductors
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A circuit: its elements in the order stated, and the node all voltages are referred to."""

    elements: tuple[Element, ...]
    ground: str

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


SIGNAL_KINDS = ("current", "voltage", "power", "energy", "charge", "flux")


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """A quantity of the circuit as a function of time.

    ``kind`` is one of `SIGNAL_KINDS`; ``of`` names an element, or, for a voltage, may be a pair of nodes
    (first minus second).
    """

    kind: str
    of: str | Nodes
