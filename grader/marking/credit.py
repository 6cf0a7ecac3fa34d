"""From what agrees to what it earns: shares of an item's points, and the sentence for each step.

Everything an instructor may set differently stands in `grader.problem.Marking`; nothing is deducted twice and
no item falls below zero.
"""

import re
from collections.abc import Collection

from msgspec import Struct
from msgspec.structs import replace

from grader.marking.judgement import Judgement, Size, UnitVerdict
from grader.marking.marks import CORRECT, FOLLOWED, INCORRECT, PARTLY, Part
from grader.problem import Marking
from grader.regex import regex
from grader.values.comparison import Comparison, FractionComparison
from grader.values.dimension import NAMES, Dimension, called, unit_symbol
from grader.values.text import listed

PART_CHECKS = {
    "initial value": "initial",
    "initial slope": "slope",
    "final value": "final",
    "forced part": "final",
    "time constant": "rates",
    "frequency": "frequencies",
    "coefficients": "coefficients",
    "form": "form",
    "poles": "poles",
    "zeros": "zeros",
    "gain": "gain",
    "delays": "delays",
}
"""What the points of an expression or a function of s may be split by, and the field that decides it."""

BY_PARTS = "Of what the expression says"
"""Begins the reason that tells which parts agree."""


class Credit(Struct, frozen=True, kw_only=True):
    """What an answer earns, as a share of the item's points."""

    share: float
    verdict: str
    parts: tuple[Part, ...] = ()
    reasons: tuple[str, ...] = ()
    unit_charged: bool = False
    followed: bool = False


def part_holds(name: str, comparison: Comparison | FractionComparison, asked: Collection[str] = PART_CHECKS) -> bool:
    """Whether a part of an expression agrees.

    The form is lost as well where all other parts ``asked`` agree and the constants still do not fit.
    """
    if name == "form" and isinstance(comparison, Comparison):
        rest = all(part_holds(other, comparison) for other in asked if other not in {"form", "coefficients"})
        return comparison.form and (comparison.equal or not rest or comparison.coefficients)
    return bool(getattr(comparison, PART_CHECKS[name]))


def _follows(name: str, right: Comparison | FractionComparison, followed: Comparison | FractionComparison) -> bool:
    """Whether a part that does not agree with the circuit agrees with what follows from earlier answers.

    The form does where its kinds of terms are those that follow, exponents included; constants matching neither earn nothing.
    """
    if name == "form" and isinstance(followed, Comparison) and isinstance(right, Comparison):
        return followed.form and followed.rates and not right.form
    return part_holds(name, followed)


def expression_credit(
    judgement: Judgement,
    weights: tuple[tuple[str, float], ...],
    points: float,
    marking: Marking,
    followed: Comparison | FractionComparison | None = None,
    same: Comparison | FractionComparison | None = None,
) -> Credit:
    """Split an expression's points by what it says, each part right or following from earlier answers.

    ``same`` compares what follows with what is right: a part that is the same in both is right or it is wrong.
    """
    comparison = judgement.comparison or Comparison()
    total = sum(weight for _, weight in weights)
    parts, share, any_followed = [], 0.0, False
    for name, weight in weights:
        part = weight / total
        if part_holds(name, comparison, [asked for asked, _ in weights]):
            earned, verdict = part, CORRECT
        elif followed is not None and _follows(name, comparison, followed) and not (same and part_holds(name, same)):
            earned, verdict = part * marking.follow_through, FOLLOWED
            any_followed = True
        else:
            earned, verdict = 0.0, INCORRECT
        share += earned
        parts.append(Part(name=name, awarded=earned * points, possible=part * points, verdict=verdict))
    held = [p.name for p in parts if p.verdict != INCORRECT]
    lost = [p.name for p in parts if p.verdict == INCORRECT]
    reasons = _which_agree(held, lost, followed=any_followed)
    verdict = INCORRECT if not held else PARTLY if lost else FOLLOWED if any_followed else CORRECT
    return Credit(share=share, verdict=verdict, parts=tuple(parts), reasons=reasons, followed=any_followed)


def _which_agree(held: list[str], lost: list[str], *, followed: bool) -> tuple[str, ...]:
    """Which parts agree and which do not, in a sentence; none where all agree."""
    if held and lost:
        also = " or with your earlier answers" if followed else ""
        kept, missed = _parts(held, "agrees", "agree"), _parts(lost, "does", "do")
        return (f"{BY_PARTS}, {kept} with the circuit{also}; {missed} not.",)
    if not lost:
        return ()
    return (f"Nothing the expression says ({listed([f'the {name}' for name in lost])}) agrees with the circuit.",)


def _parts(names: list[str], one: str, many: str) -> str:
    alone = len(names) == 1 and not names[0].endswith("s")  # poles, zeros, delays and coefficients are several
    return f"{listed([f'the {name}' for name in names])} {one if alone else many}"


