"""Extremes, settling, parts and sums over time, against closed forms worked by hand and against plain sampling.

The damper (5 V step, α = 3 /s, ω0 = 5 rad/s, ωd = 4 rad/s) has v = 5 - e^(-3t)(5 cos 4t + 3.75 sin 4t), i = 0.04 dv/dt.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from grader.errors import NotDefined, RubricError
from grader.marking.key import build_key
from grader.problem import Rubric
from grader.quantities import asked, follow
from grader.quantities.extremes import last_outside
from grader.rubric.files import read_rubric
from grader.rubric.references import references
from grader.values.functions import cos, exp, sin
from grader.values.scalar import ZERO, rational, to_float
from grader.values.waveform import TIME, Waveform, constant
from tests.quantities.building import problem, question
from tests.quantities.test_intervals import PULSE


def answer(circuit: str, item: str):
    found = question(circuit, f'id = "x", {item}')
    return asked(found.item.find).reference(found)


def voltage(t):
    return 5 - np.exp(-3 * t) * (5 * np.cos(4 * t) + 3.75 * np.sin(4 * t))


PEAK = 5 * math.exp(-3 * math.pi / 4)


@pytest.mark.parametrize(
    "item, value",
    [
        ('find = "maximum", voltage = "C1"', 5 + PEAK),
        ('find = "time of maximum", voltage = "C1"', math.pi / 4),
        ('find = "minimum", voltage = "C1"', 0.0),
        ('find = "minimum", voltage = "C1", from = "1 s"', 5 - 5 * math.exp(-3 * math.pi / 2)),
        ('find = "time of minimum", voltage = "C1", from = "1 s"', math.pi / 2),
        ('find = "maximum", voltage = "C1", until = "0.1 s"', float(voltage(np.array(0.1)))),
        ('find = "overshoot", voltage = "C1"', PEAK),
        ('find = "percent overshoot", voltage = "C1"', PEAK / 5),
        ('find = "peak time", voltage = "C1"', math.pi / 4),
        ('find = "quality factor"', 5 / 6),
        ('find = "logarithmic decrement"', 2 * math.pi * 3 / 4),
        # i = 0.04 dv/dt = 1.25 e^(-3t) sin 4t, largest at tan 4t = 4/3
        ('find = "time of maximum", current = "L1"', math.atan2(4, 3) / 4),
        ('find = "slope at", voltage = "C1", at = "0 s"', 0.0),
        ('find = "initial second derivative", voltage = "C1"', 5 / (1 * 0.04)),
        ('find = "charge passed", current = "L1"', 0.04 * 5),
        ('find = "energy delivered", of = "Vs"', 0.04 * 5 * 5),
    ],
)
def test_damper(item, value):
    assert answer("damper", item).value() == pytest.approx(value, rel=1e-12, abs=1e-14)


@pytest.mark.parametrize("band", [0.02, 0.05, 0.2])
def test_settling_and_rise_time_by_sampling(band):
    """The last instant outside the band, of two million."""
    t = np.linspace(0, 6, 2_000_001)
    v = voltage(t)
    last = t[np.nonzero(np.abs(v - 5) > 5 * band)[0][-1]]
    found = answer("damper", f'find = "settling time", voltage = "C1", band = "{band:.0%}"')
    assert found.value() == pytest.approx(last, abs=1e-5)
    low, high = (t[np.nonzero(v >= 5 * share)[0][0]] for share in (band, 1 - band))
    item = f'find = "rise time", voltage = "C1", low = "{band:.0%}", high = "{1 - band:.0%}"'
    assert answer("damper", item).value() == pytest.approx(high - low, abs=1e-5)


@pytest.mark.parametrize(("rate", "frequency"), [("1", "2000"), ("3/1000000000", "5")])
def test_what_turns_thousands_of_times_settles_where_its_envelope_does(rate, frequency):
    """Of 5 - 5 e^(-rt) cos wt: within half a turn before e^(-rt) = 5 %."""
    r, w = rational(rate), rational(frequency)
    swing = exp(TIME.scaled(-r)) * cos(TIME.scaled(w)).scaled(rational("5"))
    five = constant(rational("5"))
    found = last_outside((five - swing, ZERO, None), five, rational("1/4")).value()
    envelope = math.log(20) / to_float(r)
    assert envelope - math.pi / to_float(w) <= found <= envelope * (1 + 1e-9)


TOP = 10 * (1 - math.exp(-1))


@pytest.mark.parametrize(
    "item, value",
    [
        ('find = "maximum", voltage = "C1", from = "0 s"', TOP),
        ('find = "time of maximum", voltage = "C1", from = "0 s"', 1e-3),
        ('find = "minimum", current = "R1", from = "0 s"', -TOP / 1000),
        ('find = "charge passed", current = "R1"', 0.0),
        ('find = "charge passed", current = "R1", until = "1 ms"', 1e-6 * TOP),
        ('find = "energy delivered", of = "Vs"', 10 * 1e-6 * TOP),
        ('find = "average power", power = "C1", until = "1 ms"', 1e-6 * TOP**2 / 2 / 1e-3),
        ('find = "average power", power = "C1", from = "1 ms", until = "2 ms"', -1e-6 * TOP**2 * (1 - math.exp(-2)) / 2e-3),
        ('find = "half life"', 1e-3 * math.log(2)),
    ],
)  # fmt: skip
def test_pulse(item, value):
    assert answer(PULSE, item).value() == pytest.approx(value, rel=1e-12, abs=1e-18)


SINE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 sin(1000 t) u(t) V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
    {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF", initial = "3 V"},
"""
"""τ = 1 ms, ωτ = 1: forced 5 (sin - cos), natural (3 + 5) e^(-t/τ), of which the initial state makes 3."""


