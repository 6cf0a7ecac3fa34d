"""What follows from a student's own answers, by small rules worked out in the head: x = R + L, with 1 and 2 right."""

from __future__ import annotations

import pytest
from flint import fmpq

from grader.marking.follow import CarriedForward, carried_forward, consequences, from_accepted
from grader.quantities.rules import SEVERAL_STEPS, Rule
from grader.rubric.references import Reference
from grader.values.dimension import ENERGY, RESISTANCE, TIME, VOLTAGE
from grader.values.functions import exp
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME as T
from grader.values.waveform import Waveform, constant

LETTER = constant(Symbolic.symbol("V0", ("V0",)))


def number(value):
    return value if isinstance(value, Waveform | tuple | str) else constant(fmpq(value))


def rule(formula, *names, says="So it goes."):
    return Rule(formula=formula, uses=tuple((name, f"item {name}") for name in names), says=says)


SUM = rule("R+L", "R", "L")


def reference(*rules, answer=3, dimension=VOLTAGE):
    return Reference(
        problem="p", item="x", find="", kind="value", answer=number(answer), dimension=dimension, rules=rules, text="", exact=""
    )  # fmt: skip


def own(answer, right, *source, **more):
    return CarriedForward(answer=number(answer), right=number(right), source=source, **more)


R_RIGHT, L_RIGHT = own(1, 1), own(2, 2)
R_WRONG, L_WRONG = own(10, 1, "R"), own(20, 2, "L")


@pytest.mark.parametrize(
    ("r", "ell", "found"),
    [
        (R_RIGHT, L_RIGHT, []),
        (R_WRONG, L_RIGHT, [(12, ("R",))]),
        (R_RIGHT, L_WRONG, [(21, ("L",))]),
        # Of two wrong answers both may have been used, or either: one may have been put right on the way.
        (R_WRONG, L_WRONG, [(30, ("R", "L")), (12, ("R",)), (21, ("L",))]),
        (own(10, 1, "a", "b"), own(20, 2, "b"), [(30, ("a", "b")), (12, ("a", "b")), (21, ("b",))]),
    ],
)
def test_all_that_may_have_been_built_on(r, ell, found):
    carried = {"item R": r, "item L": ell}
    followed = list(consequences(reference(SUM), carried))
    assert [(one.answer, one.source) for one in followed] == [(number(value), source) for value, source in found]
    assert not any(one.near or one.absurd or one.easier for one in followed)
    assert {one.says for one in followed} <= {"So it goes."}


def test_what_cannot_be_followed_is_passed_over():
    """No answer to C yet, and one over nothing: the rules after them are tried all the same."""
    rules = (rule("C*R", "C", "R"), rule("1/L", "L"), SUM)
    carried = {"item R": R_WRONG, "item L": own(0, 2, "L")}
    assert [one.answer for one in consequences(reference(*rules), carried)] == [number(10), number(12), number(1)]
    near = {"item R": own(1, 1, near=number(4)), "item L": own(2, 2, near=number(0))}
    (found,) = from_accepted(reference(*rules), near)
    assert (found.answer, found.source, found.near, found.says) == (
        number(4), ("item R", "item L"), True, "So it goes.",
    )  # fmt: skip


def test_what_was_accepted_is_followed_where_it_is_not_exact():
    carried = {"item R": own(1, 1, near=number(4)), "item L": own(20, 2, "L")}
    (found,) = from_accepted(reference(SUM), carried)
    assert (found.answer, found.source) == (number(6), ("item R",))  # the other one as it is right
    assert not list(from_accepted(reference(SUM), {"item R": R_RIGHT, "item L": L_WRONG}))


def test_an_answer_never_given_makes_it_several_steps():
    for r, ell, says in (
        (R_WRONG, own(20, 2, "L", missing=True), [SEVERAL_STEPS, "So it goes.", SEVERAL_STEPS]),
        (own(1, 1, missing=True), L_WRONG, ["So it goes."]),
    ):
        found = consequences(reference(SUM), {"item R": r, "item L": ell})
        assert [one.says for one in found] == says


