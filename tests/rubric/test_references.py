"""Reference answers: what the solver finds, with scale, names, rules and texts."""

import math
import pickle
from pathlib import Path

import pytest
from flint import fmpq

from grader.errors import RubricError
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import Reference, references
from grader.values.functions import exp
from grader.values.scalar import rational
from grader.values.waveform import TIME, constant

RUBRICS = Path(__file__).parents[2] / "rubrics"


def of(file: str) -> dict[str, Reference]:
    return {f"{r.problem}.{r.item}": r for r in references(load_rubric(RUBRICS / file))}


def read(elements: str, *items: str):
    listed = ",\n".join(f"{{points = 1, {item}}}" for item in items)
    text = f'title = "T"\n[[problem]]\nid = "p"\nground = "g"\nelement = [{elements}]\nitem = [{listed}]'
    return read_rubric(text.encode(), "t.toml")


def c(text: str):
    return constant(rational(text))


def test_lock_valve():
    """Worked by hand: 36 V over 3 + 9 ohm, then 3 ohm alone; 6 ohm beside 2 ohm and 40 mH."""
    found = of("lock_valve.toml")
    assert found["valve.before"].answer == c("2")
    assert found["valve.final"].answer == c("6")
    assert found["valve.seen"].answer == c("4")
    assert found["valve.tau"].answer == c("0.01")
    assert found["valve.current"].answer == c("6") - c("4") * exp(c("-100") * TIME)
    assert found["valve.at10"].answer.value() == pytest.approx(6 - 4 / math.e)
    assert found["valve.energy"].answer == c("0.72")
    assert found["relay.release"].answer.value() == pytest.approx(0.015 * math.log(4))
    assert len(found) == 12


@pytest.mark.parametrize(
    "item, text, exact, unit",
    [
        ("valve.before", "2 A", "2", "A"),
        ("valve.tau", "10 ms", "1/100", "s"),
        ("valve.seen", "4 Ω", "4", "Ω"),
        ("valve.current", "(6 − 4e^(−100t)) A", "-4*exp(-100*t) + 6", "A"),
        ("valve.energy", "720 mJ", "18/25", "J"),
    ],
)
def test_texts(item, text, exact, unit):
    found = of("lock_valve.toml")[item]
    assert (found.text, found.exact, found.unit) == (text, exact, unit)


def test_expression_of_a_later_interval_counts_from_its_switching():
    found = of("sluice_sequence.toml")["drive.second"]
    assert found.text == "(1.5 + 2.293e^(−200(t − 20 ms))) A"
    assert (found.start, found.end) == (fmpq(1, 50), None)
    assert found.answer.value(0.02) == pytest.approx(6 - 6 / math.e)


def test_rad_per_second_where_the_trade_says_so():
    found = of("gate_damping.toml")
    assert (found["filter.omega0"].text, found["filter.omega0"].unit) == ("500 rad/s", "rad/s")
    assert found["filter.alpha"].text == "300 1/s"


def test_roots_and_types():
    found = of("gate_damping.toml")
    assert found["coil.roots"].text == "−2000, −8000 1/s"
    assert found["coil.roots"].exact == "-2000, -8000"
    assert found["filter.type"].answer == "underdamped"
    assert found["surge.type"].answer == "critically damped"


def test_letters():
    found = of("in_letters.toml")
    assert found["coil.tau"].exact == "L/R"
    assert found["divider.energy"].exact == "2/9*V0**2*C"


def test_numeric_answers_say_so():
    found = of("lock_valve.toml")
    assert found["relay.release"].note
    assert not found["valve.at10"].note


def test_every_reference_pickles_and_is_the_same_again():
    for path in sorted(RUBRICS.glob("*.toml")):
        found = references(load_rubric(path))
        again = pickle.loads(pickle.dumps(found))
        assert [(r.problem, r.item, r.text, r.exact, r.scale) for r in again] == [
            (r.problem, r.item, r.text, r.exact, r.scale) for r in found
        ]
        assert [r.answer for r in again] == [r.answer for r in found]


# -- scale ---------------------------------------------------------------------------------------


def test_scale_is_the_size_of_the_signal_not_of_the_answer():
    """v_C starts at 0; the size is its peak, 24 + overshoot 24 e^(-pi 300/400) (the step response of second order)."""
    found = of("gate_damping.toml")["filter.v0"]
    assert found.answer == c("0")
    assert found.scale == pytest.approx(24 * (1 + math.exp(-math.pi * 300 / 400)), rel=1e-3)


def test_scale_of_a_slope_is_that_of_the_slope():
    """dv/dt is largest where ... 24 (500^2/400) e^-300t sin 400t has its maximum."""
    t = math.atan(4 / 3) / 400
    expected = 24 * 500**2 / 400 * math.exp(-300 * t) * math.sin(400 * t)
    assert of("gate_damping.toml")["filter.slope"].scale == pytest.approx(expected, rel=1e-3)


def test_scale_of_a_signal_that_is_zero_throughout():
    """The detector of a balanced bridge carries no current: then the largest current of the circuit counts."""
    found = references(
        read(
            """
            {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
            {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
            {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 ohm"},
            {name = "R2", kind = "resistor", between = ["b", "d"], value = "1 ohm"},
            {name = "R3", kind = "resistor", between = ["c", "g"], value = "4 ohm"},
            {name = "R4", kind = "resistor", between = ["d", "g"], value = "4 ohm"},
            {name = "R5", kind = "resistor", between = ["c", "d"], value = "3 ohm"},
            {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
            {name = "R6", kind = "resistor", between = ["b", "g"], value = "1 ohm"},
            """.replace('{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}',
                        '{name = "R7", kind = "resistor", between = ["a", "e"], value = "1 ohm"},'
                        '{name = "S1", kind = "switch", between = ["e", "b"], closes = "0 s"}'),
            'id = "x", find = "final value", current = "R5"',
        )
    )  # fmt: skip
    assert found[0].answer == c("0")
    assert found[0].scale > 1


