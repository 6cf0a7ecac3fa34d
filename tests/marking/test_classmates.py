"""What is right for a classmate's values, or for the blank sheet's: noted, told to the right person, and never charged."""

import random

import pytest
from msgspec.structs import replace

from grader.jobs.helper import Overran
from grader.marking.classmates import (
    BLANK_SHEET_USED,
    MAX_SHARING,
    ONE_LOOK,
    TO_EVERY_DIGIT,
    Right,
    right_answers,
    together,
    with_classmates,
)
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.mistakes.numeric_form import Value
from grader.rubric.files import read_rubric
from grader.rubric.personal import personal_rubric
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "Priming valve (invented)"
[[problem]]
id = "valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V … 60 V, step 1 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "33 ohm … 150 ohm, E24"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.2 H … 0.9 H, step 0.01 H"},
]
item = [
  {id = "end", find = "final value", current = "L1", points = 1},
  {id = "tau", find = "time constant", points = 2},
  {id = "i", find = "expression", current = "L1", points = 3},
]
[[problem]]
id = "lamp"
item = [{id = "safe", find = "choice", options = ["open", "shut"], key = "open", points = 1}]
"""
SECRET = bytes(range(32))
STUDENTS = tuple(f"S{number:04}" for number in range(1, 6))


@pytest.fixture(scope="module")
def rubric():
    return read_rubric(RUBRIC.encode(), "valve.toml")


def texts(rubric, student):
    """The right answers for a student's values, as an instructor would write them."""
    return {f"{one.problem}.{one.item}": one.text for one in references(personal_rubric(rubric, student, SECRET))}


def marked_among(rubric, student, answers, class_of):
    """The marks of answers (by item of the valve), in a class of these students; no points change."""
    key = build_key(personal_rubric(rubric, student, SECRET))
    written = tuple(Written(problem="valve", item=item, text=text) for item, text in answers.items())
    upload = Upload(file="", digest="", student=student, answers=written)
    everybody = together(pair for one in class_of for pair in right_answers(rubric, one, SECRET))
    before = mark_upload(key, upload)
    after = with_classmates(key, upload, before, everybody)
    assert after.total == before.total
    return {mark.item: mark for mark in after.marks}


def noted(rubric, student, answers, class_of):
    """The notes on these answers."""
    marks = marked_among(rubric, student, answers, class_of)
    return {item: " ".join(n for n in mark.notes if n.startswith(TO_EVERY_DIGIT)) for item, mark in marks.items()}


def test_rounding_decides_digit_by_digit(rubric):
    tau = next(one for one in references(personal_rubric(rubric, "S0002", SECRET)) if one.item == "tau")
    exact = float(tau.answer.number.p) / float(tau.answer.number.q)
    to_four = f"{exact:.3e} s"
    step = 10.0 ** (int(f"{exact:.3e}".split("e")[1]) - 3)
    assert "S0002" in noted(rubric, "S0001", {"tau": to_four}, STUDENTS)["tau"]
    assert noted(rubric, "S0001", {"tau": f"{exact + 2 * step:.3e} s"}, STUDENTS)["tau"] == ""


def test_an_expression_is_looked_up_too(rubric):
    answers = {"i": texts(rubric, "S0003")["valve.i"]}
    assert "S0003" in noted(rubric, "S0001", answers, STUDENTS)["i"]


LATER = """
title = "Priming lamp (invented)"
[[problem]]
id = "valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V … 60 V, step 1 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm … 9.1 kohm, E24"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
  {name = "S2", kind = "switch", between = ["c", "d"], closes = "4 ms"},
  {name = "R2", kind = "resistor", between = ["d", "g"], value = "3 kohm"},
]
item = [{id = "v", find = "expression", voltage = "C1", after = "4 ms", points = 3}]
"""


