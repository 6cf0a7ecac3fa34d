"""What was read held against one answer of the item's kind."""

from flint import fmpq
from msgspec.structs import replace

from grader.marking.fractions import judge_fraction
from grader.marking.interpretation import Interpretation
from grader.marking.itemkey import ItemKey
from grader.marking.judge import judge, judge_choice, judge_choices, prefix_at_most
from grader.marking.judgement import WRONG, Judgement, Target, UnitVerdict
from grader.marking.roots import judge_equation, judge_roots
from grader.problem import Marking
from grader.quantities import Answer
from grader.quantities.records import CHOICES, EQUATION, TRANSFORM
from grader.values.dimension import NUMBER, RATE
from grader.values.functions import pi
from grader.values.waveform import Piecewise, Waveform


def judge_answer(item: ItemKey, taken: Interpretation, answer: Answer, tolerance: float) -> Judgement:
    """Hold what was read against one answer of the item's kind; where it changes within the interval asked, all of it."""
    if taken.later:
        said = (replace(taken, answer=waveform, later=()) for waveform in (taken.answer, *taken.later))
        return min((judge_answer(item, one, answer, tolerance) for one in said), key=lambda j: j.merit)
    if isinstance(answer, Piecewise):
        parts = zip(item.intervals, taken.intervals, answer.pieces, strict=True)
        judged = (judge_answer(interval, said, piece, tolerance) for interval, said, (_, piece) in parts)
        return min(judged, key=lambda j: j.merit)
    if item.reference.kind == CHOICES:
        return judge_choices(str(taken.answer), str(answer))
    if isinstance(answer, str):
        return judge_choice(taken.answer, answer)
    if isinstance(answer, tuple):
        return judge_roots(taken.answer, answer, tolerance) if isinstance(taken.answer, tuple) else WRONG
    if not isinstance(taken.answer, Waveform):
        return WRONG
    reference = item.reference
    if reference.kind == TRANSFORM:
        return judge_fraction(taken.answer, answer, tolerance)
    if reference.kind == EQUATION:
        return judge_equation(taken.answer, answer, tolerance)
    target = Target(
        answer=answer,
        dimension=reference.dimension or NUMBER,
        varies=reference.kind == "expression",
        scale=reference.scale,
        start=reference.start,
        percent=item.percent,
        figures=_figures(taken.digits, item.marking),
        requirement=reference.requirement if answer is reference.answer else None,
    )
    judgement = judge(taken.answer, taken.dimension, target, tolerance, taken.unit_scale)
    if taken.reading.worked_out:
        judgement = prefix_at_most(judgement)
    if not taken.counts_turns or target.dimension != RATE:
        return judgement
    # 79.6 Hz is 500 rad/s, counted in turns; 500 Hz has the number of radians, and the unit of turns.
    turns = judge(taken.answer * pi().scaled(fmpq(2)), taken.dimension, target, tolerance)
    return max(judgement, turns, key=lambda j: j.merit)._replace(unit=UnitVerdict.OTHER)


def _figures(digits: int | None, marking: Marking) -> tuple[int, ...]:
    """To how many figures a decimal number may be rounded: those asked; where too few have their cost, one less, of two or more."""
    asked = marking.significant_figures
    if not asked or digits is None:
        return ()
    fewer = marking.significant_figures_rule == "required" and asked - 1 >= 2 and digits < asked
    return (asked, asked - 1) if fewer else (asked,)
