"""What a circuit shows at two nodes, or where an element stood: the open-circuit voltage and the short-circuit current.

At rest: capacitors open, inductors short, sources at what they settle to.
"""

from dataclasses import replace
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import Circuit, Nodes, Signal, Switch
from grader.circuit.network import instant_of
from grader.circuit.statics import OPEN, SHORT, ResistiveCircuit, dc
from grader.errors import CircuitError, NotDefined
from grader.values.waveform import Waveform

_BRIDGE = "bridge"


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
        name = _BRIDGE
        while any(element.name == name for element in circuit.elements):
            name += "_"
        wire = Switch(name=name, between=nodes, closed_before=True, actions=())
        bridged = replace(circuit, elements=(*circuit.elements, wire))
        return Port(dc(bridged, when), Signal(kind="current", of=name))
    except CircuitError:
        raise NotDefined(
            "a voltage source without resistance stands there, so a wire would carry no finite current"
        ) from None