def test_an_expression_of_a_later_interval_is_looked_up_too():
    rubric = read_rubric(LATER.encode(), "lamp.toml")
    answers = {"v": texts(rubric, "S0003")["valve.v"]}
    assert "S0003" in noted(rubric, "S0001", answers, STUDENTS)["v"]
    own = texts(rubric, "S0001")["valve.v"]
    assert noted(rubric, "S0001", {"v": own}, STUDENTS)["v"] == ""
    # Without its unit it is right for the own values still, and for a classmate's who has the same ones.
    key = build_key(personal_rubric(rubric, "S0001", SECRET))
    upload = Upload(
        file="", digest="", student="S0001", answers=(Written(problem="valve", item="v", text=own.removesuffix(" V")),)
    )
    ((place, right),) = right_answers(rubric, "S0001", SECRET)
    marked = mark_upload(key, upload)
    assert 0 < marked.total < 3
    assert with_classmates(key, upload, marked, together([(place, right._replace(student="T1"))])) == marked


def test_right_answers_and_round_ones_are_nobodys(rubric):
    own = {
        name.removeprefix("valve."): text for name, text in texts(rubric, "S0001").items() if name.startswith("valve")
    }
    assert not any(noted(rubric, "S0001", own, STUDENTS).values())
    assert noted(rubric, "S0001", {"end": "0 A", "tau": "7 ms"}, STUDENTS) == {
        "end": "",
        "tau": "",
        "i": "",
        "safe": "",
    }


def copied(rubric, digits, among):
    """Whether the time constant of S0002, with so many digits, is noted of S0001 in a class with these answers."""
    key = build_key(personal_rubric(rubric, "S0001", SECRET))
    (tau,) = (right for place, right in right_answers(rubric, "S0002", SECRET) if place == ("valve", "tau"))
    written = Written(problem="valve", item="tau", text=f"{tau.form.value:.{digits - 1}e} s")
    upload = Upload(file="", digest="", student="S0001", answers=(written,))
    marked = mark_upload(key, upload)
    everybody = together((("valve", "tau"), right) for right in among(tau))
    return with_classmates(key, upload, marked, everybody) != marked


def test_what_many_classmates_share_says_nothing(rubric):
    def sharing(number):
        return lambda tau: [tau._replace(student=f"T{n}") for n in range(number)]

    assert copied(rubric, 6, sharing(MAX_SHARING))
    assert not copied(rubric, 6, sharing(MAX_SHARING + 1))


def test_the_class_is_in_one_order_whoever_came_first():
    """By value, then by name."""
    rights = [Right(key=key, student=student, form=Value(key)) for key, student in ((2.0, "B"), (1.0, "C"), (2.0, "A"))]
    places = [(("q", "x"), one) for one in rights] + [(("p", "x"), rights[0])]
    for answers in (places, places[::-1]):
        found = together(answers)
        assert [right.student for right in found["q", "x"]] == ["C", "A", "B"]
        assert list(found) == [("p", "x"), ("q", "x")]


def test_an_answer_that_comes_to_no_end_is_nobodys(rubric, monkeypatch):
    from grader.marking import classmates

    def overruns(*_):
        raise Overran

    answers = {"i": texts(rubric, "S0003")["valve.i"]}
    assert "S0003" in noted(rubric, "S0001", answers, STUDENTS)["i"]
    monkeypatch.setattr(classmates, "understand", overruns)
    assert noted(rubric, "S0001", answers, STUDENTS)["i"] == ""


def test_where_answers_lie_dense_a_few_digits_say_nothing(rubric):
    """A hundred answers within five percent: three digits meet one of them by chance, six do not."""

    def dense(tau):
        others = [tau.form.value * (1 + n / 2000 + 1e-5) for n in range(1, 101)]
        return [tau, *(Right(key=value, student=f"T{value}", form=Value(value)) for value in others)]

    assert copied(rubric, 6, dense)
    assert not copied(rubric, 3, dense)


