"""What an answer earns: its readings compared with the right answer, then against what follows from earlier ones."""

from collections.abc import Callable, Iterable
from functools import cache

from msgspec.structs import replace

from grader.marking.against import judge_answer
from grader.marking.context import ProblemContext
from grader.marking.credit import Credit, expression_credit, size_credit
from grader.marking.follow import FollowThroughAnswer, carried_forward, consequences, from_accepted
from grader.marking.following import SLIPS, Verdict, by_following, charged, same_direction
from grader.marking.interpretation import Interpretation
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import WRONG, Judgement, Size
from grader.marking.marks import CORRECT, FOLLOWED, INCORRECT, PARTLY, Part
from grader.marking.one_value import ONE_VALUE, is_one_value
from grader.quantities import Answer
from grader.quantities.intervals import range_text
from grader.reading.tree import Name, Number, Pieces, Step, UnitSymbol, walk
from grader.values.comparison import Comparison
from grader.values.dimension import NUMBER
from grader.values.modes import final_value
from grader.values.scalar import ZERO
from grader.values.waveform import Waveform

Following = Callable[[], tuple[FollowThroughAnswer, ...]]
"""What follows from earlier answers, worked out when it is first asked for: a right answer needs none of it."""


def _following(item: ItemKey, before: ProblemContext) -> Following:
    return cache(lambda: tuple(consequences(item.reference, before.carried)))


def best(
    item: ItemKey,
    understood: Iterable[Interpretation],
    before: ProblemContext,
    elsewhere: Iterable[Interpretation] = (),
) -> Verdict:
    """The most plausible reading that is right, or right for earlier answers; else the most plausible one.

    A person looks at it where words beside it change what it says; where it is wrong, if a rival part of the line is right,
    something was set aside that may matter, its dimension is nobody's, or what stands ``elsewhere`` in the line is right.
    """
    following = _following(item, before)
    found = _best(item, understood, following, before)
    if found.taken.reading.changed:
        return _contested(found)
    if found.taken.contested or found.credit.share == 1 or found.follows:
        return found
    others = (_judged(item, taken, following, before) for taken in elsewhere)
    right = [one for one in others if one.judgement.size is Size.RIGHT or one.follows]
    if found.judgement.size is not Size.RIGHT:
        return _contested(found) if right else found
    return max((found, *right), key=_preference)  # 0.02, in seconds: 20 ms


def _best(
    item: ItemKey,
    understood: Iterable[Interpretation],
    following: Following,
    before: ProblemContext,
) -> Verdict:
    """`best`, words that change an answer left aside."""
    first: Verdict | None = None
    doubtful: Verdict | None = None
    for taken in understood:
        verdict = _judged(item, taken, following, before)
        first = first or verdict
        if verdict.judgement.size is Size.RIGHT or verdict.follows:
            if taken.reading.rival:
                return doubtful or _contested(first)
            if not taken.doubtful:
                return verdict
            doubtful = doubtful or verdict
    if doubtful is not None:
        return doubtful
    assert first is not None
    taken = first.taken
    unclear = taken.reading.dropped or taken.of_no_quantity or not taken.consistent
    uncertain = unclear or _may_be_letters(item, taken) or _is_a_share(item, taken)
    return _contested(first) if uncertain else first


def _is_a_share(item: ItemKey, taken: Interpretation) -> bool:
    """Whether a value in percent stands where one with a unit is asked."""
    return taken.reading.unit == "%" and item.reference.dimension not in {None, NUMBER}


def _may_be_letters(item: ItemKey, taken: Interpretation) -> bool:
    """Whether a unit may be meant for one of the circuit's letters, where letters are asked: the V of ``2V/3`` for V0."""
    right, zero = item.reference.answer, isinstance(taken.answer, Waveform) and not taken.answer.terms
    units = {node.symbol for node in walk(taken.reading.tree) if isinstance(node, UnitSymbol) and len(node.symbol) == 1}
    symbolic = isinstance(right, Waveform) and right.is_symbolic
    return symbolic and not zero and any(name.startswith(unit) for unit in units for name in item.values)


def _contested(verdict: Verdict) -> Verdict:
    return replace(verdict, taken=replace(verdict.taken, contested=True))


