"""Verdicts on a whole from those on its parts, what is seen of earlier answers, clocks and bounds, each by hand."""

from __future__ import annotations

import pytest
from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Signal
from grader.marking.context import ProblemContext
from grader.marking.credit import Credit
from grader.marking.follow import CarriedForward
from grader.marking.following import Verdict
from grader.marking.interpretation import Interpretation
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import WRONG
from grader.marking.marks import CORRECT, FOLLOWED, INCORRECT, PARTLY, Part
from grader.marking.own_clock import since_the_switching
from grader.marking.verdict import _of_interval, _together
from grader.problem import Marking
from grader.quantities.rules import Rule
from grader.reading.reader import read
from grader.rubric.references import Reference
from grader.values.dimension import CURRENT, ENERGY, TIME, VOLTAGE
from grader.values.scalar import rational
from grader.values.waveform import TIME as T
from grader.values.waveform import constant


@pytest.mark.parametrize(
    ("verdicts", "whole"),
    [
        ([CORRECT], CORRECT),
        ([CORRECT, CORRECT], CORRECT),
        ([FOLLOWED], FOLLOWED),
        ([FOLLOWED, FOLLOWED], FOLLOWED),
        ([CORRECT, FOLLOWED], FOLLOWED),
        ([FOLLOWED, CORRECT], FOLLOWED),
        ([INCORRECT], INCORRECT),
        ([INCORRECT, INCORRECT], INCORRECT),
        ([PARTLY], PARTLY),
        ([CORRECT, PARTLY], PARTLY),
        ([FOLLOWED, PARTLY], PARTLY),
        ([CORRECT, INCORRECT], PARTLY),
        ([INCORRECT, FOLLOWED], PARTLY),
        ([PARTLY, INCORRECT], PARTLY),
        ([CORRECT, FOLLOWED, INCORRECT], PARTLY),
    ],
)
def test_a_whole_is_as_its_parts_are(verdicts, whole):
    assert _together(verdicts) == whole


SILENT = Interpretation(reading=read("1 V")[0], answer=constant(fmpq(1)), dimension=VOLTAGE, rank=0)


@pytest.mark.parametrize(
    ("verdict", "reasons", "own", "says"),
    [
        (CORRECT, (), (), ""),
        (CORRECT, (), ("It follows.",), "For t > 0: It follows."),
        (CORRECT, ("The unit is missing.",), (), "For t > 0: The unit is missing."),
        (PARTLY, ("Half of it.",), ("It follows.",), "For t > 0: It follows. Half of it."),
        (INCORRECT, (), (), "For t > 0: this does not agree with the circuit."),
    ],
)
def test_of_an_interval_is_told_what_is_not_plainly_right(verdict, reasons, own, says):
    credit = Credit(share=0.0, verdict=verdict, reasons=reasons)
    part = Part(name="t > 0", awarded=0.0, possible=1.0, verdict=verdict)
    assert _of_interval(part, Verdict(taken=SILENT, judgement=WRONG, credit=credit, reasons=own)) == says


COIL, TANK = Signal(kind="current", of="L1"), Signal(kind="voltage", of="C1")


def item(*, uses=(), named=(), signal=COIL, intervals=(), **more):
    """An item by what of it is looked at."""
    rules = tuple(Rule(formula="x", uses=(("x", id),), says="") for id in uses)
    reference = Reference(
        **{
            "problem": "p", "item": "i", "find": "", "kind": "value", "answer": constant(fmpq(1)), "dimension": CURRENT,
            "rules": rules, "text": "", "exact": "", **more,
        }
    )  # fmt: skip
    return ItemKey(
        problem="p", id="i", points=1.0, marking=Marking(), hint="", reference=reference, signal=signal, accepted=(),
        parts=(), options=(), percent=False, names={}, values={}, carries=tuple((id, id) for id in named),
        intervals=intervals,
    )  # fmt: skip


def carried(*source, near=None, missing=False):
    return CarriedForward(
        answer=constant(fmpq(1)), right=constant(fmpq(1)), source=source, near=None if near is None else constant(fmpq(near)),
        missing=missing,
    )  # fmt: skip


WRONG_ONE, NEAR, EXACT = carried("a"), carried(near=2), carried()


@pytest.mark.parametrize(
    ("passed_on", "uses", "named", "seen"),
    [
        (EXACT, (), (), None),
        (NEAR, (), (), None),
        (WRONG_ONE, (), (), WRONG_ONE),  # whatever is wrong may matter
        (EXACT, ("a",), (), EXACT),
        (NEAR, ("a",), (), NEAR),
        (NEAR, ("a",), ("a",), NEAR),
        (NEAR, (), ("a",), EXACT),  # only named, it is taken as the exact one
        (EXACT, (), ("a",), EXACT),
        (WRONG_ONE, (), ("a",), WRONG_ONE),
    ],
)
def test_of_earlier_answers_an_item_sees_what_can_matter(passed_on, uses, named, seen):
    context = ProblemContext(carried={"a": passed_on}, unit_charged=True, reversed={COIL: "a", TANK: "b"})
    found = context.seen_by(item(uses=uses, named=named))
    assert found.carried == ({} if seen is None else {"a": seen})
    assert (found.unit_charged, found.reversed) == (True, {COIL: "a"})
    within = context.seen_by(item(intervals=(item(uses=uses),), named=named))
    assert found.carried == within.carried