DECAY, GROWTH = exp(-T), exp(T)
ROOTS = ((number(-3), number(4)), (number(-3), number(-4)))
GROWING_ROOTS = ((number(-3), number(4)), (number(3), number(4)))
SAME = rule("R", "R")


@pytest.mark.parametrize(
    ("answer", "right", "dimension", "absurd"),
    [
        (-5, 3, RESISTANCE, True),
        (-5, 3, TIME, True),
        (-5, 3, ENERGY, True),
        (-5, 3, VOLTAGE, False),
        (5, 3, RESISTANCE, False),
        (0, 3, RESISTANCE, False),
        (-5, 0, RESISTANCE, True),
        (-5, -3, RESISTANCE, False),
        (-LETTER, 3, RESISTANCE, False),
        (-DECAY, 3, RESISTANCE, False),
        (-5, DECAY, ENERGY, False),
        (GROWTH, DECAY, VOLTAGE, True),
        (GROWTH, GROWTH.scaled(fmpq(2)), VOLTAGE, False),
        (DECAY.scaled(fmpq(2)), DECAY, VOLTAGE, False),
        (LETTER * GROWTH, DECAY, VOLTAGE, False),
        (GROWING_ROOTS, ROOTS, None, True),
        (ROOTS, ROOTS, None, False),
        (((LETTER, number(0)),), ROOTS, None, False),
        (((T, number(0)),), ROOTS, None, False),
        (((number(0), number(4)),), ROOTS, None, False),
    ],
)
def test_no_passive_circuit_has_such_a_value(answer, right, dimension, absurd):
    step = Rule(formula="R", uses=(("R", "item R"),), says="", step=lambda named: named["R"])
    asked = reference(step, answer=right, dimension=dimension)
    (found,) = consequences(asked, {"item R": own(answer, 1, "R")})
    assert found.absurd is absurd


@pytest.mark.parametrize(
    ("answer", "right", "carried_on", "taken", "easier"),
    [
        (0, 3, False, 1, True),  # zero where there is a value
        (0, 0, False, 1, False),
        (5, 3, False, 1, False),
        (5, DECAY, False, 1, True),  # a constant where it varies
        (DECAY, 3, False, 1, False),
        (DECAY, GROWTH, False, 1, False),
        (0, 3, True, 1, False),  # what cannot jump is carried on as it stands
        (5, DECAY, True, 1, False),
        (5, 3, True, DECAY, True),  # the answer carried on does not vary and should
        (5, 3, False, DECAY, True),
        (DECAY, 3, False, DECAY, False),
        ("rises", 3, False, 1, False),
        (5, ROOTS, False, 1, False),
    ],
)
def test_a_slip_that_leaves_nothing_to_work_out(answer, right, carried_on, taken, easier):
    step = Rule(formula="R", uses=(("R", "item R"),), says="", step=lambda named: named["R"])
    (found,) = consequences(reference(SAME if carried_on else step, answer=right), {"item R": own(answer, taken, "R")})
    assert found.easier is easier


def test_a_rule_of_one_name_with_another_formula_carries_nothing_on():
    (found,) = consequences(reference(rule("R*R", "R")), {"item R": own(0, 1, "R")})
    assert found.easier


@pytest.mark.parametrize(
    ("mine", "wrong", "carried"),
    [
        (5, True, own(5, 3, "x")),
        (3, True, own(3, 3, "x")),
        (3, False, own(3, 3)),
        (5, False, own(3, 3, near=number(5))),
    ],
)
def test_what_an_item_passes_on(mine, wrong, carried):
    found = carried_forward(reference(answer=3), number(mine), item="x", wrong=wrong)
    assert found == carried
    assert found.exact is (not wrong and mine == 3)


@pytest.mark.parametrize(
    ("answer", "right", "flat"),
    [(5, DECAY, True), (DECAY, DECAY, False), (5, 3, False), (DECAY, 3, False), ("no", DECAY, False), (5, "no", False)],
)
def test_what_does_not_vary_where_it_should(answer, right, flat):
    assert own(answer, right).flat is flat
