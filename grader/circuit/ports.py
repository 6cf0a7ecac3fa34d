"""What a circuit shows at two nodes, or where an element stood: open-circuit voltage, short-circuit current, resistance.

At rest: capacitors open, inductors short, sources at what they settle to.  For a resistance independent sources are off,
dependent ones work on: one ampere is sent in, and the voltage is read.
"""

from collections.abc import Mapping
from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Circuit, CurrentSource, Drive, Nodes, Signal, Switch
from grader.circuit.network import instant_of
from grader.circuit.statics import OPEN, SHORT, ResistiveCircuit, Substitution, as_current, dc, sources_off
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import Waveform, constant


class Port(NamedTuple):
    """The circuit at rest with a pair of terminals open or joined by a wire, and the signal asked there."""

    static: ResistiveCircuit
    signal: Signal

    @property
    def value(self) -> Waveform:
        """The voltage or the current."""
        return self.static.value(self.signal)


def opened(circuit: Circuit, index: int, nodes: Nodes | None, by: str | None) -> Port:
    """Two nodes, or an element's place with the element taken out, on an interval."""
    when = instant_of(circuit, index)
    if by is None:
        assert nodes is not None
        return Port(dc(circuit, when), Signal(kind="voltage", of=nodes))
    return Port(dc(circuit, when, {by: OPEN}), Signal(kind="voltage", of=by))


def shorted(circuit: Circuit, index: int, nodes: Nodes | None, by: str | None) -> Port:
    """A wire from the first node to the second, or in an element's place.

    Raises
    ------
    NotDefined
        If its current has no finite value: an ideal voltage source between the nodes.
    """
    when: fmpq | None = instant_of(circuit, index)
    try:
        if by is not None:
            return Port(dc(circuit, when, {by: SHORT}), Signal(kind="current", of=by))
        assert nodes is not None
        name = circuit.unused("bridge")
        wire = Switch(name=name, between=nodes, before=True, actions=())
        bridged = replace(circuit, elements=(*circuit.elements, wire))
        return Port(dc(bridged, when), Signal(kind="current", of=name))
    except CircuitError:
        raise NotDefined(
            "a voltage source without resistance stands there, so a wire would carry no finite current"
        ) from None


def resistance_between(
    circuit: Circuit, nodes: Nodes, when: fmpq | None, treat: Mapping[str, Substitution] | None = None
) -> Scalar:
    """The resistance (Ω) seen between two nodes.

    Parameters
    ----------
    when : fmpq or None
        Switches as from this instant on (seconds); None: before the first action.
    treat : mapping of str to Substitution
        What stands in for the elements named, in place of the above.

    Raises
    ------
    NotDefined
        If nothing connects the nodes (an infinite resistance).
    """
    name = circuit.unused("probe")
    # The source drives its current from its first node to the second through itself: into the circuit at the second.
    probe = CurrentSource(name=name, between=(nodes[1], nodes[0]), drive=Drive(pieces=()))
    probed = replace(circuit, elements=(*circuit.elements, probe))
    where = f"connects '{nodes[0]}' and '{nodes[1]}'"
    return voltage_of_an_ampere(
        probed, when, {name: as_current(constant(ONE))} | dict(treat or {}), Signal(kind="voltage", of=nodes), where
    )


def voltage_of_an_ampere(
    circuit: Circuit, when: fmpq | None, treat: Mapping[str, Substitution], across: Signal, where: str
) -> Scalar:
    """The voltage that one ampere makes, sources off."""
    try:
        return dc(circuit, when, sources_off(circuit) | dict(treat)).value(across).number
    except (CircuitError, NotDefined):
        raise NotDefined(f"nothing with a resistance {where} here, so no finite resistance is seen") from None
