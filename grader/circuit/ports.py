"""What a circuit shows at two nodes, or where an element stood: the open-circuit voltage and the short-circuit current.

At rest: capacitors open, inductors short, sources at what they settle to.
"""

from __future__ import annotations

from dataclasses import replace

from flint import fmpq

from grader.circuit.elements import Circuit, Nodes, Signal, Switch
from grader.circuit.network import instant_of
from grader.circuit.statics import OPEN, SHORT, dc
from grader.errors import CircuitError, NotDefined
from grader.values.waveform import Waveform

_BRIDGE = "bridge"


def open_circuit_voltage(circuit: Circuit, index: int, nodes: Nodes | None, by: str | None) -> Waveform:
    """The voltage (V) between two nodes, or at an element's place with the element taken out, on an interval.

    Raises
    ------
    NotDefined
        If nothing determines it.
    """
    when = instant_of(circuit, index)
    if by is None:
        assert nodes is not None
        return dc(circuit, when).value(Signal(kind="voltage", of=nodes))
    return dc(circuit, when, {by: OPEN}).value(Signal(kind="voltage", of=by))


def short_circuit_current(circuit: Circuit, index: int, nodes: Nodes | None, by: str | None) -> Waveform:
    """The current (A) in a wire from the first node to the second, or in an element's place.

    Raises
    ------
    NotDefined
        If it has no finite value: an ideal voltage source between the nodes.
    """
    when: fmpq | None = instant_of(circuit, index)
    try:
        if by is not None:
            return dc(circuit, when, {by: SHORT}).value(Signal(kind="current", of=by))
        assert nodes is not None
        name = _BRIDGE
        while any(element.name == name for element in circuit.elements):
            name += "_"
        wire = Switch(name=name, between=nodes, closed_before=True, actions=())
        bridged = replace(circuit, elements=(*circuit.elements, wire))
        return dc(bridged, when).value(Signal(kind="current", of=name))
    except CircuitError:
        raise NotDefined(
            "a voltage source without resistance stands there, so a wire would carry no finite current"
        ) from None
