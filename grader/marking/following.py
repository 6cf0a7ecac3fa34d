"""What an answer earns as a consequence of earlier ones, in what they lead to and in the direction they took.

A slip is charged where it is made: a value that follows from a wrong one, and a reference direction turned once for all
answers about the same current or voltage, are not charged again where the rubric says so.
"""

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from grader.marking.against import judge_answer
from grader.marking.context import ProblemContext
from grader.marking.credit import Credit, expression_credit, percent, size_credit, with_figures, with_unit
from grader.marking.follow import FollowThroughAnswer
from grader.marking.interpretation import Interpretation
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Judgement, Size
from grader.marking.marks import CORRECT, FOLLOWED, INCORRECT, PARTLY
from grader.marking.one_value import is_one_value
from grader.marking.roots import DIFFERENTIAL, coefficients_held
from grader.problem import Marking
from grader.quantities import Answer
from grader.quantities.records import EQUATION
from grader.values.dimension import NUMBER
from grader.values.text import quoted
from grader.values.waveform import Waveform

SLIPS = (Size.SIGN, Size.POWER_OF_TEN)
"""Sizes that are right but for one slip."""

ONCE_PER_SIGNAL = "once per signal"

ROUNDING_NOISE = 1e-6
"""Tolerance within which what follows from an own answer is the right value itself."""


class Verdict(Struct, frozen=True, kw_only=True):
    """The best of an answer's readings: how it was judged and what that earns.

    ``mistake``: the one that the rubric names for this wrong answer; ``follows``: right for earlier answers as a whole, whatever its unit costs; ``turned``: the item where the
    direction was turned that it keeps; ``intervals``: of a response, the
    verdict on the expression of each.
    """

    taken: Interpretation
    judgement: Judgement
    credit: Credit
    source: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    follows: bool = False
    mistake: str = ""
    turned: str = ""
    intervals: tuple["Verdict", ...] = ()


def same_direction(
    item: ItemKey,
    taken: Interpretation,
    judgement: Judgement,
    following: tuple[FollowThroughAnswer, ...],
    before: ProblemContext,
) -> Iterator[Verdict]:
    """What an answer earns that is right, or follows, but for a reference direction turned, and charged, before: a direction kept costs nothing."""
    if item.signal not in before.reversed or item.marking.sign_fault != ONCE_PER_SIGNAL:
        return
    assert item.signal is not None
    source = before.reversed[item.signal]
    says = f"This is right for the direction that you took in '{source}': it is the opposite of the one asked."
    told = "The sign was counted there and is not charged again."
    if judgement.size is Size.SIGN:
        credit = Credit(share=1.0, verdict=FOLLOWED, followed=True)
        yield Verdict(
            taken=taken,
            judgement=judgement,
            credit=charged(credit, judgement, item, taken, before),
            source=(source,),
            reasons=(says, told),
            follows=True,
            turned=source,
        )
    elif isinstance(taken.answer, Waveform):
        turned = replace(taken, answer=-taken.answer)
        right = judge_answer(item, turned, item.reference.answer, item.marking.tolerance)
        for consequence in following:
            found = by_following(item, turned, right, consequence, before)
            if found.follows:
                sources = tuple(dict.fromkeys((source, *found.source)))
                reasons = (f"It is counted in the direction that you took in '{source}'.", told, *found.reasons)
                yield replace(found, taken=taken, judgement=judgement, source=sources, reasons=reasons, turned=source)


def by_following(
    item: ItemKey, taken: Interpretation, right: Judgement, consequence: FollowThroughAnswer, before: ProblemContext
) -> Verdict:
    """What an answer earns as a consequence of earlier ones, within the limits that the rubric sets."""
    marking = item.marking
    if consequence.near:  # no slip to charge: the points in full, and the tolerance is that of the right answer
        marking = replace(marking, follow_through=1.0, followed_tolerance=marking.tolerance)
    judgement = judge_answer(item, taken, consequence.answer, marking.followed_tolerance)
    own = quoted(consequence.source)
    nothing = Verdict(taken=taken, judgement=right, credit=Credit(share=0.0, verdict=INCORRECT))
    whole = judgement.size is Size.RIGHT
    if whole and consequence.near:
        credit = charged(Credit(share=1.0, verdict=CORRECT), judgement, item, taken, before)
        reason = f"It follows from what you answered to {own}, which counts as right."
        return Verdict(taken=taken, judgement=judgement, credit=credit, reasons=(reason,))
    if barred := _barred(item, taken, consequence):
        reason = f"This follows from your own answer to {own}, but {barred}: it earns no follow-through credit."
        told = replace(nothing, source=consequence.source, reasons=(reason,)) if whole else nothing
        if not whole or right.size is not Size.SIGN:
            return told
        # minus the right value by chance: it earns what that does, and is told as what it is
        by_chance = size_credit(right, marking, item.directed)
        return replace(told, credit=charged(by_chance, right, item, taken, before))
    split = _parts_that_follow(item, taken, right, judgement, consequence.answer, marking)
    if whole:
        credit, tail = for_following(marking, "The slip there is not charged again.")
        if split is not None and split.share > credit.share:  # parts that are right all the same count in full
            credit, tail = (
                split,
                f"What follows from an earlier slip earns {percent(marking.follow_through)} of it here.",
            )
        reasons: tuple[str, ...] = (f"This is right for your own answer to {own}.", consequence.says, tail)
    elif judgement.size in SLIPS and not consequence.near:
        slip = size_credit(judgement, marking, item.directed)
        share = slip.share * marking.follow_through
        credit = replace(slip, share=share, verdict=PARTLY if share else INCORRECT, followed=True)
        reasons = (f"This follows from your own answer to {own}, but for one slip.", consequence.says)
        right = judgement
    elif split is not None and split.followed:
        credit, reasons = split, (f"Parts of it follow from your own answer to {own}.",)
    else:
        return nothing
    return Verdict(
        taken=taken,
        judgement=right._replace(unit=judgement.unit, meant=judgement.meant, meant_in=judgement.meant_in),
        credit=charged(credit, judgement, item, taken, before),
        source=consequence.source,
        reasons=reasons,
        follows=whole and credit.share > 0,
    )


