"""Marks of whole uploads: each rule of design by an answer that shows it."""

import math
import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import BLANK, CORRECT, FOLLOWED, INCORRECT, PARTLY, UNREADABLE
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written

from .valve import RIGHT, mark


def test_a_right_upload_earns_everything(valve_key):
    """Rounded values and a rounded expression earn all points."""
    marks = mark(valve_key(), **RIGHT)
    assert {m.verdict for m in marks.values()} == {CORRECT}
    assert sum(m.awarded for m in marks.values()) == 12
    assert not any(m.mistakes or m.review for m in marks.values())


def test_rounding_of_an_accepted_answer_is_not_charged_later(valve_key):
    """80 mH over 8.15 ohm (accepted for 8 ohm) is 9.82 ms: 9.79 ms is right for it, though 2.1 % off the exact 10 ms."""
    marks = mark(valve_key(), **RIGHT | {"seen": "8.15 ohm", "tau": "9.79 ms", "i": "2 - 0.364e^(-t/9.79ms) A"})
    assert {m.verdict for m in marks.values()} == {CORRECT}
    assert marks["tau"].reasons[-1].endswith("'seen', which counts as right.")
    parts = mark(valve_key(), **RIGHT | {"seen": "8.15 ohm", "tau": "9.79 ms", "i": "3 - 1.364e^(-t/9.79ms) A"})
    assert marks["i"].awarded > parts["i"].awarded == pytest.approx(3)  # the final value alone is lost
    blank = mark(valve_key(), **RIGHT | {"seen": "8.15 ohm", "tau": "", "i": "2 - 0.364e^(-t/9.79ms) A"})
    assert blank["i"].verdict == CORRECT


@pytest.mark.parametrize("seen", ["8 ohm", "7.9 ohm", ""])
def test_an_accepted_answer_widens_no_tolerance(valve_key, seen):
    """What neither the circuit nor the student's own value gives stays wrong."""
    assert mark(valve_key(), **RIGHT | {"seen": seen, "tau": "9.79 ms"})["tau"].verdict == INCORRECT


@pytest.mark.parametrize(
    ("item", "text", "verdict", "awarded"),
    [
        ("final", "2", PARTLY, 0.75),  # unit missing
        ("final", "2 V", PARTLY, 0.75),  # unit of another kind
        ("final", "-2 A", PARTLY, 0.5),  # sign
        ("final", "2 mA", PARTLY, 0.5),  # prefix
        ("final", "2000 mA", CORRECT, 1),
        ("final", ("2", "A"), CORRECT, 1),  # unit in its own cell
        ("final", "24/12 A", CORRECT, 1),
        ("final", "V1/(R1+R2*R3/(R2+R3))*R2/(R2+R3)", CORRECT, 1),  # names carry their units
        ("final", "2.05 A", INCORRECT, 0),  # beyond 2 %
        ("final", "2.03 A", CORRECT, 1),
        ("final", "", BLANK, 0),
        ("tau", "0.01", PARTLY, 0.75),
        ("tau", "10", PARTLY, 0.75),  # meant in ms, no unit
        ("tau", "10 s", PARTLY, 0.5),
        ("tau", "100", INCORRECT, 0),
        ("tau", "L1/8 ohm", CORRECT, 1),
        ("tau", "L1/R_th s", PARTLY, 0.25),  # nobody answered the resistance seen: the method
        ("i", "18/11 + (2 - 18/11)(1 - e^(-t/10ms)) A", CORRECT, 4),
        ("i", "2-(4/11)e^-t/tau A", PARTLY, 3),
        ("i", "2(1-e^(-100t)) A", PARTLY, 3),  # starts from zero
        ("i", "-2 + 0.364e^(-100t) A", PARTLY, 2),  # sign alone
        ("i", "2 A", PARTLY, 1),
        ("i", "2 - 0.364e^(100t) A", PARTLY, 2),  # exponent and final value lost
        ("i", "2 - 0.364e^(-100t)", PARTLY, 3),  # unit missing
        ("i", "2000 - 364e^(-100t) mA", CORRECT, 4),
        ("i", "2 - 0.364e^(-100t) mA", PARTLY, 2),
    ],
)
def test_one_answer(valve_key, item, text, verdict, awarded):
    """Each kind of answer to one item."""
    found = mark(valve_key(), **{item: text})[item]
    assert (found.verdict, found.awarded) == (verdict, pytest.approx(awarded)), found.reasons


def test_a_slip_is_charged_once(valve_key):
    """16 ohm for 8 ohm costs its own points; tau and the expression that follow are right for it."""
    marks = mark(valve_key(), **{**RIGHT, "seen": "16 ohm", "tau": "5 ms", "i": "2 - 0.364e^(-200t) A"})
    assert marks["seen"].verdict == INCORRECT
    assert (marks["tau"].verdict, marks["tau"].follows_from) == (FOLLOWED, ("seen",))
    assert marks["i"].verdict == FOLLOWED
    assert marks["i"].awarded == 4


