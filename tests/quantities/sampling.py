"""Random switched circuits sampled by integration, the other side of a comparison, and what is asked about them."""

from functools import cached_property

import numpy as np
from hypothesis import assume
from scipy.integrate import trapezoid

from grader.circuit.response import solve
from grader.problem import Item, Problem
from grader.quantities import asked
from grader.quantities.catalogue import question_of
from grader.values.scalar import to_float
from grader.values.waveform import number_of
from tests.circuit.float_nodal import FloatCircuit, IllConditioned

STARTS, END, POINTS = (0.0, 0.5, 1.0), 1.7, 601
POINT = 1.7 + 2.9j
"""Where functions of s are compared (1/s)."""


class Sampled:
    """A circuit integrated on a grid of every interval: node voltages and element currents, by name."""

    def __init__(self, net) -> None:
        self.net = net
        self.stages = [FloatCircuit(net, start) for start in STARTS]
        x = np.array([to_float(e.initial) for e in FloatCircuit(net, -1.0).states])
        self.times, self.voltages, self.currents, self.opening = [], [], [], []
        for stage, start, end in zip(self.stages, STARTS, (*STARTS[1:], END), strict=True):
            times = np.linspace(start, end, POINTS)
            self.opening.append(x)
            states = stage.run(x, start, times)
            found = [stage.outputs(t, state) for t, state in zip(times, states, strict=True)]
            self.times.append(times)
            self.voltages.append({name: np.array([v[name] for v, _ in found]) for name in stage.node})
            self.currents.append({name: np.array([i[name] for _, i in found]) for name in found[0][1]})
            x = states[-1]

    def current(self, name):
        return [piece[name] for piece in self.currents]

    def voltage(self, element):
        found = []
        for stage, piece in zip(self.stages, self.voltages, strict=True):
            zero = np.zeros(POINTS)
            a, b = stage.ends(element)
            found.append(piece.get(a, zero) - piece.get(b, zero))
        return found

    def power(self, element):
        return [v * i for v, i in zip(self.voltage(element), self.current(element.name), strict=True)]

    def integral(self, pieces):
        return sum(trapezoid(y, t) for y, t in zip(pieces, self.times, strict=True))

    @cached_property
    def size(self):
        return max(
            1.0,
            *(
                np.abs(y).max(initial=0.0)
                for part in (self.voltages, self.currents)
                for one in part
                for y in one.values()
            ),
        )


def sampled(net):
    try:
        found = Sampled(net)
    except IllConditioned:
        assume(False)
    assume(all(np.abs(np.linalg.eigvals(stage.A)).max(initial=0) < 30 for stage in found.stages))
    assume(found.size < 1e4)
    return found


class Asking:
    """Answers of the catalogue to items on one circuit."""

    def __init__(self, net) -> None:
        self.problem = Problem(id="p", title="", text="", circuit=net, items=())
        self.solved = solve(net)

    def __call__(self, find, **keys):
        item = Item(id="x", find=find, points=1, **keys)
        return asked(find).reference(question_of(self.problem, item, self.solved))

    def value(self, find, **keys):
        return to_float(number_of(self(find, **keys)))


def system(stage, row, source, s=POINT):
    """``C (sI - A)^-1 B + D`` of one output and one source."""
    k = [e.name for e in stage.sources].index(source)
    return stage.Cx[row] @ np.linalg.solve(s * np.eye(len(stage.A)) - stage.A, stage.B[:, k]) + stage.Du[row, k]