def test_after_an_item_all_is_known_again_and_in_order():
    context = ProblemContext(carried={"a": NEAR, "b": WRONG_ONE}, reversed={TANK: "b"})
    seen = context.seen_by(item(named=("a",)))
    after = replace(seen, carried={**seen.carried, "c": EXACT}, unit_charged=True, reversed={COIL: "c"})
    found = context.followed_by(after)
    assert list(found.carried.items()) == [("a", NEAR), ("b", WRONG_ONE), ("c", EXACT)]
    assert (found.unit_charged, found.reversed) == (True, {TANK: "b", COIL: "c"})
    assert not context.followed_by(replace(after, unit_charged=False)).unit_charged


def test_contexts_are_the_same_by_what_they_hold():
    base = ProblemContext(carried={"a": EXACT})
    assert base.token == ProblemContext(carried={"a": carried()}).token  # an exact answer is told by its place
    others = [
        ProblemContext(),
        ProblemContext(carried={"b": EXACT}),
        ProblemContext(carried={"a": carried(missing=True)}),
        ProblemContext(carried={"a": NEAR}),
        ProblemContext(carried={"a": WRONG_ONE}),
        ProblemContext(carried={"a": carried("a")}),
        ProblemContext(carried={"a": EXACT}, unit_charged=True),
        ProblemContext(carried={"a": EXACT}, reversed={COIL: "a"}),
        ProblemContext(carried={"a": EXACT}, reversed={COIL: "b"}),
    ]
    assert len({one.token for one in (base, *others)}) == 1 + len(others)
    assert ProblemContext(carried={"a": NEAR}).token == ProblemContext(carried={"a": NEAR}).token


@pytest.mark.parametrize(
    ("signal", "dimension", "directed"),
    [
        (COIL, CURRENT, True),
        (COIL, TIME, False),
        (COIL, ENERGY, True),
        (None, CURRENT, False),
        (Signal(kind="energy", of="L1"), ENERGY, False),
    ],
)
def test_a_direction_belongs_to_a_signals_value(signal, dimension, directed):
    assert item(signal=signal, dimension=dimension).directed is directed


TEN = rational("0.01")
LATE = {"start": TEN, "acting": (("S1", ((rational("0"), False),)), ("S2", ((TEN, True), (TEN * 3, False))))}
REACH = {"find": "time to reach", **LATE}
AT, BRIDGED = constant(rational("0.003")), constant(rational("0.013"))


@pytest.mark.parametrize(
    ("text", "origin", "more", "answer", "found"),
    [
        ("3 ms after the switch closes", "", REACH, AT, BRIDGED),
        ("3 ms later", "", REACH, AT, BRIDGED),
        ("3 ms", "", REACH, AT, None),
        ("3 ms after S2 closes", "", REACH, AT, BRIDGED),
        ("3 ms after S1 closes", "", REACH, AT, None),  # it does not act here
        ("3 ms after S11 closes", "", REACH, AT, BRIDGED),
        ("3 ms after S2 opens", "", REACH, AT, constant(rational("0.033"))),
        ("3 ms before S2 opens", "", REACH, AT, constant(rational("0.027"))),
        ("3 ms after the last switching", "", REACH, AT, constant(rational("0.033"))),
        ("3 ms after the fourth switching", "", REACH, AT, BRIDGED),
        ("13 ms, 3 ms after S2 closes", "", REACH, BRIDGED, None),
        ("3 ms after the switch closes", "", {**REACH, "start": None}, AT, None),
        ("3 ms after the switch closes", "", {**REACH, "start": rational("0")}, AT, None),
        ("3 ms after the switch closes", "", REACH, "later", None),
        # An expression: by what its reader found about the origin, and from no other instant.
        ("", "t from the switching", LATE, T, T.delayed(TEN)),
        ("", "t measured from 10 ms", LATE, T, T.delayed(TEN)),
        ("", "t measured from 20 ms", LATE, T, None),
        ("", "t counted after S1 opens", LATE, T, None),
        ("t after the switch closes", "", LATE, T, None),
    ],
)
def test_time_may_count_from_the_switching(text, origin, more, answer, found):
    reading = read("1 s")[0]._replace(origin=origin)
    assert since_the_switching(item(**more), reading, answer, text) == found
