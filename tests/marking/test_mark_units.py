"""What units, signs, letters and directions cost in the marks of whole uploads."""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import CORRECT, FOLLOWED, INCORRECT
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written

from .valve import RIGHT, mark


def test_a_missing_unit_costs_the_same_where_an_answer_follows(valve_key):
    """t in ms without a unit: the reading that follows from the own 5 ms counts, less a quarter, and a person looks."""
    found = mark(valve_key(), **{**RIGHT, "seen": "16 ohm", "tau": "5 ms", "i": "2 - 0.364e^(-t/5)"})["i"]
    assert (found.awarded, found.review, found.follows_from) == (3, True, ("tau",))
    assert (found.mistakes, found.nudges) == ((), ())  # the slip was made elsewhere


def test_hertz_counts_turns(tmp_path):
    """1000 Hz is no 1000 rad/s; one root of two earns half; an accepted choice is right; a lost t is looked at."""
    path = tmp_path / "series.toml"
    path.write_text(SERIES, encoding="utf-8")
    key = build_key(load_rubric(path))

    def one(item, text):
        written = (Written(problem="series", item=item, text=text),)
        marked = mark_upload(key, Upload(file="u", digest="", student="S1", answers=written))
        return next(m for m in marked.marks if m.item == item)

    assert one("omega0", "1000 rad/s").awarded == 4
    assert one("omega0", "1000 1/s").awarded == 4
    assert one("omega0", "1000 Hz").awarded == 3
    assert one("roots", "-600 ± j800").awarded == 4
    assert one("roots", "-600 + j800").awarded == 2
    assert one("roots", "-600 + j900").awarded == 0
    assert one("type", "ringing").awarded == 4
    assert one("type", "overdamped").awarded == 0


SERIES = """
title = "Series (invented)"
course = "EE 118"
[[problem]]
id = "series"
title = "Series circuit"
text = "Find its numbers."
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "5 V", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "120 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "100 mH"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
]
item = [
  {id = "omega0", find = "undamped natural frequency", points = 4},
  {id = "roots", find = "characteristic roots", points = 4},
  {id = "type", find = "damping type", points = 4, accept = ["ringing"]},
]
"""


def test_rounded_numbers_among_letters_count_and_are_looked_at(tmp_path):
    """A rounded coefficient beside a letter is right within the tolerance, for a person to confirm; a wrong one is not."""
    path = tmp_path / "letters.toml"
    path.write_text(LETTERS, encoding="utf-8")
    key = build_key(load_rubric(path))

    def one(text):
        written = (Written(problem="letters", item="tau", text=text),)
        return mark_upload(key, Upload(file="u", digest="", student="S1", answers=written)).marks[0]

    assert (one("L/(R/2 + 30 ohm)").awarded, one("L/(R/2 + 30 ohm)").review) == (2, False)
    rounded = one("1.98 L/(R + 59.8)")
    assert (rounded.awarded, rounded.review) == (2, True)
    assert one("2 L/(R + 80)").awarded == 0


LETTERS = """
title = "Letters (invented)"
course = "EE 118"
[[problem]]
id = "letters"
title = "Coil between equal resistors"
text = "Find its time constant."
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "5 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "R"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "R"},
  {name = "R3", kind = "resistor", between = ["c", "d"], value = "30 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "L"},
]
item = [{id = "tau", find = "time constant", points = 2}]
"""


def test_a_unit_fault_once_per_problem(valve_key):
    """Where the rubric says so, the second missing unit is only remarked on."""
    answers = {**RIGHT, "final": "2", "seen": "8"}
    assert mark(valve_key(), **answers)["seen"].awarded == 1.5
    once = mark(valve_key('unit_fault = "once per problem"'), **answers)
    assert (once["final"].awarded, once["seen"].awarded) == (0.75, 2)


def test_a_direction_turned_counts_once_for_one_current(valve_key):
    """A reference direction taken the other way is one slip, for all answers about that current; or as the rubric says."""
    answers = {**RIGHT, "before": "-1.64 A", "start": "-1.64 A", "final": "-2 A", "i": "-2 + 0.364e^(-100t) A"}
    marks = mark(valve_key(), **answers)
    assert marks["before"].awarded == 0.5
    assert [marks[item].verdict for item in ("start", "final", "i")] == [FOLLOWED] * 3
    assert marks["final"].follows_from == ("before",)
    assert "the direction that you took in 'before'" in " ".join(marks["final"].reasons)
    each = mark(valve_key('sign_fault = "each time"'), **answers)
    assert each["final"].awarded == 0.5
    kept = mark(valve_key("follow_through = 0.5"), **answers)
    assert [kept[item].awarded for item in ("before", "start", "final", "i")] == [
        0.5,
        1,
        1,
        4,
    ]  # what is kept costs nothing


def test_a_direction_kept_beside_another_slip(valve_key):
    """The turned expression with an own time constant: its three other parts count in full, that one for following."""
    answers = {**RIGHT, "before": "-1.64 A", "tau": "20 ms", "i": "-2 + 0.364e^(-50t) A"}
    marks = mark(valve_key("follow_through = 0.5"), **answers)
    assert marks["i"].awarded == 3.5
    assert marks["i"].follows_from == ("before", "tau")
    unlike = mark(valve_key("follow_through = 0.5"), **{**answers, "i": "-2 + 0.364e^(-25t) A"})
    assert unlike["i"].awarded == 1  # the form: neither the direction nor the own time constant explains the rest


