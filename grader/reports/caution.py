"""Cautions: what of a problem's circuit would be dangerous on a bench.

References
----------
60 V for smoothed dc and 30 V rms (42.4 V peak) for ac are the usual limits of voltages that may be touched (IEC 61140
and IEC 62368-1; from memory).  Interrupting an inductor's current: common practice, no source.  Local rules govern.
"""

import math

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    CurrentSource,
    Inductor,
    Resistor,
    Signal,
    Switch,
    VoltageSource,
)
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import Scalar, is_symbolic, to_float
from grader.values.waveform import Waveform

TOUCH_DC = 60.0
"""Volts, dc: above, a charged capacitor or a supply is not to be touched."""

TOUCH_PEAK = 42.4
"""Volts, peak of an alternating voltage."""

GOVERNS = (
    "This is an exercise on paper. Bench work follows your laboratory's own rules and supervision; "
    "local codes and licensed practice govern real installations."
)

NOT_AS_IT_STANDS = "Do not build this as it stands."
INDUCTOR = (
    "Interrupting the current of an inductor drives its voltage up until something "
    "conducts, often an arc at the switch. Real circuits give the current another path."
)
KICK = "When a switch acts, a coil here drives its voltage to 60 V or more."
CAPACITOR = (
    "A capacitor here could be charged to 60 V or more and would stay charged after the "
    "supply is off. It would have to be discharged through a resistor, and measured, before anybody touches it."
)
SUPPLY = "A supply here is above what may be touched, and could kill. Such circuits need guarding, isolation and trained people."


def cautions(circuit: Circuit | None) -> tuple[str, ...]:
    """Sentences for a circuit that would be dangerous to build; none for a harmless one.

    A capacitor is held against what the sources could give at most, so that no caution tells its voltage; a coil
    against the voltage that it really has after a switching.  Values that are symbols are taken as harmless.
    """
    if circuit is None:
        return ()
    kinds = [type(element) for element in circuit.elements]
    found = []
    if Inductor in kinds and any(_interrupts(element) for element in circuit.elements):
        found += _kick(circuit)
    if Capacitor in kinds and _highest(circuit) >= TOUCH_DC:
        found.append(CAPACITOR)
    if any(_strong(e) for e in circuit.elements):
        found.append(SUPPLY)
    return (NOT_AS_IT_STANDS, *found, GOVERNS) if found else ()


def _interrupts(element: object) -> bool:
    if isinstance(element, ChangeoverSwitch):
        return True
    return isinstance(element, Switch) and any(not closed for _, closed in element.actions)


def _kick(circuit: Circuit) -> list[str]:
    """What a switching does to the coils: their current is cut off, or goes on by another path and drives much voltage there."""
    try:
        solved = solve(circuit)
        falls = [
            solved.just_after(Signal(kind="voltage", of=element.name), index)
            for element in circuit.elements
            if isinstance(element, Inductor)
            for index in range(1, len(solved.intervals))
        ]
    except (CircuitError, NotDefined):
        return [INDUCTOR]
    if any(impulse.kind == "flux" for impulse in solved.impulses):
        return [INDUCTOR]
    return [KICK] if any(not v.is_symbolic and abs(v.value()) >= TOUCH_DC for v in falls) else []


def _strong(element: object) -> bool:
    """Whether a voltage source alone is above the limit of touch."""
    if not isinstance(element, VoltageSource):
        return False
    sizes = [_sizes(waveform) for _, waveform in element.drive.pieces]
    return any(steady >= TOUCH_DC or peak >= TOUCH_PEAK for steady, peak in sizes)


def _highest(circuit: Circuit) -> float:
    """A bound (volts) of what the sources could charge a capacitor to, or of what one holds from the start."""
    voltage = current = resistance = start = 0.0
    for element in circuit.elements:
        if isinstance(element, VoltageSource):
            voltage += max(sum(_sizes(waveform)) for _, waveform in element.drive.pieces)
        elif isinstance(element, CurrentSource):
            most = max(sum(_sizes(waveform)) for _, waveform in element.drive.pieces)
            beside = _across(circuit, element)
            if beside:
                voltage += most * min(beside)  # a source of that voltage with the resistor in series does the same
            else:
                current += most
        elif isinstance(element, Resistor):
            resistance += _size(element.value)
        elif isinstance(element, Capacitor) and element.initial is not None:
            start = max(start, _size(element.initial))
    return max(voltage + current * resistance, start)


def _across(circuit: Circuit, source: CurrentSource) -> list[float]:
    """The known resistances directly across a current source, whatever switches do."""
    resistors = (one for one in circuit.elements if isinstance(one, Resistor))
    values = (one.value for one in resistors if set(one.between) == set(source.between))
    return [_size(value) for value in values if not is_symbolic(value)]


def _sizes(waveform: Waveform) -> tuple[float, float]:
    """The size of what is steady or dies out, and the peak of what alternates."""
    if waveform.is_symbolic:
        return 0.0, 0.0
    steady = peak = 0.0
    for mode in waveform.modes():
        if mode.frequency == 0:
            steady += abs(mode.cosine)
        else:
            peak += math.hypot(mode.cosine, mode.sine)
    return steady, peak


def _size(value: Scalar) -> float:
    return 0.0 if is_symbolic(value) else abs(to_float(value))
