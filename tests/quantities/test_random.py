"""Everything that can be asked, on random switched circuits, against sampled integration of independent equations.

Outside reference: scipy's DOP853 integrator and numpy's matrices on state equations set up by `float_nodal`; what is read off
the samples here is written out once more, in plain numpy.

Of the solver nothing is to be shared but the elements' records and the drives' values, so that a fault of it shows.  The
short-circuit current is that of a wire in the float circuit; where a wire there has no clear solution, the open-circuit
voltage over the resistance seen.  `sampled_energies` and `sampled_roots` say the same of what they compare.
"""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, simpson
from scipy.linalg import expm

from grader.circuit.elements import Circuit, CurrentSource, Drive, Resistor, Signal, Source, VoltageSource
from grader.errors import CircuitError, NotDefined
from grader.problem import Goal, Item
from grader.quantities.design import _root, requirement
from grader.quantities.second_order import coefficients
from grader.values.laplace import delayed_parts, fraction, without_impulse
from grader.values.scalar import rational, to_float
from grader.values.waveform import TIME, Waveform, number_of
from tests.circuit.float_nodal import FloatCircuit, IllConditioned
from tests.circuit.test_against_integration import circuits
from tests.quantities.sampled_energies import in_the_end, over_parts, stored
from tests.quantities.sampled_roots import poles_and_zeros, roots, stages_of
from tests.quantities.sampling import END, POINT, POINTS, Asking, Sampled, sampled, system

FEW = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow]
)
MANY = settings(FEW, max_examples=2000)


WINDOW = {"start": rational("0"), "until": rational("1.7")}


def check(net):
    """Every find on one circuit; a refusal fails unless the samples agree that there is nothing to be found."""
    samples = sampled(net)  # first: what has no clear solution in floats need have none at all
    ask = Asking(net)
    assume(ask.solved.intervals[1].start == 0)  # initial values hold at the first action
    try:
        ask("value just before switching", signal=Signal(kind="current", of=net.elements[0].name))
        refused = ""
    except NotDefined as refusal:
        refused = str(refusal)
    assert not refused or "steady state before the first action" in refused  # a source that has grown for all past time
    assume(not refused)
    name = next(e.name for e in net.elements if isinstance(e, Resistor))
    signal, pieces = Signal(kind="current", of=name), samples.current(name)
    near = {"abs": 4e-4 * samples.size}
    over_a_stretch(ask, samples, net, near)
    over_parts(ask, samples, net)
    stored(ask, samples, net)
    for stage, after in stages_of(ask, samples):
        roots(ask, stage, after)
        poles_and_zeros(ask, stage, net, signal, after)
    extremes(ask, samples, signal, pieces, near)
    crossing(ask, samples, signal, pieces)
    last_interval(ask, samples, signal, near)
    at_instants(ask, samples, signal, near)
    in_s_domain(ask, samples, net, signal)
    at_two_terminals(ask, net, net.element(name))
    transforms(ask, samples, signal)
    design(ask, net, signal)


