"""Roots, damping, poles and zeros against the matrices of independent equations.

Of the solver nothing is to be shared but the elements' records and the drives' values, so that a fault of it shows:

- roots are numpy's eigenvalues of the float state matrix, less the zeros of what nothing can change, counted by the rank of
  that matrix and the sources' effects; damping is worked out from the sum and the product of the two that are left;
- poles have to be such eigenvalues; poles and zeros together have to make up the frequency response of the float matrices
  at points all over the plane but for a factor, which fixes all of them; it has to vanish at zeros, its inverse at poles.
"""

import math
from functools import partial

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from grader.circuit.elements import Source
from grader.errors import NotDefined
from grader.values.scalar import rational, to_float
from grader.values.waveform import number_of
from tests.quantities.sampling import POINT, STARTS, system


def stages_of(ask, samples):
    """The float equations of every interval that there is, and how an item says that it means it."""
    for stage, start in zip(samples.stages, STARTS, strict=True):
        after = rational(repr(start))
        if any(interval.start == after for interval in ask.solved.intervals[1:]):
            yield stage, {"after": after}


def listed(found):
    """Roots of an answer as complex numbers."""
    return np.array([complex(*(to_float(number_of(part)) for part in root)) for root in found], dtype=complex)


def apart(found, right):
    """The largest distance in the best pairing of as many numbers."""
    distance = np.abs(found[:, None] - right[None, :])
    return distance[linear_sum_assignment(distance)].max(initial=0.0)


def own_roots(stage):
    """Eigenvalues, less a zero for every charge or flux that nothing changes (unless that is all there is)."""
    values = np.linalg.eigvals(stage.A)
    effects = [stage.B @ stage.drive(stage.at + t) for t in np.linspace(0, 3, 12)]
    changing = np.linalg.matrix_rank(np.column_stack([stage.A, *effects]), tol=1e-8) if len(values) else 0
    return values[np.argsort(-np.abs(values))][: changing or len(values)]


def roots(ask, stage, after):
    """Characteristic roots, and of second order all that is said of the damping."""
    right = own_roots(stage)
    if not len(right):
        return
    scale = max(1.0, np.abs(right).max())
    found = listed(ask("characteristic roots", **after))
    assert len(found) == len(right)
    assert apart(found, right) < 1e-4 * scale  # of a triple root, numpy sees the cube root of a rounding
    if len(right) != 2:
        with pytest.raises(NotDefined, match="second order"):
            ask("damping coefficient", **after)
        return
    alpha, square = -right.sum().real / 2, right.prod().real
    assert ask.value("damping coefficient", **after) == pytest.approx(alpha, abs=1e-8 * scale)
    if square < 1e-8:
        with pytest.raises(NotDefined):
            ask("undamped natural frequency", **after)
        with pytest.raises(NotDefined):
            ask("damping ratio", **after)
        return
    assert ask.value("undamped natural frequency", **after) == pytest.approx(math.sqrt(square), rel=1e-7)
    assert ask.value("damping ratio", **after) == pytest.approx(alpha / math.sqrt(square), rel=1e-7, abs=1e-8)
    if square - alpha**2 > 1e-6:
        ringing = math.sqrt(square - alpha**2)
        assert ask.value("damped natural frequency", **after) == pytest.approx(ringing, rel=1e-6)
    if alpha > 1e-6 and abs(alpha**2 - square) > 1e-6:
        assert ask("damping type", **after) == ("overdamped" if alpha**2 > square else "underdamped")
        assert ask.value("quality factor", **after) == pytest.approx(math.sqrt(square) / (2 * alpha), rel=1e-6)


def finite(ask, find, **keys):
    """Poles or zeros; none where it is said that there are none."""
    try:
        return listed(ask(find, **keys))
    except NotDefined as refusal:
        if f"no finite {find}" not in str(refusal):
            raise
        return np.array([], dtype=complex)


def around(centre, others):
    """Points on a circle that no other number is on or in."""
    radius = min(0.1, np.abs(others - centre).min(initial=1.0) / 2)
    return centre + radius * np.exp(2j * np.pi * (np.arange(32) + 0.3) / 32)


def poles_and_zeros(ask, stage, net, signal, after):
    """Those of the transfer function from the first source to a current."""
    source = next((e.name for e in net.elements if isinstance(e, Source)), None)
    if source is None:
        return
    own = np.linalg.eigvals(stage.A)
    response = partial(system, stage, stage.place[signal.of], source)
    keys = {"signal": signal, "of": (source,), **after}
    poles, zeros = (finite(ask, find, **keys) for find in ("poles", "zeros"))
    places = POINT * np.exp(1j * np.arange(12)) * (0.3 + np.arange(12) / 3)
    places = [s for s in places if np.abs(np.concatenate([own, poles, zeros]) - s).min(initial=1) > 0.05]
    values = np.array([response(s=s) for s in places])
    if np.abs(values).max() < 1e-10:
        assert not len(poles)
        assert not len(zeros)
        return
    assert all(np.abs(own - pole).min(initial=np.inf) < 1e-4 * max(1.0, abs(pole)) for pole in poles)
    assert all(np.abs(zeros - pole).min(initial=1) > 1e-9 for pole in poles)
    factors = [value * np.prod(s - poles) / np.prod(s - zeros) for s, value in zip(places, values, strict=True)]
    assert factors == pytest.approx([factors[0]] * len(factors), rel=1e-6)
    for places, inverse in ((zeros, False), (poles, True)):  # by the mean of a circle, as hidden modes may lie there
        for place in places:
            ring = np.array([response(s=s) for s in around(place, zeros if inverse else poles)])
            ring = 1 / ring if inverse else ring
            assert abs(ring.mean()) < 1e-6 * np.abs(ring).max()
