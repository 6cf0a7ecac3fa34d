"""What follows from a student's own earlier answers, on circuits worked out by hand in the test."""

import math
import pickle

import pytest
from flint import fmpq

from grader.problem import Rubric
from grader.quantities import follow
from grader.rubric.references import references
from grader.values.functions import cos, exp, sin
from grader.values.scalar import rational
from grader.values.waveform import TIME, Waveform, constant
from tests.quantities.building import problem


def c(text: str) -> Waveform:
    return constant(rational(text))


def rules(circuit: str, *items: str):
    """The rules of the last item."""
    found = problem(circuit, *items)
    rubric = Rubric(title="", course="", problems=(found,), digest="", name="test.toml")
    return references(rubric)[-1].rules


def using(found, *ids: str):
    """The one rule that rests on exactly these items."""
    (rule,) = [rule for rule in found if {item for _, item in rule.uses} == set(ids)]
    return rule


ORDER_ONE = (
    'id = "before", find = "value just before switching", current = "L1"',
    'id = "i0", find = "initial value", current = "L1"',
    'id = "if", find = "final value", current = "L1"',
    'id = "R", find = "resistance seen"',
    'id = "tau", find = "time constant"',
    'id = "i", find = "expression", current = "L1"',
)


def test_continuity():
    rule = using(rules("relay", *ORDER_ONE[:2]), "before")
    assert follow(rule, {"before": c("2.5")}) == c("2.5")


def test_time_constant_from_the_own_resistance():
    """L = 0.5 H: the student's 5 ohm leads to 100 ms."""
    rule = using(rules("relay", *ORDER_ONE[:5]), "R")
    assert follow(rule, {"R": c("5")}) == c("0.1")


def test_expression_from_its_three_values():
    rule = using(rules("relay", *ORDER_ONE), "i0", "if", "tau")
    led = follow(rule, {"i0": c("1"), "if": c("4"), "tau": c("0.02")})
    assert led == c("4") - c("3") * exp(c("-50") * TIME)


def test_expression_where_only_the_time_constant_was_asked():
    """What was not asked is the solver's own: 3 A falling to 0."""
    rule = using(rules("relay", ORDER_ONE[4], ORDER_ONE[5]), "tau")
    assert follow(rule, {"tau": c("0.1")}) == c("3") * exp(c("-10") * TIME)


def test_value_at_from_the_own_expression():
    found = rules("relay", *ORDER_ONE, 'id = "x", find = "value at", current = "L1", at = "50 ms"')
    rule = using(found, "i")
    assert follow(rule, {"i": c("2") * TIME}) == c("0.1")
    rule = using(found, "i0", "if", "tau")
    assert follow(rule, {"i0": c("1"), "if": c("0"), "tau": c("0.05")}).value() == pytest.approx(1 / math.e)


def test_initial_slope():
    found = rules("relay", *ORDER_ONE, 'id = "x", find = "initial slope", current = "L1"')
    assert follow(using(found, "i"), {"i": c("7") * exp(c("-3") * TIME)}) == c("-21")
    assert follow(using(found, "i0", "if", "tau"), {"i0": c("1"), "if": c("3"), "tau": c("0.5")}) == c("4")


def test_initial_slope_from_the_storage_elements_law():
    """di/dt = v/L with L = 0.5 H."""
    found = rules(
        "relay",
        'id = "v0", find = "initial value", voltage = "L1"',
        'id = "x", find = "initial slope", current = "L1"',
    )
    assert follow(using(found, "v0"), {"v0": c("-8")}) == c("-16")


def test_initial_slope_of_second_order_from_the_initial_states():
    """Parallel circuit, R = 80 ohm, C = 1.25 uF, no source: dv/dt = -(v/R + i)/C with the student's v and i."""
    parallel = """
        {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1.25 uF", initial = "8 V"},
        {name = "R1", kind = "resistor", between = ["a", "g"], value = "80 ohm"},
        {name = "L1", kind = "inductor", between = ["a", "g"], value = "50 mH", initial = "0 A"},
    """
    found = rules(
        parallel,
        'id = "v0", find = "initial value", voltage = "C1"',
        'id = "i0", find = "initial value", current = "L1"',
        'id = "x", find = "initial slope", voltage = "C1"',
    )
    led = follow(using(found, "v0", "i0"), {"v0": c("4"), "i0": c("0.1")})
    assert led == c("-120000")


def test_time_to_reach():
    found = rules("relay", *ORDER_ONE, 'id = "x", find = "time to reach", current = "L1", level = "1 A"')
    own = c("2") * exp(c("-10") * TIME)
    assert follow(using(found, "i"), {"i": own}).value() == pytest.approx(math.log(2) / 10)
    led = follow(using(found, "i0", "if", "tau"), {"i0": c("2"), "if": c("0"), "tau": c("0.1")})
    assert led.value() == pytest.approx(math.log(2) / 10)


