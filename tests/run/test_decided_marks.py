"""What a decision leaves of what the program said: of the mark itself, and of the marks beside it."""

from grader.marking.marks import CORRECT, FOR_A_PERSON, INCORRECT, PARTLY, Mark, Marked
from grader.run.decisions import Decisions, decided
from grader.run.given import Points

ONCE = "The unit is missing; that was charged once in this problem and is not charged again."
COSTS = "The unit is missing, which costs 25 % of the points."


def mark(item, problem="bell", **more):
    said = {"answer": "1", "awarded": 0.75, "possible": 1.0, "verdict": PARTLY, **more}
    return Mark(problem=problem, item=item, **said)


def after(points, *marks):
    given = {("S1", "bell", "a"): (Points(points=points, reason="seen", answer=None),)}
    return decided(Marked(student="S1", file="u.txt", marks=marks), Decisions(points=given)).marks


def test_praise_is_not_read_above_fewer_points():
    (fewer,) = after(0.0, mark("a", reasons=("The initial value and the final value agree.",)))
    assert fewer.reasons == ()
    assert "The initial value and the final value agree." in fewer.notes
    (more,) = after(0.8, mark("a", reasons=("The initial value agrees.",)))
    assert more.reasons == ("The initial value agrees.",)


def test_what_denies_an_answer_is_not_read_below_points_for_it():
    wrong = mark("a", awarded=0.0, verdict=INCORRECT, reasons=("This does not agree with the right answer.",))
    (given,) = after(0.8, wrong)
    assert given.reasons == ()
    assert "This does not agree with the right answer." in given.notes
    assert after(0.0, wrong)[0].reasons == wrong.reasons


def test_a_cost_that_a_person_took_back_is_charged_nowhere():
    beside = mark("b", awarded=1.0, verdict=CORRECT, reasons=("This is right.", ONCE))
    elsewhere = mark("b", problem="horn", reasons=(ONCE,))
    marks = after(1.0, mark("a", reasons=(COSTS,)), beside, elsewhere)
    assert marks[1].reasons == ("This is right.", "The unit is missing; nothing is charged for it here.")
    assert marks[2].reasons == (ONCE,)


def test_a_cost_that_stays_was_charged():
    beside = mark("b", reasons=(ONCE,))
    assert after(0.5, mark("a", reasons=(COSTS,)), beside)[1] is beside
    assert after(1.0, mark("a", verdict=FOR_A_PERSON, awarded=0.0), beside)[1] is beside
