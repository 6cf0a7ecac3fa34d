"""From what agrees to what it earns, each share and sentence by hand, at settings where a rule and its opposite differ."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from grader.marking.credit import Credit, expression_credit, part_holds, size_credit, with_figures, with_unit
from grader.marking.judgement import Judgement, Size, UnitVerdict
from grader.marking.marks import CORRECT, FOLLOWED, INCORRECT, PARTLY
from grader.problem import Marking
from grader.values.comparison import EQUAL, Comparison, FractionComparison
from grader.values.dimension import CURRENT, ENERGY, NUMBER, RATE, VOLTAGE

MARKING = Marking(sign_costs=0.2, prefix_costs=0.3, unit_costs=0.1, follow_through=0.6)
WEIGHTS = (("initial value", 1.0), ("time constant", 2.0), ("form", 1.0))
NOTHING = Comparison()


def earned(comparison, weights=WEIGHTS, followed=None):
    return expression_credit(Judgement(size=Size.PARTS, comparison=comparison), weights, 8, MARKING, followed)


@pytest.mark.parametrize(
    ("held", "followed", "share", "verdict", "awarded"),
    [
        ({}, None, 0, INCORRECT, (0, 0, 0)),
        ({"initial"}, None, 0.25, PARTLY, (2, 0, 0)),
        ({"rates"}, None, 0.5, PARTLY, (0, 4, 0)),
        ({"initial", "rates", "form", "coefficients"}, None, 1, CORRECT, (2, 4, 2)),
        ({}, NOTHING, 0, INCORRECT, (0, 0, 0)),
        ({}, Comparison(initial=True), 0.15, PARTLY, (1.2, 0, 0)),
        ({"initial"}, Comparison(initial=True, rates=True), 0.55, PARTLY, (2, 2.4, 0)),
        ({}, EQUAL, 0.6, FOLLOWED, (1.2, 2.4, 1.2)),
        ({"initial"}, EQUAL, 0.7, FOLLOWED, (2, 2.4, 1.2)),
        # The form follows with its exponents, and only where it is not the right one.
        ({}, Comparison(form=True), 0, INCORRECT, (0, 0, 0)),
        ({"initial", "rates", "form"}, EQUAL, 0.75, PARTLY, (2, 4, 0)),
    ],
)
def test_an_expression_earns_part_by_part(held, followed, share, verdict, awarded):
    """Eight points by weights of 1, 2 and 1: two, four and two; what follows earns six tenths of them."""
    credit = earned(Comparison(**dict.fromkeys(held, True)), followed=followed)
    assert (credit.share, credit.verdict) == (pytest.approx(share), verdict)
    assert [part.awarded for part in credit.parts] == pytest.approx(awarded)
    assert [part.possible for part in credit.parts] == [2, 4, 2]
    assert credit.followed is any(part.verdict == FOLLOWED for part in credit.parts)


def test_without_a_comparison_nothing_is_known_to_agree():
    assert expression_credit(Judgement(size=Size.WRONG), WEIGHTS, 8, MARKING).share == 0


AGREES = "Of what the expression says, "


@pytest.mark.parametrize(
    ("comparison", "followed", "weights", "says"),
    [
        (EQUAL, None, WEIGHTS, ""),
        (NOTHING, None, WEIGHTS[:2], "Nothing the expression says (the initial value and the time constant) agrees with the circuit."),
        (Comparison(initial=True), None, WEIGHTS[:2], f"{AGREES}the initial value agrees with the circuit; the time constant does not."),
        (Comparison(form=True), None, WEIGHTS, f"{AGREES}the form agrees with the circuit; the initial value and the time constant do not."),
        (NOTHING, Comparison(rates=True), WEIGHTS, f"{AGREES}the time constant agrees with the circuit or with your earlier answers; the initial value and the form do not."),
        (FractionComparison(poles=False, zeros=True, gain=False), None, (("poles", 1.0), ("zeros", 1.0), ("gain", 1.0)), f"{AGREES}the zeros agree with the circuit; the poles and the gain do not."),
        (FractionComparison(poles=False, zeros=True, gain=True), None, (("poles", 1.0), ("gain", 1.0)), f"{AGREES}the gain agrees with the circuit; the poles do not."),
    ],
)  # fmt: skip
def test_what_agrees_and_what_does_not_is_said(comparison, followed, weights, says):
    assert " ".join(earned(comparison, weights, followed).reasons) == says


ALL_BUT_CONSTANTS = Comparison(
    initial=True, final=True, rates=True, frequencies=True, form=True, coefficients=False, slope=True
)


@pytest.mark.parametrize(
    ("comparison", "asked", "holds"),
    [
        (EQUAL, ["initial value", "form"], True),
        (NOTHING, ["initial value", "form"], False),
        # All that is asked agrees, and still the constants do not fit: the form is not it.
        (ALL_BUT_CONSTANTS, ["initial value", "form"], False),
        (ALL_BUT_CONSTANTS, ["initial value", "form", "coefficients"], False),
        (replace(ALL_BUT_CONSTANTS, initial=False), ["initial value", "form"], True),
        (replace(ALL_BUT_CONSTANTS, initial=False), ["final value", "form"], False),  # of what is asked, all agrees
        (replace(ALL_BUT_CONSTANTS, slope=False, coefficients=True), ["initial value", "form"], True),
        (replace(ALL_BUT_CONSTANTS, form=False, coefficients=True), ["initial value", "form"], False),
        (replace(ALL_BUT_CONSTANTS, final=False, coefficients=True), ["initial value", "form"], True),
    ],
)
def test_the_form_is_lost_where_all_else_agrees_and_the_constants_do_not(comparison, asked, holds):
    assert part_holds("form", comparison, asked) is holds


@pytest.mark.parametrize(
    ("judgement", "directed", "share", "verdict", "says"),
    [
        (Judgement(size=Size.RIGHT), True, 1, CORRECT, ""),
        (Judgement(size=Size.SIGN), True, 0.8, PARTLY, "The size is right, the sign is not: the question's reference direction decides it."),
        (Judgement(size=Size.SIGN), False, 0.8, PARTLY, "The size is right, the sign is not."),
        (Judgement(size=Size.SIGN, found=(0, 2)), True, 0.8, PARTLY, "The roots have the right size and the wrong sign."),
        (Judgement(size=Size.POWER_OF_TEN, exponent=1), True, 0.7, PARTLY, "The digits are right, but the answer as written is ten times too large: a slip by a factor of ten."),
        (Judgement(size=Size.POWER_OF_TEN, exponent=-2), True, 0.7, PARTLY, "The digits are right, but the answer as written is a hundred times too small: a slip by a factor of a hundred."),
        (Judgement(size=Size.POWER_OF_TEN, exponent=-3), True, 0.7, PARTLY, "The digits are right, but the answer as written is 10^3 times too small: a slip with a prefix or a power of ten."),
        (Judgement(size=Size.PARTS, found=(1, 4)), True, 0.25, PARTLY, "1 of the 4 roots counts."),
        (Judgement(size=Size.PARTS, found=(2, 4)), True, 0.5, PARTLY, "2 of the 4 roots count."),
        (Judgement(size=Size.WRONG), True, 0, INCORRECT, ""),
    ],
)  # fmt: skip
def test_a_size_earns_what_the_rubric_says(judgement, directed, share, verdict, says):
    credit = size_credit(judgement, MARKING, directed)
    assert (credit.share, credit.verdict, " ".join(credit.reasons)) == (pytest.approx(share), verdict, says)


@pytest.mark.parametrize("size", [Size.SIGN, Size.POWER_OF_TEN])
def test_a_slip_that_costs_all_leaves_nothing(size):
    credit = size_credit(Judgement(size=size, exponent=3), Marking(sign_costs=1, prefix_costs=1), True)
    assert (credit.share, credit.verdict) == (0, INCORRECT)


RIGHT, HALF, NONE = (
    Credit(share=share, verdict=verdict) for share, verdict in ((1.0, CORRECT), (0.5, PARTLY), (0.0, INCORRECT))
)
MISSING = "The unit is missing"
OTHER = "The unit does not fit: "


@pytest.mark.parametrize(
    ("credit", "state", "asked", "written", "share", "says"),
    [
        (RIGHT, UnitVerdict.RIGHT, CURRENT, CURRENT, 1, ""),
        (RIGHT, UnitVerdict.MISSING, CURRENT, None, 0.9, f"{MISSING}, which costs 10 % of the points."),
        (HALF, UnitVerdict.MISSING, CURRENT, None, 0.45, f"{MISSING}, which costs 10 % of what it earns."),
        (NONE, UnitVerdict.MISSING, CURRENT, None, 0, ""),
        (RIGHT, UnitVerdict.OTHER, CURRENT, VOLTAGE, 0.9, f"{OTHER}it is that of a voltage, where A, the unit of a current, is asked, which costs 10 % of the points."),
        (RIGHT, UnitVerdict.OTHER, ENERGY, VOLTAGE, 0.9, f"{OTHER}it is that of a voltage, where J, the unit of an energy, is asked, which costs 10 % of the points."),
        (RIGHT, UnitVerdict.OTHER, NUMBER, VOLTAGE, 0.9, f"{OTHER}it is that of a voltage, where a plain number without a unit is asked, which costs 10 % of the points."),
        (RIGHT, UnitVerdict.OTHER, CURRENT, CURRENT.times(ENERGY), 0.9, f"{OTHER}A, the unit of a current, is asked, which costs 10 % of the points."),
        (RIGHT, UnitVerdict.OTHER, RATE, RATE, 0.9, f"{OTHER}hertz counts whole turns per second, where radians per second (1/s) are asked, which costs 10 % of the points."),
    ],
)  # fmt: skip
def test_a_unit_costs_its_share_of_what_is_earned(credit, state, asked, written, share, says):
    found = with_unit(credit, Judgement(size=Size.RIGHT, unit=state), asked, written, MARKING, charged=False)
    assert (found.share, " ".join(found.reasons)) == (pytest.approx(share), says)
    assert found.unit_charged is (share < credit.share)
    assert found.verdict == (credit.verdict if share == credit.share else PARTLY)


@pytest.mark.parametrize(
    ("units", "state", "written", "share"),
    [
        ("required", UnitVerdict.MISSING, None, 0.9),
        ("assumed", UnitVerdict.MISSING, None, 1),
        ("ignored", UnitVerdict.MISSING, None, 1),
        ("required", UnitVerdict.OTHER, VOLTAGE, 0.9),
        ("assumed", UnitVerdict.OTHER, VOLTAGE, 0.9),
        ("ignored", UnitVerdict.OTHER, VOLTAGE, 1),
    ],
)
def test_a_rubric_may_let_units_go(units, state, written, share):
    marking = Marking(unit_costs=0.1, units=units)
    found = with_unit(RIGHT, Judgement(size=Size.RIGHT, unit=state), CURRENT, written, marking, charged=False)
    assert found.share == pytest.approx(share)


@pytest.mark.parametrize(
    ("rule", "charged", "share", "charges"),
    [
        ("each time", False, 0.9, True),
        ("each time", True, 0.9, True),
        ("once per problem", False, 0.9, True),
        ("once per problem", True, 1, False),
    ],
)
def test_a_unit_may_be_charged_once(rule, charged, share, charges):
    marking = Marking(unit_costs=0.1, unit_fault=rule)
    judgement = Judgement(size=Size.RIGHT, unit=UnitVerdict.MISSING)
    found = with_unit(RIGHT, judgement, CURRENT, None, marking, charged)
    assert (found.share, found.unit_charged) == (pytest.approx(share), charges)
    told = f"{MISSING}; that was charged once in this problem and is not charged again."
    assert (told in found.reasons) is not charges


@pytest.mark.parametrize(("costs", "verdict", "says"), [(0, CORRECT, "."), (1, INCORRECT, ", which costs 100 % of the points.")])  # fmt: skip
def test_a_unit_may_cost_nothing_or_all(costs, verdict, says):
    judgement = Judgement(size=Size.RIGHT, unit=UnitVerdict.MISSING)
    found = with_unit(RIGHT, judgement, CURRENT, None, Marking(unit_costs=costs), charged=False)
    assert (found.share, found.verdict, found.reasons) == (1 - costs, verdict, (f"{MISSING}{says}",))


@pytest.mark.parametrize(
    ("credit", "digits", "wanted", "rule", "share", "says"),
    [
        (RIGHT, 2, 0, "required", 1, ""),
        (RIGHT, None, 3, "required", 1, ""),
        (RIGHT, 3, 3, "required", 1, ""),
        (RIGHT, 4, 3, "required", 1, ""),
        (NONE, 2, 3, "required", 0, ""),
        (RIGHT, 2, 3, "required", 0.9, "It is given to 2 significant figures; 3 are expected, which costs 10 % of the points."),
        (HALF, 1, 3, "required", 0.45, "It is given to 1 significant figure; 3 are expected, which costs 10 % of what it earns."),
        (RIGHT, 2, 3, "advised", 1, "It is given to 2 significant figures; 3 are expected."),
    ],
)  # fmt: skip
def test_figures_are_counted_where_the_rubric_asks(credit, digits, wanted, rule, share, says):
    marking = Marking(unit_costs=0.1, significant_figures=wanted, significant_figures_rule=rule)
    found = with_figures(credit, digits, marking)
    assert (found.share, " ".join(found.reasons)) == (pytest.approx(share), says)
