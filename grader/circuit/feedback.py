"""Whether an op amp's output acts back on its inputs the right way round.

An ideal op amp's equations have a solution for either sense; a real one drives its output away from it where a rise of
the output raises ``v+`` more than ``v-``.  A real amplifier is quickest of all, so capacitors hold their voltages and
inductors their currents while it settles; where nothing comes back that fast, the dc picture decides.
"""

from flint import fmpq

from grader.circuit.elements import Circuit, IdealOpAmp, Signal
from grader.circuit.modal import certainly_negative
from grader.circuit.statics import as_voltage, dc, dc_roles, held_roles, sources_off
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import Waveform, constant


def positive_feedback(circuit: Circuit, when: fmpq | None) -> list[str]:
    """The op amps whose output acts back on the + input more strongly than on the - input, from an instant on."""
    return [
        element.name
        for element in circuit.elements
        if isinstance(element, IdealOpAmp) and certainly_negative(-_fed_back(circuit, element, when))
    ]


def _fed_back(circuit: Circuit, amplifier: IdealOpAmp, when: fmpq | None) -> Scalar:
    """What of one volt at the output comes back as ``v+ - v-``."""
    roles = dc_roles(circuit)
    inputs = Signal(kind="voltage", of=(amplifier.non_inverting, amplifier.inverting))
    output = {amplifier.name: as_voltage(constant(ONE))}
    for storage in (held_roles(circuit, dict.fromkeys(roles, Waveform())), roles):
        try:
            found = dc(circuit, when, sources_off(circuit) | storage | output).value(inputs).number
        except (CircuitError, NotDefined):
            continue
        if found != 0:
            return found
    return ZERO