def _parts_that_follow(
    item: ItemKey, taken: Interpretation, right: Judgement, judgement: Judgement, led_to: Answer, marking: Marking
) -> Credit | None:
    """What the parts of an expression, or the coefficients of an equation, earn that are right or follow; None where there is none to compare."""
    if item.reference.kind == EQUATION:
        return _coefficients_that_follow(item, taken, led_to, marking)
    if right.comparison is None or judgement.comparison is None:
        return None
    followed = judgement.comparison
    split = expression_credit(right, item.parts, item.points, marking, followed=followed)
    if not split.followed or judgement.size is Size.RIGHT or not _dwarfs(led_to, item):
        return split
    led = replace(taken, answer=led_to, later=())
    same = judge_answer(item, led, item.reference.answer, ROUNDING_NOISE).comparison
    return expression_credit(right, item.parts, item.points, marking, followed=followed, same=same)


def _coefficients_that_follow(item: ItemKey, taken: Interpretation, led_to: Answer, marking: Marking) -> Credit | None:
    answers = taken.answer, item.reference.answer, led_to
    if not all(isinstance(one, Waveform) for one in answers):
        return None
    tolerances = marking.tolerance, marking.followed_tolerance
    right, led, every = coefficients_held(*answers, tolerances, driven=item.reference.find == DIFFERENTIAL)  # type: ignore[arg-type]
    if not led:
        return None
    share, whole = (right + led * marking.follow_through) / every, right + led == every
    counts = () if whole else (f"{right + led} of the {every} coefficients besides the leading one count.",)
    return Credit(share=share, verdict=FOLLOWED if whole else PARTLY, reasons=counts, followed=True)


def _dwarfs(answer: Answer, item: ItemKey) -> bool:
    """Whether an expression is so much larger than the right one that beside it every small value would be within the tolerance."""
    if not isinstance(answer, Waveform) or answer.is_symbolic:
        return False
    sizes = (math.hypot(m.cosine, m.sine) for m in answer.modes())
    return 0 < 10 * item.reference.scale < max(sizes, default=0.0)


def _barred(item: ItemKey, taken: Interpretation, consequence: FollowThroughAnswer) -> str:
    """Why a consequence of an earlier answer earns nothing; "" where it does."""
    if consequence.absurd and not item.marking.follow_absurd:
        return "no circuit has such a value, which should have been noticed"
    if item.marking.follow_easier:
        return ""
    flat = is_one_value(item, taken.answer)
    return "the slip there leaves nothing to work out here" if consequence.easier or flat else ""


def for_following(marking: Marking, in_full: str) -> tuple[Credit, str]:
    """What an answer earns that is right but for an earlier slip, and the sentence for it; `in_full` if that is all."""
    share = marking.follow_through
    credit = Credit(share=share, verdict=FOLLOWED if share else INCORRECT, followed=True)
    return credit, in_full if share == 1 else f"Following an earlier slip earns {percent(share)} of the points here."


def charged(
    credit: Credit, judgement: Judgement, item: ItemKey, taken: Interpretation, before: ProblemContext
) -> Credit:
    """The credit less what the unit and too few figures cost; zero has none."""
    dimension = item.reference.dimension or NUMBER
    credit = with_unit(credit, judgement, dimension, taken.dimension, item.marking, charged=before.unit_charged)
    written = judgement.rounded_to or None if taken.figures is None else taken.figures
    is_zero = isinstance(taken.answer, Waveform) and not taken.answer.terms
    return credit if is_zero else with_figures(credit, written, item.marking)