def test_zero_is_nobodys(rubric):
    key = build_key(personal_rubric(rubric, "S0001", SECRET))
    upload = Upload(file="", digest="", student="S0001", answers=(Written(problem="valve", item="tau", text="0 s"),))
    marked = mark_upload(key, upload)
    everybody = together([(("valve", "tau"), Right(key=0.0, student="T1", form=Value(0.0)))])
    assert with_classmates(key, upload, marked, everybody) == marked


def test_a_mistake_that_explains_to_the_digit_goes_before(rubric):
    """R/L for L/R, put into a classmate's mouth."""
    key = build_key(personal_rubric(rubric, "S0001", SECRET))
    tau = key.item("valve", "tau").reference.answer
    written = Written(problem="valve", item="tau", text=f"{1 / (float(tau.number.p) / float(tau.number.q)):.4g} s")
    upload = Upload(file="", digest="", student="S0001", answers=(written,))
    marked = mark_upload(key, upload)
    mark = next(one for one in marked.marks if one.item == "tau")
    assert "rl-time-constant-inverted" in mark.mistakes
    ((place, own),) = [pair for pair in right_answers(rubric, "S0001", SECRET) if pair[0] == ("valve", "tau")]
    inverse = 1 / own.form.value
    fake = together([(place, own._replace(key=inverse, student="T1", form=own.form._replace(value=inverse)))])
    assert with_classmates(key, upload, marked, fake) == marked


def test_values_of_the_blank_sheet_are_called_that(rubric):
    blank = next(one.text for one in references(rubric) if one.item == "tau")
    note = noted(rubric, "S0001", {"tau": blank}, ("", *STUDENTS))["tau"]
    assert "blank sheet" in note
    assert "S0" not in note


def test_a_student_who_used_the_blank_sheet_is_told_and_looked_at_once(rubric):
    blank = {one.item: one.text for one in references(rubric) if one.item != "safe"}
    found = marked_among(rubric, "S0001", blank, ("", *STUDENTS))
    told = [mark for mark in found.values() if BLANK_SHEET_USED in mark.reasons]
    assert [mark.item for mark in told] == ["end", "tau"]  # the expression follows from these two
    assert [mark.item for mark in told if mark.review and ONE_LOOK in mark.reasons] == ["end"]
    own = {one.item: one.text for one in references(personal_rubric(rubric, "S0001", SECRET)) if one.item != "safe"}
    assert not any(BLANK_SHEET_USED in mark.reasons for mark in marked_among(rubric, "S0001", own, STUDENTS).values())


def test_a_few_digits_of_the_blank_sheet_are_heard_together(rubric):
    """In a class whose values lie close, each by itself may be chance; of blank sheets there is one."""
    class_of = ("", *(f"S{number:04}" for number in range(1, 301)))
    exact = {place[1]: right.form.value for place, right in right_answers(rubric, "", SECRET) if place[1] != "i"}
    rounded = {"end": f"{exact['end']:.2g} A", "tau": f"{exact['tau']:.2g} s"}
    found = marked_among(rubric, "S0001", rounded, class_of)
    assert [item for item, mark in found.items() if BLANK_SHEET_USED in mark.reasons] == ["end", "tau"]
    alone = marked_among(rubric, "S0001", {"tau": rounded["tau"]}, class_of)
    assert not any(BLANK_SHEET_USED in mark.reasons for mark in alone.values())


def test_a_sheet_with_the_values_of_another_waits_once_and_the_student_is_not_told_why(rubric):
    """The expression follows from the two values, and earns its points; who looks at the first sees the sheet."""
    copied, own = (
        {one.item: one.text for one in references(personal_rubric(rubric, student, SECRET)) if one.item != "safe"}
        for student in ("S0003", "S0001")
    )
    found = marked_among(rubric, "S0001", copied, STUDENTS)
    waits = [item for item, mark in found.items() if mark.review]
    assert waits == ["end"]
    assert any("2 answers of this sheet" in note and "S0003" in note for note in found["end"].notes)
    assert not any("S0003" in text for mark in found.values() for text in (*mark.reasons, *mark.nudges))
    alone = marked_among(rubric, "S0001", {**own, "tau": copied["tau"]}, STUDENTS)
    assert not any(mark.review for mark in alone.values())