def _judged(item: ItemKey, taken: Interpretation, following: Following, before: ProblemContext) -> Verdict:
    marking = item.marking
    judgement = max(
        (judge_answer(item, taken, answer, marking.tolerance) for answer in item.accepted),
        key=lambda j: j.merit,
    )
    whole = _by_interval(item, taken, before) if item.intervals else None
    if judgement.size is not Size.RIGHT:
        for foreseen in item.foreseen:
            if judge_answer(item, taken, foreseen.answer, marking.tolerance).size is Size.RIGHT:
                verdict = PARTLY if 0 < foreseen.share < 1 else CORRECT if foreseen.share == 1 else INCORRECT
                return Verdict(
                    taken=taken,
                    judgement=judgement,
                    credit=Credit(share=foreseen.share, verdict=verdict, reasons=(foreseen.comment,)),
                    mistake=foreseen.mistake,
                    intervals=whole.intervals if whole else (),
                )
    if whole:
        return whole
    candidates = [_right_or_parts(item, taken, judgement, before)]
    if judgement.size is not Size.RIGHT:
        followed = [
            by_following(item, taken, judgement, consequence, before)
            for consequence in (*from_accepted(item.reference, before.carried), *following())
        ]
        kept = [*same_direction(item, taken, judgement, following(), before)]
        candidates += [*kept, *followed] if judgement.size is Size.SIGN else [*followed, *kept]
    found = max(candidates, key=_preference)
    return found if taken.own is None else _method(item, found, taken.own)


def _preference(verdict: Verdict) -> tuple[float, bool, bool, bool, bool]:
    """What earns most; of equals what says more for the student: right, following, right but for a slip, parts that follow."""
    credit = verdict.credit
    slip = verdict.judgement.size in SLIPS and not (verdict.source and credit.followed)
    return credit.share, credit.verdict == CORRECT, verdict.follows, slip, bool(verdict.reasons)


def _by_interval(item: ItemKey, taken: Interpretation, before: ProblemContext) -> Verdict:
    """A response judged interval by interval, each against what the one before leads to as well."""
    found: list[Verdict] = []
    carried = dict(before.carried)
    slipped_alike = _slip_alike(item, taken)
    for interval, said in zip(item.intervals, taken.intervals, strict=True):
        context = replace(before, carried=carried)
        verdict = _silent(said) if said.silent else _judged(interval, said, _following(interval, context), context)
        if found and verdict.credit.share < 1 and not verdict.follows and _says_one_thing(taken):
            verdict = _silent(said)
        found.append(verdict)
        own = said.meant(verdict.judgement.meant)
        wrong = verdict.judgement.size is not Size.RIGHT
        if not slipped_alike:
            carried[interval.id] = carried_forward(interval.reference, own, item=item.id, wrong=wrong)
    return _of_all(item, taken, found)


def _slip_alike(item: ItemKey, taken: Interpretation) -> bool:
    """Whether a response is turned, or a power of ten off, on all intervals: one slip of the whole, and no start that is followed."""
    tolerance = item.marking.tolerance
    sizes = {
        max((judge_answer(interval, said, one, tolerance) for one in interval.accepted), key=lambda j: j.merit).size
        for interval, said in zip(item.intervals, taken.intervals, strict=True)
    }
    return len(sizes) == 1 and sizes <= set(SLIPS)


def _says_one_thing(taken: Interpretation) -> bool:
    """Whether a response is one expression without ranges or steps, which says nothing of what comes later."""
    parted = any(isinstance(node, (Pieces, Step)) for node in walk(taken.reading.tree))
    return not parted and all(said.answer == taken.intervals[0].answer for said in taken.intervals)