def test_a_sign_alone_is_charged_where_it_first_stands(valve_key):
    """A direction kept right before and turned later is charged there."""
    marks = mark(valve_key(), **{**RIGHT, "final": "-2 A"})
    assert (marks["before"].verdict, marks["final"].awarded) == (CORRECT, 0.5)


def test_a_wrong_unit_is_named(valve_key):
    """The sentence says which quantity the unit written belongs to, and which one is asked."""
    reasons = " ".join(mark(valve_key(), energy="2 mA", final="2 J")["final"].reasons)
    assert "it is that of an energy, where A, the unit of a current, is asked" in reasons


@pytest.mark.parametrize(
    ("item", "answer", "said"),
    [
        ("tau", "7 V", "This is a voltage; a time (s) is asked."),
        ("tau", "7 (1 - e^(-100t)) A", "This is a current as a function of t; a time (s) is asked."),
        ("final", "7 (1 - e^(-100t)) A", "This is a function of t; a single value is asked."),
        ("i", "12/((s+2)(s+5))", "This is a function of s; a function of t is asked."),
        ("i", "12/(s^2+7s+10) A", "This is a function of s; a function of t is asked."),
        ("final", "7 A", "This does not agree with the circuit."),
        ("final", "7", "This does not agree with the circuit."),
    ],
)
def test_an_answer_of_another_kind_is_told_so(valve_key, item, answer, said):
    """An answer that earns nothing is told first that it is of another kind than what is asked; never where that is false."""
    marked = mark(valve_key(), **{item: answer})[item]
    assert marked.awarded == 0
    assert marked.reasons[0] == said


def test_units_assumed_or_ignored(valve_key):
    """A missing unit costs nothing where it is assumed; a wrong one still does, unless units are ignored."""
    assert mark(valve_key('units = "assumed"'), final="2")["final"].awarded == 1
    assert mark(valve_key('units = "assumed"'), final="2 V")["final"].awarded == 0.75
    assert mark(valve_key('units = "ignored"'), final="2 V")["final"].awarded == 1


def test_significant_figures(valve_key):
    """Too few figures are remarked on or charged, as the rubric says."""
    advised = mark(valve_key("significant_figures = 3"), final="2 A")["final"]
    assert (advised.awarded, advised.verdict) == (1, CORRECT)
    assert "significant figure" in " ".join(advised.reasons)
    required = valve_key('significant_figures = 3\nsignificant_figures_rule = "required"')
    assert mark(required, final="2 A")["final"].awarded == 0.75
    assert mark(required, final="2.00 A")["final"].awarded == 1


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("240/(R + 20)", CORRECT),  # as the solver itself writes it
        ("240/(R + 20) V", CORRECT),
        ("12 R2/(R1 + R2)", CORRECT),
        ("12 V * 20 ohm/(R + 20 ohm)", CORRECT),
        ("12 R/(R + 20)", INCORRECT),
    ],
)
def test_numbers_beside_letters_need_no_units(tmp_path, text, verdict):
    """One resistor is a letter and all else a number: a bare number stands for a value with its unit."""
    path = tmp_path / "half.toml"
    path.write_text(
        """
title = "Half in letters (invented)"
[[problem]]
id = "valve"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "R"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "20 ohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "4 uF"},
]
item = [{id = "final", find = "final value", voltage = "C1", points = 1}]
""",
        encoding="utf-8",
    )
    assert mark(build_key(load_rubric(path)), final=text)["final"].verdict == verdict


@pytest.mark.parametrize(
    ("item", "text"),
    [("final", "24/(6+12||4)*12/16 A"), ("energy", "1/2 L1 * 1.866^2 J"), ("tau", "80m/8 s")],
)
def test_the_unit_of_the_whole_stands_at_the_end(valve_key, item, text):
    """A unit behind a product of fractions, or behind a formula of names and numbers, is that of the answer."""
    assert mark(valve_key(), **{item: text})[item].verdict == CORRECT


def test_no_value_follows_from_a_function_of_time(valve_key):
    """A function where a resistance is asked leads to no time constant: what comes next is judged by itself."""
    marks = mark(valve_key(), seen="7 e^(-100t) ohm", tau="3 s")
    assert (marks["tau"].awarded, marks["tau"].follows_from) == (0, ())


@pytest.mark.parametrize(
    ("answer", "share"),
    [
        ("2 - 0.364e^(-t/tau) A", 1),
        ("2 - 0.364e^(-t/tau)", 0.75),  # the name in the power brings the amplitude no unit
        ("2 - 0.364exp(-t*R3/(R3*tau))", 0.75),
        ("final + (start - final) e^(-t/tau)", 1),
    ],
)
def test_a_name_in_a_power_brings_no_unit(valve_key, answer, share):
    found = mark(valve_key(), **{**RIGHT, "i": answer})["i"]
    assert found.awarded == share * found.possible