def test_a_slip_that_leads_nowhere_gives_nothing():
    """The own expression never reaches the level: no answer follows, and no error is met."""
    found = rules("relay", *ORDER_ONE, 'id = "x", find = "time to reach", current = "L1", level = "1 A"')
    assert follow(using(found, "i"), {"i": c("0.5") * exp(c("-10") * TIME)}) is None
    assert follow(using(found, "i0", "if", "tau"), {"i0": c("1"), "if": c("1"), "tau": c("0.1")}) is None


def test_zero_resistance_gives_no_time_constant():
    assert follow(using(rules("relay", *ORDER_ONE[:5]), "R"), {"R": Waveform()}) is None


def test_stored_energy_from_the_own_current():
    """0.5 * 0.5 H * (4 A)^2 = 4 J."""
    found = rules("relay", ORDER_ONE[1], 'id = "w", find = "stored energy", of = "L1", at = "0 s"')
    assert follow(using(found, "i0"), {"i0": c("4")}) == c("4")


def test_energy_dissipated_from_stored_energy_and_from_the_own_current():
    """Relay: R1 = 4 and R2 = 6 ohm share the energy 2 to 3."""
    stored = 'id = "w", find = "stored energy", of = "L1", at = "0 s"'
    found = rules("relay", stored, 'id = "x", find = "energy dissipated", of = "R2"')
    assert follow(using(found, "w"), {"w": c("10")}) == c("6")
    found = rules(
        "relay", 'id = "i", find = "expression", current = "R2"', 'id = "x", find = "energy dissipated", of = "R2"'
    )
    own = c("2") * exp(c("-5") * TIME)  # 6 ohm * 4 A^2 / (10 /s)
    assert follow(using(found, "i"), {"i": own}) == c("2.4")


def test_voltage_of_another_element_by_kirchhoffs_laws():
    """Charging: the current at 0+ is (10 V - v0)/1 kohm, with the student's v0."""
    found = rules(
        "charging",
        'id = "v0", find = "initial value", voltage = "C1"',
        'id = "x", find = "initial value", current = "R1"',
    )
    assert follow(using(found, "v0"), {"v0": c("4")}) == c("0.006")


def test_law_of_a_resistor_and_derivative_of_a_coil():
    found = rules(
        "relay", 'id = "i", find = "expression", current = "R1"', 'id = "x", find = "expression", voltage = "R1"'
    )
    assert follow(using(found, "i"), {"i": exp(-TIME)}) == c("4") * exp(-TIME)
    found = rules(
        "relay", 'id = "i", find = "expression", current = "L1"', 'id = "x", find = "expression", voltage = "L1"'
    )
    led = {follow(rule, {"i": c("2") * exp(c("-3") * TIME)}) for rule in found}
    # by its law, L di/dt = -3 e^-3t; by Kirchhoff's voltage law round R1 and R2, -10 ohm * i
    assert led == {c("-3") * exp(c("-3") * TIME), c("-20") * exp(c("-3") * TIME)}


DAMPED = (
    'id = "a", find = "damping coefficient"',
    'id = "w0", find = "undamped natural frequency"',
)


@pytest.mark.parametrize(
    "item, a, w0, expected",
    [
        ('find = "damped natural frequency"', "3", "5", 4.0),
        ('find = "damping ratio"', "3", "6", 0.5),
    ],
)
def test_second_order_values(item, a, w0, expected):
    rule = using(rules("damper", *DAMPED, f'id = "x", {item}'), "a", "w0")
    assert follow(rule, {"a": c(a), "w0": c(w0)}).value() == pytest.approx(expected)


@pytest.mark.parametrize(
    "a, w0, expected", [("6", "5", "overdamped"), ("5", "5", "critically damped"), ("1", "5", "underdamped")]
)
def test_damping_type_from_own_values(a, w0, expected):
    rule = using(rules("damper", *DAMPED, 'id = "x", find = "damping type"'), "a", "w0")
    assert follow(rule, {"a": c(a), "w0": c(w0)}) == expected


def test_roots_from_own_values():
    rule = using(rules("damper", *DAMPED, 'id = "x", find = "characteristic roots"'), "a", "w0")
    assert follow(rule, {"a": c("5"), "w0": c("3")}) == ((c("-1"), c("0")), (c("-9"), c("0")))


def test_no_damped_frequency_follows_where_the_own_values_are_overdamped():
    rule = using(rules("damper", *DAMPED, 'id = "x", find = "damped natural frequency"'), "a", "w0")
    assert follow(rule, {"a": c("6"), "w0": c("5")}) is None