def size_credit(judgement: Judgement, marking: Marking, directed: bool) -> Credit:
    """What the size, sign and power of ten of an answer earn.

    ``directed``: whether what is asked is counted along a reference direction.
    """
    if judgement.size is Size.RIGHT:
        return Credit(share=1.0, verdict=CORRECT)
    if judgement.size is Size.SIGN:
        share = 1 - marking.sign_costs
        reason = (
            "The roots have the right size and the wrong sign."
            if judgement.found is not None
            else "The size is right, the sign is not: the question's reference direction decides it."
            if directed
            else "The size is right, the sign is not."
        )
        return Credit(share=share, verdict=PARTLY if share else INCORRECT, reasons=(reason,))
    if judgement.size is Size.POWER_OF_TEN:
        share = 1 - marking.prefix_costs
        return Credit(share=share, verdict=PARTLY if share else INCORRECT, reasons=(_power_of_ten(judgement.exponent),))
    if judgement.found is not None:
        found, of = judgement.found
        counts = f"{found} of the {of} {judgement.found_of} {'counts' if found == 1 else 'count'}."
        return Credit(share=found / of, verdict=PARTLY, reasons=(judgement.found_said or counts,))
    return Credit(share=0.0, verdict=INCORRECT)


def _power_of_ten(exponent: int) -> str:
    """The sentence for an answer that is 10**exponent times the right one."""
    way = "too large" if exponent > 0 else "too small"
    size = abs(exponent)
    if size in TEN_AND_HUNDRED:
        times = TEN_AND_HUNDRED[size]
        return f"The digits are right, but the answer as written is {times} times {way}: a slip by a factor of {times}."
    return (
        f"The digits are right, but the answer as written is 10^{size} times {way}: "
        "a slip with a prefix or a power of ten."
    )


TEN_AND_HUNDRED = {1: "ten", 2: "a hundred"}


_ONCE, _NOWHERE = (
    "; that was charged once in this problem and is not charged again.",
    "; nothing is charged for it here.",
)


def charges_unit(reason: str) -> bool:
    """Whether a reason says what a unit costs."""
    return _OF_THE_UNIT.search(reason) is not None


_OF_THE_UNIT = regex(r"(?:^|: )The unit .*, which costs ")
"""Of an expression, or of one interval of a response."""


def praises(reason: str) -> bool:
    """Whether a reason says what agrees, and nothing against the answer."""
    return "agree" in reason and _DENIES.search(reason) is None


_DENIES = regex(r"\bnot\b|\bnothing\b|, which costs ", re.IGNORECASE)


def charges_figures(reason: str) -> bool:
    """Whether a reason says what too few figures cost."""
    return reason.startswith("It is given to ") and ", which costs " in reason


def without_charge(reason: str) -> str:
    """A reason where the unit's cost, which it says was charged once, has been taken back."""
    return reason.replace(_ONCE, _NOWHERE)


def with_unit(
    credit: Credit,
    judgement: Judgement,
    dimension: Dimension,
    written: Dimension | None,
    marking: Marking,
    charged: bool,
) -> Credit:
    """Charge a missing or wrong unit, at most once per problem where the rubric says so.

    ``charged``: whether a unit was charged in this problem already.
    """
    if judgement.unit is UnitVerdict.RIGHT or marking.units == "ignored" or credit.share == 0:
        return credit
    if judgement.unit is UnitVerdict.MISSING:
        if marking.units == "assumed":
            return credit
        fault = "The unit is missing"
    elif written == dimension:
        fault = "The unit does not fit: hertz counts whole turns per second, where radians per second (1/s) are asked"
    else:
        own = f"it is that of {called(written)}, where " if written in NAMES else ""
        symbol = unit_symbol(dimension)
        of = f", the unit of {called(dimension)}," if symbol and dimension in NAMES else ""
        fault = f"The unit does not fit: {own}{symbol or 'a plain number without a unit'}{of} is asked"
    if charged and marking.unit_fault == "once per problem":
        return replace(credit, reasons=(*credit.reasons, f"{fault}{_ONCE}"))
    return replace(_reduced(credit, fault, marking), unit_charged=True)


def with_figures(credit: Credit, digits: int | None, marking: Marking) -> Credit:
    """Remark on, or charge, too few significant figures.

    ``digits``: those written; None where the answer is no decimal number.
    """
    wanted = marking.significant_figures
    if not wanted or digits is None or digits >= wanted or credit.share == 0:
        return credit
    reason = f"It is given to {digits} significant figure{'s' if digits != 1 else ''}; {wanted} are expected"
    if marking.significant_figures_rule == "advised":
        return replace(credit, reasons=(*credit.reasons, f"{reason}."))
    return _reduced(credit, reason, marking)


def _reduced(credit: Credit, fault: str, marking: Marking) -> Credit:
    """Take what it costs off what was earned, so that a part earned is never lost whole to a unit."""
    if not marking.unit_costs:
        return replace(credit, reasons=(*credit.reasons, f"{fault}."))
    share = credit.share * (1 - marking.unit_costs)
    cost = "of the points" if credit.share == 1 else "of what it earns"
    return replace(
        credit,
        share=share,
        verdict=PARTLY if share else INCORRECT,
        reasons=(*credit.reasons, f"{fault}, which costs {percent(marking.unit_costs)} {cost}."),
    )


def percent(share: float) -> str:
    """``0.25`` as ``25 %``."""
    return f"{share * 100:g} %"