def sine(a: str, b: str, c: str) -> Waveform:
    angle = constant(rational("1000")) * TIME
    forced = constant(rational(a)) * sin(angle) + constant(rational(b)) * cos(angle)
    return forced + constant(rational(c)) * exp(-angle)


@pytest.mark.parametrize(
    "find, right",
    [
        ("natural part", sine("0", "0", "8")),
        ("forced part", sine("5", "-5", "0")),
        ("zero-input part", sine("0", "0", "3")),
        ("zero-state part", sine("5", "-5", "5")),
    ],
)
def test_parts_of_a_driven_response(find, right):
    assert answer(SINE, f'find = "{find}", voltage = "C1"') == right


def test_largest_value_of_a_driven_response_by_integration():
    """dv/dt = (10 sin 1000t - v)/τ from 3 V, integrated by an independent method and sampled."""
    found = solve_ivp(
        lambda t, v: (10 * np.sin(1000 * t) - v) / 1e-3, (0, 0.05), [3.0], rtol=1e-11, atol=1e-13, dense_output=True
    )
    t = np.linspace(0, 0.05, 200_001)
    v = found.sol(t)[0]
    assert answer(SINE, 'find = "maximum", voltage = "C1"').value() == pytest.approx(v.max(), rel=1e-7)
    assert answer(SINE, 'find = "minimum", voltage = "C1"').value() == pytest.approx(-5 * math.sqrt(2), rel=1e-3)


def test_zero_input_part_after_a_later_switching():
    """From 1 ms on the pulse's response is all of the initial state's; before, all of the source's."""
    later = answer(PULSE, 'find = "zero-input part", voltage = "C1", after = "1 ms"')
    assert later.value(2e-3) == pytest.approx(TOP * math.exp(-1), rel=1e-12)
    assert not answer(PULSE, 'find = "zero-input part", voltage = "C1", after = "0 s"').terms


def test_resonance_has_no_parts():
    """A dc source on a lone capacitor: a root of zero and a constant are not told apart."""
    lines = """
        {name = "Is", kind = "current source", between = ["g", "a"], step = {after = "1 A"}},
        {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 F"},
    """
    with pytest.raises(NotDefined, match="not told apart"):
        answer(lines, 'find = "natural part", voltage = "C1"')
    with pytest.raises(NotDefined, match="grows without bound"):
        answer(lines, 'find = "maximum", voltage = "C1"')


BRIDGE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "6 ohm"},
    {name = "R2", kind = "resistor", between = ["c", "g"], value = "3 ohm"},
    {name = "R3", kind = "resistor", between = ["c", "d"], value = "2 ohm"},
    {name = "L1", kind = "inductor", between = ["d", "g"], value = "8 H"},