def test_following_goes_through_a_blank(valve_key):
    """The expression follows from the resistance even where tau was left out."""
    marks = mark(valve_key(), **{**RIGHT, "seen": "16 ohm", "tau": "", "i": "2 - 0.364e^(-200t) A"})
    assert marks["i"].verdict == FOLLOWED
    assert marks["i"].follows_from == ("seen",)


def test_a_slip_to_zero_is_charged_once(valve_key):
    """A coil taken as open before switching: 0 A just after is right for that, and no easier than 1 A would be."""
    marks = mark(valve_key(), before="0 A", start="0 A")
    assert (marks["before"].awarded, marks["start"].verdict, marks["start"].awarded) == (0, FOLLOWED, 1)


def test_names_stand_for_the_students_own_answers(valve_key):
    """An expression in names is worked out with the student's own earlier answers."""
    marks = mark(
        valve_key(), before="1.5 A", start="1.5 A", final="2 A", tau="10 ms", i="i(inf)+[i(0)-i(inf)]e^(-t/tau)"
    )
    assert marks["start"].verdict == FOLLOWED
    assert marks["i"].verdict == FOLLOWED


def test_a_slip_put_right_on_the_way_is_not_charged_again(valve_key):
    """One of two earlier slips may be carried on, the other put right."""
    marks = mark(valve_key(), **{**RIGHT, "start": "-1.64 A", "tau": "20 ms", "i": "2 - 0.364e^(-50t) A"})
    assert (marks["i"].verdict, marks["i"].follows_from) == (FOLLOWED, ("tau",))


def test_another_quantity_named_beside_the_answer_is_no_second_answer(valve_key):
    """What carries its own name is a remark."""
    found = mark(valve_key('several_answers = "none"'), seen="8 ohm (tau = 10 ms)")["seen"]
    assert (found.verdict, found.awarded) == (CORRECT, 2)


def test_where_one_answer_is_allowed_none_of_several_is_shown_as_read(valve_key):
    found = mark(valve_key('several_answers = "none"'), seen="8 ohm or 9 ohm")["seen"]
    assert (found.verdict, found.awarded, found.reading, found.reading_mathml) == (UNREADABLE, 0, "", "")
    assert "no more than one may be given" in found.reasons[0]


@pytest.mark.parametrize(
    ("said", "points"),
    [
        (", t counted from the opening of S2", 4), (" (t measured from 30 ms)", 4), (" where t starts when S2 opens", 4),
        (", t counted from the closing of S1", 3), (" (t measured from 20 ms)", 3), ("", 3),
    ],
)  # fmt: skip
def test_an_expression_may_count_time_from_its_own_switching(said, points):
    """Said so, it is right without the delay: 2.331 A at 30 ms; from any other instant its initial value is lost."""
    key = build_key(load_rubric(Path(__file__).parents[1] / "papers/ferry/rubric.toml"))
    written = (Written(problem="bolt", item="i", text=f"1.2 + 1.1306e^(-125t) A{said}"),)
    marked = mark_upload(key, Upload(file="u", digest="", student="S1", answers=written))
    assert next(one.awarded for one in marked.marks if one.item == "i") == points


def test_a_share_for_following(valve_key):
    """The rubric may pay less, or nothing, for following."""
    answers = {**RIGHT, "seen": "16 ohm", "tau": "5 ms"}
    assert mark(valve_key("follow_through = 0.5"), **answers)["tau"].awarded == 0.5
    assert mark(valve_key("follow_through = 0.0"), **answers)["tau"].verdict == INCORRECT


def test_nothing_for_an_absurd_value_carried_on(valve_key):
    """A negative time constant follows from a negative resistance, and should have been noticed."""
    marks = mark(valve_key(), seen="-16 ohm", tau="-5 ms")
    assert marks["tau"].awarded == 0
    assert "should have been noticed" in " ".join(marks["tau"].reasons)


def test_nothing_for_a_slip_that_leaves_nothing_to_do(valve_key):
    """With equal start and end the response is constant: writing that down earns no follow-through credit."""
    marks = mark(valve_key(), before="2 A", start="2 A", final="2 A", seen="8 ohm", tau="10 ms", i="2 A")
    assert marks["i"].awarded == pytest.approx(1)  # the final value is right
    assert marks["i"].verdict == PARTLY


def test_foreseen_answers(valve_key):
    """A known wrong answer earns what the rubric says, with its comment; an accepted one is right."""
    key = valve_key("", ', known_wrong = [{answer = "2(1-e^(-100t)) A", share = 0.5, comment = "Mind the start."}]')
    found = mark(key, i="2 - 2e^(-100t) A")["i"]
    assert found.awarded == 2
    assert "Mind the start." in found.reasons
    accepting = valve_key("", ', accept = ["1.8 A"]')
    assert mark(accepting, i="1.8 A")["i"].verdict == CORRECT