@pytest.mark.parametrize("alpha, omega0", [(3.0, 5.0), (5.0, 5.0), (13.0, 5.0)])
def test_second_order_expression_solves_its_equation(alpha, omega0):
    """Against scipy's integrator: y'' + 2 a y' + w0^2 (y - yf) = 0 from the student's own values."""
    from scipy.integrate import solve_ivp

    ends = (
        'id = "v0", find = "initial value", voltage = "C1"',
        'id = "s", find = "initial slope", voltage = "C1"',
        'id = "vf", find = "final value", voltage = "C1"',
    )
    rule = using(
        rules("damper", *DAMPED, *ends, 'id = "x", find = "expression", voltage = "C1"'), "a", "w0", "v0", "s", "vf"
    )
    own = {"a": c(str(alpha)), "w0": c(str(omega0)), "v0": c("2"), "s": c("-7"), "vf": c("4")}
    led = follow(rule, own)
    run = solve_ivp(
        lambda _, y: (y[1], -2 * alpha * y[1] - omega0**2 * (y[0] - 4)),
        (0, 1),
        (2, -7),
        rtol=1e-10,
        atol=1e-12,
        dense_output=True,
    )
    for t in (0.0, 0.1, 0.35, 1.0):
        assert led.value(t) == pytest.approx(run.sol(t)[0], abs=1e-7)


TWICE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
    {name = "R2", kind = "resistor", between = ["c", "d"], value = "12 ohm"},
    {name = "S2", kind = "switch", between = ["c", "d"], opens = "20 ms"},
    {name = "L1", kind = "inductor", between = ["d", "g"], value = "80 mH"},
"""


def test_second_switching_takes_the_own_first_expression():
    found = rules(
        TWICE,
        'id = "i1", find = "expression", current = "L1"',
        'id = "x", find = "value just before switching", current = "L1", after = "20 ms"',
    )
    assert follow(using(found, "i1"), {"i1": c("50") * TIME}) == c("1")


def test_second_expression_counts_from_its_switching():
    found = rules(
        TWICE,
        'id = "i20", find = "initial value", current = "L1", after = "20 ms"',
        'id = "tau2", find = "time constant", after = "20 ms"',
        'id = "x", find = "expression", current = "L1", after = "20 ms"',
    )
    led = follow(using(found, "i20", "tau2"), {"i20": c("3.5"), "tau2": c("0.01")})
    assert led == c("1.5") + c("2") * exp(c("-100") * (TIME - c("0.02")))


def test_values_of_another_interval_are_not_mixed_in():
    """The first interval's time constant leads nowhere in the second."""
    found = rules(
        TWICE,
        'id = "tau1", find = "time constant"',
        'id = "x", find = "expression", current = "L1", after = "20 ms"',
    )
    assert all("tau1" not in dict(rule.uses).values() for rule in found)


def test_rules_pickle():
    found = rules("relay", *ORDER_ONE, 'id = "x", find = "time to reach", current = "L1", level = "1 A"')
    again = pickle.loads(pickle.dumps(found))
    own = {"i": c("2") * exp(c("-10") * TIME)}
    assert follow(using(again, "i"), own).value() == follow(using(found, "i"), own).value()


def test_sinusoidal_drive_keeps_its_forced_part_with_another_time_constant():
    """10 V/(4 + j3) ohm = 1.6 - j1.2 A, and i(0) = 0: of the natural part only the rate is the own one."""
    driven = """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 cos(300 t) V"},
        {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
        {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
        {name = "L1", kind = "inductor", between = ["c", "g"], value = "10 mH"},
    """
    found = rules(
        driven,
        'id = "tau", find = "time constant"',
        'id = "x", find = "expression", current = "L1"',
    )
    (rule,) = found
    angle = TIME.scaled(rational("300"))
    forced = cos(angle).scaled(rational("1.6")) + sin(angle).scaled(rational("1.2"))
    assert follow(rule, {"tau": c("0.005")}) == forced - c("1.6") * exp(TIME.scaled(rational("-200")))


def test_exact_fractions_stay_exact():
    rule = using(rules("relay", *ORDER_ONE[:5]), "R")
    assert follow(rule, {"R": constant(fmpq(7))}) == constant(fmpq(1, 14))


SERIES_IN_LETTERS = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = 0, after = "V0"}},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "R"},
    {name = "L1", kind = "inductor", between = ["b", "c"], value = "L"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "C"},
"""


def test_roots_after_damping_in_letters():
    """The textbook's order: α = R/2L and ω0 = 1/√(LC), then s = -α ± √(α² - ω0²), which both rules lead to."""
    alpha, omega = 'id = "a", find = "damping coefficient"', 'id = "w", find = "undamped natural frequency"'
    found = rules(SERIES_IN_LETTERS, alpha, omega, 'id = "x", find = "characteristic roots"')
    assert using(found, "a", "w").formula.startswith("-alpha")