"""
"""Seen by L1: 12·3/9 = 4 V behind 6 || 3 + 2 = 4 ohm; a wire in its place carries 1 A."""


@pytest.mark.parametrize(
    "item, value",
    [
        ('find = "open-circuit voltage", by = "L1"', 4.0),
        ('find = "short-circuit current", by = "L1"', 1.0),
        ('find = "open-circuit voltage", between = ["c", "g"]', 12 * (1.2 / 7.2)),  # L1 is a wire at rest: 3 || 2
        ('find = "short-circuit current", between = ["c", "g"]', 2.0),
        ('find = "short-circuit current", between = ["g", "c"]', -2.0),
        ('find = "resistance between", between = ["b", "g"]', 0.0),
        ('find = "resistance between", between = ["c", "g"]', 1.0),  # 6 || 3 || 2
    ],
)
def test_two_terminals(item, value):
    assert answer(BRIDGE, item).value() == pytest.approx(value, rel=1e-12, abs=1e-15)


def rules(circuit: str, *items: str):
    rubric = Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")
    return references(rubric)[-1].rules


def c(text: str) -> Waveform:
    return constant(rational(text))


@pytest.mark.parametrize(
    "items, given, led",
    [
        (('id = "v", find = "open-circuit voltage", by = "L1"', 'id = "R", find = "resistance seen", by = "L1"', 'id = "x", find = "short-circuit current", by = "L1"'), {"v": c("6"), "R": c("3")}, 2.0),
        (('id = "i", find = "short-circuit current", by = "L1"', 'id = "R", find = "resistance seen", by = "L1"', 'id = "x", find = "open-circuit voltage", by = "L1"'), {"i": c("5"), "R": c("3")}, 15.0),
        (('id = "v", find = "open-circuit voltage", by = "L1"', 'id = "i", find = "short-circuit current", by = "L1"', 'id = "x", find = "resistance seen", by = "L1"'), {"v": c("6"), "i": c("2")}, 3.0),
        (('id = "tau", find = "time constant"', 'id = "x", find = "half life"'), {"tau": c("5")}, 5 * math.log(2)),
    ],
)  # fmt: skip
def test_what_follows(items, given, led):
    (rule,) = [rule for rule in rules(BRIDGE, *items) if {item for _, item in rule.uses} == set(given)]
    assert follow(rule, given).value() == pytest.approx(led, rel=1e-12)


@pytest.mark.parametrize(
    "item, led",
    [
        ('find = "maximum", voltage = "C1"', 8.0),
        ('find = "overshoot", voltage = "C1"', 4.0),
        ('find = "percent overshoot", voltage = "C1"', 1.0),
        ('find = "peak time", voltage = "C1"', math.log(2)),
        ('find = "slope at", voltage = "C1", at = "0 s"', 16.0),
        ('find = "natural part", voltage = "C1"', None),
    ],
)
def test_own_expression_leads_on(item, led):
    """4 + 16 (e^-t - e^-2t) - 4 e^-t·0 … a student's other response: 4 V in the end, from 4 - 4 = 0 V on."""
    own = c("4") + c("12") * exp(-TIME) - c("16") * exp(-TIME - TIME)
    (rule,) = rules("damper", 'id = "v", find = "expression", voltage = "C1"', f'id = "x", {item}')
    found = follow(rule, {"v": own})
    t = np.linspace(0, 10, 400_001)
    v = 4 + 12 * np.exp(-t) - 16 * np.exp(-2 * t)
    top = t[v.argmax()]
    right = {8.0: v.max(), 4.0: v.max() - 4, 1.0: (v.max() - 4) / 4, math.log(2): top, 16.0: 20.0, None: 0.0}[led]
    assert found.value() == pytest.approx(right if led is not None else 12 - 16, rel=1e-4)


def test_settling_in_letters_is_refused_in_a_sentence():
    """Where the final value is a number and the way to it is not, too."""
    rubric = """title = "Bell"
[[problem]]
id = "bell"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "5 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "C1"},
]
item = [{id = "settled", find = "settling time", voltage = "C1", band = "5 %", points = 1}]
"""
    with pytest.raises(RubricError, match="with symbols it depends on their values"):
        build_key(read_rubric(rubric.encode(), "bell.toml"))


SHARING = """
    {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 uF", initial = "10 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "C2", kind = "capacitor", between = ["b", "g"], value = "1 uF", initial = "0 V"},
"""


@pytest.mark.parametrize(("element", "microjoules"), [("C1", 12.5 - 50), ("C2", 12.5)])
def test_a_mean_power_holds_what_passes_at_once(element, microjoules):
    """10 V on one of two equal capacitors becomes 5 V on both: 50 uJ become 12.5 uJ on each, then nothing flows."""
    mean = answer(SHARING, f'find = "average power", power = "{element}", until = "1 ms"')
    assert mean.value() == pytest.approx(microjoules * 1e-6 / 1e-3)