# -- names ---------------------------------------------------------------------------------------


def test_names_are_elements_and_earlier_answers():
    names = {named.name: named for named in of("lock_valve.toml")["valve.current"].names}
    assert names["R3"].value == c("2")
    assert names["L"].value == c("0.04")
    assert "R" not in names  # there are four
    assert names["tau"].item == "tau"
    assert names["tau"].value == c("0.01")
    assert names["R_th"].item == "seen"
    assert {names[name].item for name in ("i(0)", "i(0+)", "i_L1(0+)", "i_0")} == {"initial"}
    assert names["i(0-)"].item == "before"
    assert names["i(inf)"].item == "final"


def test_later_switching_instants_have_names():
    """t0 opens the interval asked, t1 is the first instant after t = 0; before it no name is needed."""
    found = of("sluice_sequence.toml")
    names = {named.name: named.value for named in found["drive.second"].names}
    assert names["t0"] == names["t1"] == c("0.02")
    assert "t1" not in {named.name for named in found["drive.first"].names}


def test_no_two_names_look_alike():
    """Letter case and underscores aside: students do not keep them."""
    for path in sorted(RUBRICS.glob("*.toml")):
        for reference in references(load_rubric(path)):
            folded = [named.name.replace("_", "").lower() for named in reference.names]
            assert len(folded) == len(set(folded))


def test_a_bare_name_means_the_signal_asked():
    """i(0) in an answer about R2's current is not the coil's, though that was asked before."""
    relay = """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
        {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
        {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
        {name = "R2", kind = "resistor", between = ["c", "g"], value = "4 ohm"},
        {name = "L1", kind = "inductor", between = ["c", "g"], value = "1 H"},
    """
    found = references(
        read(
            relay,
            'id = "a", find = "initial value", current = "L1"',
            'id = "b", find = "expression", current = "R2"',
            'id = "c", find = "expression", voltage = "R2"',
        )
    )
    assert "i(0)" not in {named.name for named in found[1].names}
    assert "i_L1(0)" in {named.name for named in found[1].names}
    assert "i(0)" in {named.name for named in found[2].names}


# -- rules ---------------------------------------------------------------------------------------


def test_rules_of_the_lock_valve():
    """What design's section 6 names: tau on the resistance, the expression on three values, energy on the current."""
    found = of("lock_valve.toml")
    uses = {id: [set(dict(rule.uses).values()) for rule in reference.rules] for id, reference in found.items()}
    assert uses["valve.before"] == []
    assert uses["valve.initial"] == [{"before"}]
    assert uses["valve.tau"] == [{"seen"}]
    assert uses["valve.current"] == [{"initial", "final", "tau"}]
    assert {"current"} in uses["valve.at10"]
    assert uses["valve.energy"][:2] == [{"final"}, {"current"}]
    assert {"current"} in uses["relay.release"]


# -- what has no answer --------------------------------------------------------------------------


RC = """
    {name = "Is", kind = "current source", between = ["g", "a"], value = "1 A"},
    {name = "S1", kind = "switch", between = ["a", "g"], opens = "0 s"},
    {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 F"},
    {name = "R9", kind = "resistor", between = ["g", "h"], value = "1 ohm"},
    {name = "R8", kind = "resistor", between = ["h", "g"], value = "1 ohm"},
"""
LC = """
    {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 F", initial = "1 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "L1", kind = "inductor", between = ["b", "g"], value = "1 H"},
"""


@pytest.mark.parametrize(
    "circuit, item, what",
    [
        (RC, 'id = "x", find = "final value", voltage = "C1"', "grows without bound"),
        (RC, 'id = "x", find = "time constant"', "no single time constant"),
        (RC, 'id = "x", find = "damping ratio"', "order 1"),
        (RC, 'id = "x", find = "expression", voltage = "C1", after = "3 s"', "the circuit changes at t = 0 s"),
        (RC, 'id = "x", find = "time to reach", voltage = "C1", level = "-2 V"', "never reaches"),
        (RC, 'id = "x", find = "energy dissipated", of = "R9", until = "0 s"', "must be later than"),
        (LC, 'id = "x", find = "final value", voltage = "C1"', "keeps oscillating"),
        (LC, 'id = "x", find = "equivalent inductance", by = "C1", of = "C1"', "no inductor"),
    ],
)
def test_no_answer_is_a_fault_of_the_rubric(circuit, item, what):
    with pytest.raises(RubricError) as caught:
        references(read(circuit, item))
    (fault,) = caught.value.faults
    assert fault.startswith("t.toml, problem 'p', item 'x': ")
    assert what in fault


def test_contradicting_circuit():
    both = """
        {name = "V1", kind = "voltage source", between = ["a", "g"], value = "1 V"},
        {name = "V2", kind = "voltage source", between = ["a", "g"], value = "2 V"},
    """
    with pytest.raises(RubricError) as caught:
        references(read(both, 'id = "x", find = "final value", voltage = "V1"'))
    assert "problem 'p'" in caught.value.faults[0]
