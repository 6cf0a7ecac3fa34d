"""Energies stored, dissipated and delivered, against sampled integration of independent equations.

Of the solver nothing is to be shared but the elements' records and the drives' values, so that a fault of it shows:
energies over a part of an interval and across an action are Simpson's sums of sampled powers, those for good solve a
Lyapunov equation; stored ones come from sampled voltages and currents and, in the end, from the equilibrium of the float equations.
"""

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.linalg import solve_continuous_lyapunov

from grader.circuit.elements import CoupledInductors, Inductor, Resistor, Source, Storage
from grader.errors import NotDefined
from grader.values.scalar import rational, to_float
from tests.quantities.sampling import POINTS


def over_parts(ask, samples, net):
    """Energies over half of an interval, and over half of one and half of the next."""
    half = POINTS // 2
    first, second = (0, slice(half, None)), (1, slice(0, half + 1))
    parts = {"0.5": [first], "0.75": [first, second]}
    for find, kind, sign in (("energy dissipated", Resistor, 1), ("energy delivered", Source, -1)):
        for element in [e for e in net.elements if isinstance(e, kind)][:2]:
            power = samples.power(element)
            for until, pieces in parts.items():
                right = sign * sum(simpson(power[k][part], x=samples.times[k][part]) for k, part in pieces)
                found = ask.value(find, of=(element.name,), start=rational("0.25"), until=rational(until))
                assert found == pytest.approx(right, abs=1e-6 * samples.size**2)


def held(net, names, voltage, current):
    """What the storage elements named hold, couplings between two of them included."""
    total = 0.0
    for element in net.elements:
        if isinstance(element, CoupledInductors) and set(element.inductors) <= set(names):
            one, two = (current(net.element(name)) for name in element.inductors)
            total += to_float(element.mutual) * one * two
        elif isinstance(element, Storage) and element.name in names:
            size = current(element) if isinstance(element, Inductor) else voltage(element)
            total += to_float(element.value) * size**2 / 2
    return total


def holders(net):
    """Ways to name what stores energy, with the storage elements meant."""
    alone = [e.name for e in net.elements if isinstance(e, Storage)]
    yield from (((name,), (name,)) for name in alone)
    yield from (((e.name,), e.inductors) for e in net.elements if isinstance(e, CoupledInductors))
    if len(alone) > 1:
        yield tuple(alone), tuple(alone)


def stored(ask, samples, net):
    """Stored energies in the middle of every interval."""
    for k, times in enumerate(samples.times):
        for of, names in holders(net):
            right = held(
                net,
                names,
                lambda e, k=k: samples.voltage(e)[k][POINTS // 2],
                lambda e, k=k: samples.current(e.name)[k][POINTS // 2],
            )
            found = ask.value("stored energy", of=of, at=rational(repr(float(times[POINTS // 2]))))
            assert found == pytest.approx(right, abs=1e-6 * samples.size**2)


def in_the_end(ask, samples, signal, settling, after):
    """What is stored once all is at rest, and what a resistor turns to heat from 1 s on for good."""
    stage, x = samples.stages[-1], samples.opening[-1]
    row, final, final_state = settling
    rest = {e.name: value for e, value in zip(stage.states, final_state, strict=True)}
    for of, names in holders(stage.circuit):
        right = held(stage.circuit, names, lambda e: rest[e.name], lambda e: rest[e.name])
        near = 1e-6 * max(samples.size, *np.abs(final_state)) ** 2
        assert ask.value("stored energy", of=of, **after) == pytest.approx(right, abs=near)
    if abs(final) > 1e-6:
        with pytest.raises(NotDefined):
            ask("energy dissipated", of=(signal.of,), **after)
    elif abs(final) < 1e-11:
        # The integral of i² is x' P x with A' P + P A = -c' c, of i = c x (Lyapunov's equation).
        weight = solve_continuous_lyapunov(stage.A.T, -np.outer(row, row))
        away = x - final_state
        heat = to_float(stage.circuit.element(signal.of).value) * (away @ weight @ away)
        found = ask.value("energy dissipated", of=(signal.of,), **after)
        assert found == pytest.approx(heat, abs=1e-6 * samples.size**2)