def _of_all(item: ItemKey, taken: Interpretation, found: list[Verdict]) -> Verdict:
    """The verdict on a response by those on its intervals."""
    credits = [verdict.credit for verdict in found]
    parts = tuple(
        Part(
            name=range_text(interval.reference.start or ZERO, interval.reference.end),
            awarded=credit.share * interval.points,
            possible=interval.points,
            verdict=credit.verdict,
        )
        for interval, credit in zip(item.intervals, credits, strict=True)
    )
    sources = dict.fromkeys(id for verdict in found for id in verdict.source if id != item.id)
    credit = Credit(
        share=sum(credit.share for credit in credits) / len(credits),
        verdict=_together([credit.verdict for credit in credits]),
        parts=parts,
        unit_charged=any(credit.unit_charged for credit in credits),
        followed=any(credit.followed for credit in credits),
    )
    return Verdict(
        taken=taken,
        judgement=min((verdict.judgement for verdict in found), key=lambda judgement: judgement.merit),
        credit=credit,
        source=tuple(sources),
        reasons=tuple(_of_interval(part, verdict) for part, verdict in zip(parts, found, strict=True)),
        follows=all(verdict.follows or verdict.judgement.size is Size.RIGHT for verdict in found),
        intervals=tuple(found),
    )


def _silent(said: Interpretation) -> Verdict:
    """The verdict on an interval of which an answer says nothing."""
    credit = Credit(share=0.0, verdict=INCORRECT, reasons=("nothing is said of this time.",))
    return Verdict(taken=said, judgement=WRONG, credit=credit)


def _together(verdicts: list[str]) -> str:
    """The verdict on a whole by those on its parts."""
    if set(verdicts) <= {CORRECT, FOLLOWED}:
        return FOLLOWED if FOLLOWED in verdicts else CORRECT
    return INCORRECT if set(verdicts) == {INCORRECT} else PARTLY


def _of_interval(part: Part, verdict: Verdict) -> str:
    """What is to be said of one interval; "" where it is right and that is all."""
    said = " ".join((*verdict.reasons, *verdict.credit.reasons))
    if not said and part.verdict == CORRECT:
        return ""
    return f"For {part.name}: {said or 'this does not agree with the circuit.'}"


def _method(item: ItemKey, verdict: Verdict, own: Answer) -> Verdict:
    """What an answer earns that rests on earlier ones never given: the method, or the parts that hold without them."""
    right = verdict.judgement.size is Size.RIGHT or verdict.follows
    if not right and not verdict.credit.share:
        return verdict
    alone = judge_answer(item, replace(verdict.taken, answer=own), item.reference.answer, item.marking.tolerance)
    credit = Credit(share=item.marking.general_form, verdict=PARTLY if item.marking.general_form else INCORRECT)
    if alone.comparison is not None:
        split = expression_credit(alone, item.parts, item.points, item.marking)
        credit = (
            split if split.share > credit.share or not right else credit
        )  # a wrong formula has no method to be paid
    if credit.share >= verdict.credit.share:
        return verdict
    judgement = verdict.judgement._replace(
        undecided=alone.comparison is None
    )  # how much of a value it is, a person says
    return replace(verdict, judgement=judgement, credit=credit, follows=False)


def _right_or_parts(item: ItemKey, taken: Interpretation, judgement: Judgement, before: ProblemContext) -> Verdict:
    if _dies_away(item, taken) and isinstance(judgement.comparison, Comparison):
        judgement = judgement._replace(comparison=replace(judgement.comparison, final=True), size=Size.PARTS)
    credit = size_credit(judgement, item.marking, item.directed)
    if judgement.comparison is not None and judgement.size is Size.PARTS:
        credit = expression_credit(judgement, item.parts, item.points, item.marking)
        if is_one_value(item, taken.answer):
            credit = replace(credit, reasons=(*credit.reasons, ONE_VALUE))
    return Verdict(
        taken=taken,
        judgement=judgement,
        credit=charged(credit, judgement, item, taken, before),
        reasons=judgement.sentences,
    )


def _dies_away(item: ItemKey, taken: Interpretation) -> bool:
    """Whether a piece of a response is told as zero where the right one comes to that: beside pieces that are not, it says the end."""
    right, own = item.reference.answer, taken.answer
    others = any(isinstance(node, Pieces) and _is_more_than_zero(node) for node in walk(taken.reading.tree))
    told = others and isinstance(own, Waveform) and not own.terms
    if not told or not isinstance(right, Waveform) or right.is_symbolic:
        return False
    return bool(right.terms) and final_value(right.modes()) == 0


def _is_more_than_zero(pieces: Pieces) -> bool:
    nodes = (node for piece in pieces.pieces for node in walk(piece.operand))
    return any(isinstance(node, Name) or (isinstance(node, Number) and node.value != 0) for node in nodes)