def test_a_mistake_that_explains_less_well_than_a_classmates_values_is_not_named(rubric, monkeypatch):
    key = build_key(personal_rubric(rubric, "S0001", SECRET))
    tau = next(one for one in references(personal_rubric(rubric, "S0003", SECRET)) if one.item == "tau").answer.number
    text = f"{float(tau.p) / float(tau.q):.5e} s"
    upload = Upload(file="", digest="", student="S0001", answers=(Written(problem="valve", item="tau", text=text),))
    named = {"mistakes": ("rl-time-constant-inverted",), "nudges": ("Is it L over R?",), "notes": ("The inverse.",)}
    marked = mark_upload(key, upload)
    marked = replace(marked, marks=tuple(replace(one, **named) if one.item == "tau" else one for one in marked.marks))
    everybody = together(pair for one in STUDENTS for pair in right_answers(rubric, one, SECRET))
    for explained, mistakes in ((True, named["mistakes"]), (False, ())):
        monkeypatch.setattr("grader.marking.classmates._explained", lambda *_, better=explained: better)
        (found,) = [one for one in with_classmates(key, upload, marked, everybody).marks if one.item == "tau"]
        assert (found.mistakes, bool(found.nudges)) == (mistakes, explained)
        assert found.notes[0].startswith("The inverse." if explained else TO_EVERY_DIGIT)


FEW_VALUES = """
title = "Two heaters (invented)"
[[problem]]
id = "valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V … 48 V, step 6 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "100 ohm … 470 ohm, E6"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "330 ohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "7 uF"},
]
item = [
  {id = "v", find = "final value", voltage = "C1", points = 1},
  {id = "i0", find = "initial value", current = "R1", points = 1},
  {id = "i1", find = "final value", current = "R1", points = 1},
]
"""


def two_digits(rubric, student):
    own = references(personal_rubric(rubric, student, SECRET))
    return {one.item: f"{float(one.answer.number.p) / float(one.answer.number.q):.2g} {one.unit}" for one in own}


def test_what_might_be_chance_alone_is_none_together():
    """Two digits meet one of a few classmates in one of six cases; two such answers of one classmate do not."""
    rubric = read_rubric(FEW_VALUES.encode(), "heaters.toml")
    theirs = two_digits(rubric, "S0002")
    assert len({*theirs.items()} & {*two_digits(rubric, "S0001").items()}) == 0
    sheet = noted(rubric, "S0001", theirs, ("S0001", "S0002"))
    assert all("of S0002" in sheet[item] and "value misread" in sheet[item] for item in ("v", "i0"))
    assert sheet["i1"] == ""  # it follows from v, and is no evidence of its own
    alone = noted(rubric, "S0001", {"v": theirs["v"]}, ("S0001", "S0002"))
    assert alone["v"] == ""


def test_wrong_answers_at_random_accuse_nobody():
    """Six of a hundred invented sheets at most would be named; the bound holds for the sheet, however many answers are wrong."""
    rubric = read_rubric(FEW_VALUES.encode(), "heaters.toml")
    everybody = together(pair for one in STUDENTS for pair in right_answers(rubric, one, SECRET))
    key, rng, named = build_key(personal_rubric(rubric, "S0001", SECRET)), random.Random(20), 0
    right = {one.item: float(one.answer.number.p) / float(one.answer.number.q) for one in references(key.rubric)}
    for _ in range(100):
        texts = {item: f"{value * rng.uniform(0.5, 2):.2g}" for item, value in right.items()}
        answers = tuple(
            Written(problem="valve", item=item, text=text, unit="A" if item != "v" else "V")
            for item, text in texts.items()
        )
        upload = Upload(file="", digest="", student="S0001", answers=answers)
        marked = mark_upload(key, upload)
        named += with_classmates(key, upload, marked, everybody) != marked
    assert named <= 6