def test_what_cannot_be_read_goes_to_a_person(valve_key):
    """An answer that makes no sense is unreadable, earns nothing and is on the review list."""
    found = mark(valve_key(), i="2 - ) e^(")["i"]
    assert (found.verdict, found.review, found.awarded) == (UNREADABLE, True, 0)


def test_no_reason_gives_the_reference_answer_away(valve_key):
    """Reasons and nudges for wrong answers hold no number of the solution."""
    marks = mark(
        valve_key(), before="3 A", start="4 A", final="5 A", seen="77 ohm", tau="3 ms", i="7e^(-3t) A", energy="4 J"
    )
    for found in marks.values():
        said = " ".join((*found.reasons, *found.nudges))
        assert not any(number in said for number in ("1.636", "18/11", "0.364", "139", "8 Ω", "10 ms"))


def test_the_key_pickles_and_marks_the_same(valve_key):
    """A key sent to another process marks identically."""
    key = valve_key()
    again = pickle.loads(pickle.dumps(key))
    assert mark(again, **RIGHT) == mark(key, **RIGHT)


@given(better=st.sampled_from(sorted(RIGHT)), wrong=st.sets(st.sampled_from(sorted(RIGHT)), min_size=1))
def test_one_more_right_answer_never_means_fewer_points(valve_key, better, wrong):
    """Property: putting one item right never lowers that item's points."""
    off = {
        "before": "3 A",
        "start": "4 A",
        "final": "5 A",
        "seen": "77 ohm",
        "tau": "3 ms",
        "i": "7e^(-3t) A",
        "energy": "4 J",
    }
    answers = {item: off[item] if item in wrong else text for item, text in RIGHT.items()}
    before = mark(valve_key(), **answers)[better].awarded
    after = mark(valve_key(), **{**answers, better: RIGHT[better]})[better].awarded
    assert after >= before


@given(factor=st.floats(0.2, 5).filter(lambda f: abs(math.log(f)) > 0.05))
def test_a_value_off_by_more_than_the_tolerance_earns_nothing(valve_key, factor):
    """Property: no value beyond its tolerance is right."""
    found = mark(valve_key(), final=f"{2 * factor:.5f} A")["final"]
    assert found.awarded == 0


def test_what_is_said_fits_what_was_asked_and_written(valve_key):
    """No circuit decides a choice; "I don't know" is something written; parts that follow do not agree with the circuit."""
    choice = '},\n  {id = "kind", find = "choice", options = ["a coil", "a gap"], key = "a coil", points = 1'
    marks = mark(
        valve_key(extra=choice), kind="a gap", seen="4 ohm", before="I don't know", tau="20 ms", i="3 - 1.4e^(-50t) A"
    )
    assert marks["kind"].reasons == ("This does not agree with the right answer.",)
    assert marks["seen"].reasons == ("This does not agree with the circuit.",)
    assert marks["before"].reasons == ("This counts as no answer.",)
    assert marks["start"].reasons == ("Nothing was written here.",)
    assert (
        "the time constant and the form agree with the circuit or with your earlier answers" in marks["i"].reasons[-1]
    )


def test_a_logarithm_may_be_the_natural_one(valve_key):
    """log is meant as ln, as in many programs, or to the base of ten: the value written with it decides."""
    found = mark(valve_key(), tau="10/1.386*log(4) ms")["tau"]
    assert (found.verdict, found.review) == (CORRECT, False)
    assert mark(valve_key(), tau="10/1.386*log(5) ms")["tau"].verdict == INCORRECT


def test_what_is_put_in_for_a_missing_answer_is_said(valve_key):
    """A formula with the name of an item left open earns what it says without it: all parts but the time constant."""
    borrowed = mark(valve_key(), i="2 - 0.364e^(-t/tau) A")["i"]
    assert (borrowed.verdict, borrowed.awarded, borrowed.review) == (PARTLY, 3, False)
    assert "You gave no answer to 'tau': this formula shows how to work it out." in borrowed.reasons
    labelled = mark(valve_key(), i="i = 2 - 0.364e^(-t/tau) A")["i"]
    assert (labelled.verdict, labelled.awarded) == (PARTLY, 3)
    assert mark(valve_key(), i="2 - 0.364e^(-t/tau2) A")["i"].review  # no product of tau and two
    own = mark(valve_key(), tau="10 ms", i="2 - 0.364e^(-t/tau) A")["i"]
    assert (own.verdict, own.review) == (CORRECT, False)
    stated = mark(valve_key(), i="2 - 0.364e^(-t/tau) A, tau = 10 ms")["i"]
    assert (stated.verdict, stated.review) == (CORRECT, False)


def test_a_response_that_grows_is_noticed(valve_key):
    """Following a negative time constant into an exponential that grows earns no follow-through credit."""
    marks = mark(valve_key(), before="1.64 A", start="1.64 A", final="2 A", tau="-10 ms", i="2 - 0.364e^(100t) A")
    assert marks["i"].verdict != FOLLOWED
    assert marks["i"].awarded == mark(valve_key(), i="2 - 0.364e^(100t) A")["i"].awarded
