# ruff: noqa: N806 - matrices have capital letters
"""The same circuits in floats, by another way: an independent check on the exact solver.

Capacitors are replaced by voltage sources and inductors by current sources, the resistive circuit left is solved by
plain nodal analysis with numpy for each of them and for each source alone (superposition), and the state equations so
found are integrated with scipy's matrix exponential or its Runge-Kutta method.  Nothing of the exact solver is used but the
elements' records and the drives' values.
"""

import numpy as np
from scipy.integrate import solve_ivp

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    IdealOpAmp,
    IdealTransformer,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from grader.values.scalar import to_float


class IllConditioned(Exception):
    """The resistive circuit has no clear solution in floats."""


class FloatCircuit:
    """State equations ``x' = A x + B u`` and all node voltages and element currents ``y = C x + D u``."""

    def __init__(self, circuit: Circuit, time: float, conditioned: float = 1e8) -> None:
        self.circuit = circuit
        self.states = [e for e in circuit.elements if isinstance(e, Capacitor | Inductor)]
        self.sources = [e for e in circuit.elements if isinstance(e, VoltageSource | CurrentSource)]
        self.branches = [part for e in circuit.elements for part in branches_of(e)]
        self.at = time
        self.conditioned = conditioned
        nodes = {circuit.ground}
        for element in self.branches:
            nodes |= set(self.ends(element))
            if isinstance(element, IdealOpAmp):
                nodes |= {element.non_inverting, element.inverting}
        nodes.discard(circuit.ground)
        self.nodes = sorted(nodes)
        self._build()

    def ends(self, element):
        if isinstance(element, ChangeoverSwitch):
            throw = element.before
            for t, to in element.actions:
                throw = to if float(t.p) / float(t.q) <= self.at else throw
            return element.common, throw
        if isinstance(element, IdealOpAmp):
            return element.output, self.circuit.ground
        return element.primary if isinstance(element, IdealTransformer) else element.between

    def closed(self, switch):
        state = switch.before
        for t, to in switch.actions:
            state = to if float(t.p) / float(t.q) <= self.at else state
        return state

    def _build(self) -> None:
        n, b = len(self.nodes), len(self.branches)
        node = {name: i for i, name in enumerate(self.nodes)}
        place = {e.name: n + i for i, e in enumerate(self.branches)}
        size = n + b
        inputs = [e.name for e in self.states] + [e.name for e in self.sources]
        M = np.zeros((size, size))
        F = np.zeros((size, len(inputs)))

        def volt(row, a, c, factor=1.0):
            if a in node:
                M[row, node[a]] += factor
            if c in node:
                M[row, node[c]] -= factor

        for k, e in enumerate(self.branches):
            row, own = n + k, place[e.name]
            a, c = self.ends(e)
            if a in node:
                M[node[a], own] += 1
            if c in node:
                M[node[c], own] -= 1
            if isinstance(e, Resistor):
                volt(row, a, c)
                M[row, own] -= to_float(e.value)
            elif isinstance(e, Capacitor | VoltageSource):
                volt(row, a, c)
                F[row, inputs.index(e.name)] = 1
            elif isinstance(e, Inductor | CurrentSource):
                M[row, own] = 1
                F[row, inputs.index(e.name)] = 1
            elif isinstance(e, DependentSource):
                if e.delivers == "voltage":
                    volt(row, a, c)
                else:
                    M[row, own] += 1
                gain = to_float(e.gain)
                if isinstance(e.control, tuple):
                    volt(row, *e.control, factor=-gain)
                elif e.controlled_by == "current":
                    M[row, place[e.control]] -= gain
                else:
                    volt(row, *self.ends(self.circuit.element(e.control)), factor=-gain)
            elif isinstance(e, IdealOpAmp):
                volt(row, e.non_inverting, e.inverting)
            elif isinstance(e, Switch) and not self.closed(e):
                M[row, own] = 1
            else:
                volt(row, a, c)
        if np.linalg.cond(M) > self.conditioned:
            raise IllConditioned
        Y = np.linalg.solve(M, F)
        m = len(self.states)
        change = np.zeros((m, len(inputs)))
        D = np.zeros((m, m))
        for i, e in enumerate(self.states):
            D[i, i] = to_float(e.value)
            if isinstance(e, Capacitor):
                change[i] = Y[place[e.name]]
            else:
                a, c = e.between
                change[i] = (Y[node[a]] if a in node else 0) - (Y[node[c]] if c in node else 0)
        for e in self.circuit.elements:
            if isinstance(e, CoupledInductors):
                i, j = ([s.name for s in self.states].index(name) for name in e.inductors)
                D[i, j] = D[j, i] = to_float(e.mutual)
        if m and np.linalg.cond(D) > self.conditioned:
            raise IllConditioned
        slope = np.linalg.solve(D, change) if m else change
        self.A, self.B = slope[:, :m], slope[:, m:]
        self.Cx, self.Du = Y[:, :m], Y[:, m:]
        self.place, self.node = place, node

    def drive(self, t):
        return np.array([drive_value(e, self.at, t) for e in self.sources])

    def outputs(self, t, x):
        """Node voltages by name and element currents by name."""
        y = self.Cx @ x + self.Du @ self.drive(t)
        named = {e.name for e in self.circuit.elements}
        return {n: y[i] for n, i in self.node.items()}, {n: y[i] for n, i in self.place.items() if n in named}

    def run(self, x, start, times):
        """States at the times given (in order), from `x` at `start`."""
        if not len(x):
            return [x for _ in times]
        solution = solve_ivp(
            lambda t, s: self.A @ s + self.B @ self.drive(t),
            (start, times[-1]),
            x,
            method="DOP853",
            t_eval=times,
            rtol=1e-10,
            atol=1e-12,
        )
        return list(solution.y.T)


def branches_of(element):
    """An ideal transformer as the two dependent sources that it is: v1 = n v2, and i2 = -n i1."""
    if isinstance(element, CoupledInductors):
        return ()
    if not isinstance(element, IdealTransformer):
        return (element,)
    primary = DependentSource(
        name=element.name, between=element.primary, delivers="voltage", controlled_by="voltage",
        gain=element.ratio, control=element.secondary,
    )  # fmt: skip
    secondary = DependentSource(
        name=element.second, between=element.secondary, delivers="current", controlled_by="current",
        gain=-element.ratio, control=element.name,
    )  # fmt: skip
    return primary, secondary


def drive_value(source, since, t):
    """What a source delivers at t, by the piece in force from `since` on."""
    found = 0.0
    for start, waveform in source.drive.pieces:
        if start is None or float(start.p) / float(start.q) <= since:
            found = waveform.value(t)
    return found