def at_instants(ask, samples, signal, near):
    """Values at instants in every interval, and the whole answer over time there."""
    whole = ask("response", signal=signal)
    for times, y in zip(samples.times, samples.current(signal.of), strict=True):
        middle = times[POINTS // 2]
        assert ask.value("value at", signal=signal, at=rational(repr(float(middle)))) == pytest.approx(
            y[POINTS // 2], **near
        )
        piece = [waveform for start, _, waveform in whole.stretches() if to_float(start) <= middle][-1]
        assert piece.value(middle) == pytest.approx(y[POINTS // 2], **near)
    assert ask.value("initial value", signal=signal) == pytest.approx(samples.current(signal.of)[0][0], **near)


def quotient(found, s):
    top, bottom = (sum(to_float(c) * s**k for k, c in enumerate(side)) for side in found)
    return top / bottom


def at_point(waveform):
    return quotient(fraction(waveform.number), POINT)


def in_s_domain(ask, samples, net, signal):
    """Transfer functions of the last interval and impulse responses of the first."""
    source = next((e.name for e in net.elements if isinstance(e, Source)), None)
    if source is None:
        return
    stage = samples.stages[-1]
    assume(np.abs(np.linalg.eigvals(stage.A) - POINT).min(initial=1) > 0.1)
    last = {"after": rational("1")} if any(i.start == 1 for i in ask.solved.intervals[1:]) else None
    if last is not None:
        found = ask("transfer function", signal=signal, of=(source,), **last)
        assert at_point(found) == pytest.approx(system(stage, stage.place[signal.of], source), rel=1e-6, abs=1e-7)
    stage, k = samples.stages[0], samples.stages[0].sources.index(net.element(source))
    area, rest = without_impulse(ask("impulse response", signal=signal, of=(source,)))
    row = stage.place[signal.of]
    assert to_float(area) == pytest.approx(stage.Du[row, k], abs=1e-7)
    for t in (0.1, 0.6):
        right = stage.Cx[row] @ expm(stage.A * t) @ stage.B[:, k]
        assert rest.value(t) == pytest.approx(right, rel=1e-6, abs=1e-6)


def at_two_terminals(ask, net, resistor):
    """Impedance and resistance where a resistor stands, by a current sent in there, and the voltage left there at rest."""
    if not any(i.start == 1 for i in ask.solved.intervals[1:]):
        return
    probe = CurrentSource(name="probe", between=resistor.between[::-1], drive=Drive(pieces=((None, Waveform()),)))
    others = [e for e in net.elements if not (e is resistor or getattr(e, "control", None) == resistor.name)]
    bare = Circuit(elements=(*others, resistor), ground=net.ground)  # what the resistor controls would go with it
    after = {"after": rational("1")}
    try:
        opened = FloatCircuit(Circuit(elements=(*others, probe), ground=net.ground), 1.0)
    except (IllConditioned, KeyError):
        return
    if np.abs(np.linalg.eigvals(opened.A) - POINT).min(initial=1) < 0.1 or np.abs(opened.A).max(initial=0) > 1e3:
        return
    a, b = (opened.node.get(node) for node in resistor.between)

    def across(response):
        return (response(a) if a is not None else 0) - (response(b) if b is not None else 0)

    ask = Asking(bare)
    found = at_point(ask("impedance", by=resistor.name, **after))
    right = across(lambda row: system(opened, row, "probe"))
    assert found == pytest.approx(right, rel=1e-6, abs=1e-7)
    if not len(opened.A) or np.abs(np.linalg.eigvals(opened.A)).min() < 1e-6:
        return
    seen = across(lambda row: system(opened, row, "probe", 0))
    together = seen + to_float(resistor.value)
    if abs(together) < 1e-9 * to_float(resistor.value):
        return  # beside its own negative, which dependent sources make, there is no resistance
    shunted = seen * to_float(resistor.value) / together
    try:
        found = ask.value("resistance between", between=resistor.between, **after)
    except (CircuitError, NotDefined):
        return
    assert found == pytest.approx(shunted, rel=1e-6, abs=1e-7)
    drive = opened.drive(1.0)
    if all(np.allclose(opened.drive(t), drive) for t in (1.3, 2.9)):
        rest = -np.linalg.solve(opened.A, opened.B @ drive)
        voltage = across(lambda row: opened.Cx[row] @ rest + opened.Du[row] @ drive)
        assert ask.value("open-circuit voltage", by=resistor.name, **after) == pytest.approx(
            voltage, rel=1e-6, abs=1e-6
        )
        if abs(seen) > 1e-6:
            through = wire(resistor, others, net.ground)
            through = voltage / seen if through is None else through
            for where in ({"by": resistor.name}, {"between": resistor.between}):
                found = ask.value("short-circuit current", **where, **after)
                assert found == pytest.approx(through, rel=1e-6, abs=1e-6)


def wire(resistor, others, ground):
    """The current at rest in a wire in a resistor's place; None where floats do not settle it."""
    own = VoltageSource(name="wire", between=resistor.between, drive=Drive(pieces=((None, Waveform()),)))
    try:
        closed = FloatCircuit(Circuit(elements=(*others, own), ground=ground), 1.0)
    except IllConditioned:
        return None
    if np.abs(np.linalg.eigvals(closed.A)).min(initial=1) < 1e-6:
        return None
    drive = closed.drive(1.0)
    row = closed.place["wire"]
    return closed.Cx[row] @ -np.linalg.solve(closed.A, closed.B @ drive) + closed.Du[row] @ drive


def transforms(ask, samples, signal):
    """The transform of a signal, from samples until 1 s, and from then on from state equations and integrals of the sources."""
    stage, x = samples.stages[-1], samples.opening[-1]
    delivered = [
        sum(
            part * quad(lambda t, k=k, wave=wave: stage.drive(1 + t)[k] * wave(POINT.imag * t) * np.exp(-POINT.real * t),
                        0, 30, limit=400)[0]
            for part, wave in ((1, np.cos), (-1j, np.sin))
        )
        for k in range(len(stage.sources))
    ]  # fmt: skip
    row = stage.place[signal.of]
    states = np.linalg.solve(POINT * np.eye(len(x)) - stage.A, x + stage.B @ delivered)
    right = np.exp(-POINT) * (stage.Cx[row] @ states + stage.Du[row] @ delivered)
    for times, y in list(zip(samples.times, samples.current(signal.of), strict=True))[:-1]:
        right += simpson(y * np.exp(-POINT * times), x=times)
    s = POINT
    found = sum(
        np.exp(-s * to_float(part.delay)) * quotient(part.fraction, s)
        for part in delayed_parts(ask("transform", signal=signal))
    )
    assert found == pytest.approx(right, abs=1e-6 * samples.size)


def over_a_stretch(ask, samples, net, near):
    """Charge, energies, mean power, shares."""
    resistors = [e for e in net.elements if isinstance(e, Resistor)]
    sources = [e for e in net.elements if isinstance(e, Source)]
    first = resistors[0]
    near = {"abs": near["abs"] * samples.size * 2}
    assert ask.value("charge passed", signal=Signal(kind="current", of=first.name), **WINDOW) == pytest.approx(
        samples.integral(samples.current(first.name)), **near
    )
    heat = sum(samples.integral(samples.power(e)) for e in resistors)
    names = tuple(e.name for e in resistors)
    assert ask.value("energy dissipated", of=names, **WINDOW) == pytest.approx(heat, **near)
    mean = ask.value("average power", signal=Signal(kind="power", of=first.name), **WINDOW)
    assert mean == pytest.approx(samples.integral(samples.power(first)) / END, **near)
    if sources:
        given_ = -sum(samples.integral(samples.power(e)) for e in sources)
        assert ask.value("energy delivered", of=tuple(e.name for e in sources), **WINDOW) == pytest.approx(
            given_, **near
        )
    if heat > 0.01:
        share = ask.value("energy share", of=names[:1], settings=(("out_of", " ".join(names)),), **WINDOW)
        assert share == pytest.approx(samples.integral(samples.power(first)) / heat, abs=2e-3)


def extremes(ask, samples, signal, pieces, near):
    """Largest and smallest value, and that the signal has it when it is said to."""
    for word, way in (("maximum", max), ("minimum", min)):
        right = way(way(y) for y in pieces)
        assert ask.value(word, signal=signal, **WINDOW) == pytest.approx(right, **near)
        when = ask.value(f"time of {word}", signal=signal, **WINDOW)
        held = [
            np.interp(when, t, y)
            for t, y in zip(samples.times, pieces, strict=True)
            if t[0] - 1e-9 <= when <= t[-1] + 1e-9
        ]
        assert way(held) == pytest.approx(right, **near)


def crossing(ask, samples, signal, pieces):
    """The first passage of a level in the middle of what the signal goes through."""
    low, high = min(y.min() for y in pieces), max(y.max() for y in pieces)
    if high - low < 0.01 * samples.size:
        return
    level = rational(repr(round(float(low + 0.37 * (high - low)), 6)))
    passed = [
        t[k] + (t[k + 1] - t[k]) * (to_float(level) - y[k]) / (y[k + 1] - y[k])
        for t, y in zip(samples.times, pieces, strict=True)
        for k in np.nonzero(
            (y[:-1] != to_float(level)) & ((y[:-1] - to_float(level)) * (y[1:] - to_float(level)) <= 0)
        )[0]
    ]
    if passed:
        assert ask.value("time to reach", signal=signal, level=level, **WINDOW) == pytest.approx(passed[0], abs=2e-3)
    else:
        with pytest.raises(NotDefined, match="does not reach"):
            ask("time to reach", signal=signal, level=level, **WINDOW)


def last_interval(ask, samples, signal, near):
    """Polynomial, equation, parts and settling of the interval after 1 s, where its sources are constant."""
    stage, x = samples.stages[-1], samples.opening[-1]
    after = {"after": rational("1")} if any(i.start == 1 for i in ask.solved.intervals[1:]) else None
    if after is None or np.abs(np.linalg.eigvals(stage.A)).max(initial=0.0) < 1e-9:
        return
    poly = np.real(np.poly(stage.A))
    found = coefficients(ask("characteristic polynomial", **after))
    scale = max(1.0, np.abs(poly).max())
    left_out = len(x) - max(found)  # zeros of charge or flux that nothing can change
    theirs = [to_float(found.get(max(found) - k, rational("0"))) for k in range(max(found) + 1)]
    assert theirs + [0.0] * left_out == pytest.approx(list(poly), abs=1e-6 * scale)
    row, direct = stage.Cx[stage.place[signal.of]], stage.Du[stage.place[signal.of]]
    whole = ask("expression", signal=signal, **after)
    own, driven = ask("zero-input part", signal=signal, **after), ask("zero-state part", signal=signal, **after)
    assert own + driven == whole or all(
        (own + driven).value(t) == pytest.approx(whole.value(t), abs=near["abs"]) for t in (1.1, 1.6)
    )
    values, vectors = np.linalg.eig(stage.A)
    assume(np.linalg.cond(vectors) < 1e6)
    modal = np.linalg.solve(vectors, x)
    for t in (1.0, 1.2, 1.7):
        free = np.real(row @ (vectors @ (np.exp(values * (t - 1)) * modal)))
        assert own.value(t) == pytest.approx(free, abs=1e-5 * samples.size)
    drive = stage.drive(1.0)
    if any(not np.allclose(stage.drive(t), drive) for t in (1.3, 2.9)):
        return
    speed = stage.A @ x + stage.B @ drive
    assert ask.value("slope at", signal=signal, at=rational("1")) == pytest.approx(
        row @ speed, abs=1e-5 * samples.size * 30
    )
    assert ask.value("initial second derivative", signal=signal, **after) == pytest.approx(
        row @ (stage.A @ speed), abs=1e-5 * samples.size * 900
    )
    equation = coefficients(ask("differential equation", signal=signal, **after))
    derivatives = [
        row @ x + direct @ drive,
        *(row @ (np.linalg.matrix_power(stage.A, k) @ speed) for k in range(len(x))),
    ]
    left = sum(to_float(equation.get(k + 1, rational("0"))) * y for k, y in enumerate(derivatives))
    assert left == pytest.approx(-to_float(equation.get(0, rational("0"))), abs=1e-5 * scale * samples.size * 30)
    if values.real.max() < -0.05:
        settled(ask, samples, signal, row, direct, drive, values, vectors, after)


def settled(ask, samples, signal, row, direct, drive, values, vectors, after):
    """Settling, overshoot and rise of a stable response to constant sources, from its modes sampled until all is over."""
    stage, x = samples.stages[-1], samples.opening[-1]
    final_state = -np.linalg.solve(stage.A, stage.B @ drive)
    final = row @ final_state + direct @ drive
    grid = np.linspace(0, 12 / -values.real.max(), 60_001)
    modal = np.linalg.solve(vectors, x - final_state)
    y = final + np.real((row @ vectors) @ (np.exp(np.outer(values, grid)) * modal[:, None]))
    change = final - y[0]
    assert ask.value("final value", signal=signal, **after) == pytest.approx(final, abs=1e-6 * samples.size)
    in_the_end(ask, samples, signal, (row, final, final_state), after)
    if abs(change) < 0.05 * samples.size:
        return
    natural = ask("natural part", signal=signal, **after)
    assert natural.value(1.4) == pytest.approx(np.interp(0.4, grid, y) - final, abs=1e-3 * samples.size)
    away = (y - final) / change
    assert ask.value("percent overshoot", signal=signal, **after) == pytest.approx(max(away.max(), 0.0), abs=1e-3)
    outside = np.nonzero(np.abs(away) > 0.05)[0]
    steps = 30 * (grid[1] - grid[0])
    edge = np.abs(np.abs(away) - 0.05)
    touching = np.nonzero((edge[1:-1] < edge[:-2]) & (edge[1:-1] < edge[2:]) & (edge[1:-1] < 2e-3))[0]
    if not any(abs(np.gradient(away)[k + 1]) < 1e-6 for k in touching):  # the band is passed, not touched
        settling = ask.value("settling time", signal=signal, settings=(("band", "5 %"),), **after)
        assert settling == pytest.approx(grid[outside[-1]], abs=max(steps, 2e-3))
    levels = [np.nonzero(-away + 1 >= share)[0] for share in (0.1, 0.9)]
    if away.min() > -0.5 and away.max() <= 1.0 + 1e-9:
        rise = ask.value("rise time", signal=signal, **after)
        assert rise == pytest.approx(grid[levels[1][0]] - grid[levels[0][0]], abs=max(steps, 2e-3))


def design(ask, net, signal):
    """The resistor's own value gives the value it gives, one ten per cent away does not, and the search between finds it."""
    at = rational("1.2")
    try:
        target = number_of(ask("value at", signal=signal, at=at))
    except (CircuitError, NotDefined):
        return
    goal = Goal(
        item=Item(id="x", find="value at", points=0, signal=signal, at=at), relation="is", target=target, text=""
    )
    item = Item(id="x", find="element value", points=1, of=(signal.of,), goal=goal)
    required = requirement(ask.problem, item)
    own = net.element(signal.of).value
    gaps = [required.gap(own * rational(factor)) for factor in ("9/10", "11/10")]
    if None in gaps or gaps[0] * gaps[1] >= 0 or min(map(abs, gaps)) < 1e-6:
        return  # it does not decide that value, or only touches it
    assert required.gap(own) == pytest.approx(0, abs=1e-12)
    if len(ask.solved.intervals) == 2:  # the search works with long decimals, which takes its time
        ends = [(to_float(own * rational(factor)), gap) for factor, gap in zip(("9/10", "11/10"), gaps, strict=True)]
        assert math.isclose(to_float(_root(required, *ends)), to_float(own), rel_tol=1e-5)


@FEW
@given(circuits(storage=2))
def test_everything_asked_agrees_with_integration(net):
    check(net)


@pytest.mark.nightly
@MANY
@given(st.integers(1, 3).flatmap(lambda storage: circuits(storage=storage)))
def test_everything_asked_agrees_with_integration_on_many_circuits(net):
    check(net)


def test_the_comparison_sees_a_difference():
    """The same check on samples of another circuit fails."""
    from tests.circuit.building import C, R, V, circuit

    right = circuit(V("V1", "a", "g", 0, ("0", 5)), R("R1", "a", "b", "1"), C("C1", "b", "g", "1", "0"))
    other = circuit(V("V1", "a", "g", 0, ("0", 5)), R("R1", "a", "b", "1.05"), C("C1", "b", "g", "1", "0"))
    ask, samples = Asking(right), Sampled(other)
    with pytest.raises(AssertionError):
        over_a_stretch(ask, samples, right, {"abs": 2e-4})
    over_a_stretch(ask, Sampled(right), right, {"abs": 2e-4})


def test_the_comparison_of_energies_and_roots_sees_a_difference():
    """Nor do the further checks agree with another circuit."""
    from tests.circuit.building import C, L, R, V, circuit

    def damped(resistance):
        return circuit(
            V("V1", "a", "g", 0, ("0", 5)), R("R1", "a", "b", resistance), L("L1", "b", "c", "1", "0"),
            C("C1", "c", "g", "1/5", "0"),
        )  # fmt: skip

    right, other = damped("1"), damped("1.05")
    ask, signal = Asking(right), Signal(kind="current", of="R1")
    checks = (
        lambda samples: over_parts(ask, samples, right),
        lambda samples: stored(ask, samples, right),
        lambda samples: roots(ask, samples.stages[0], {"after": rational("0")}),
        lambda samples: poles_and_zeros(ask, samples.stages[0], right, signal, {"after": rational("0")}),
    )
    for compare in checks:
        compare(Sampled(right))
        with pytest.raises(AssertionError):
            compare(Sampled(other))


def test_a_level_that_a_sample_has_exactly_is_passed_there():
    """-2t A until 0.5 s: -0.63 A at 0.315 s, the 378th of 600 steps."""
    from tests.circuit.building import I, R, circuit

    ramp = TIME.scaled(rational("-2"))
    net = circuit(I("I1", "g", "a", 0, ("0", ramp), ("1/2", 0)), R("R1", "a", "g", "1"))
    ask, samples = Asking(net), Sampled(net)
    assert -0.63 in samples.current("R1")[0]
    crossing(ask, samples, Signal(kind="current", of="R1"), samples.current("R1"))
