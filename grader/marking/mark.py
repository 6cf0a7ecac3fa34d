"""Marking one upload: a pure function of the key and the upload.

For every item, in the rubric's order: what was written is read, held against the right answer, then against
what follows from the student's own earlier answers, then split into parts; what is left is explained by the
mistakes that would lead to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from grader.asked import Answer
from grader.marking.credit import (
    Credit,
    expression_credit,
    percent,
    size_credit,
    with_figures,
    with_unit,
)
from grader.marking.follow import Carried, Consequence, consequences, from_accepted
from grader.marking.itemkey import KEY_IS_ANSWER, ItemKey
from grader.marking.judge import judge, judge_choice
from grader.marking.judgement import WRONG, Judgement, Size, Target, Unit
from grader.marking.key import Key
from grader.marking.records import BLANK, CORRECT, FOLLOWED, INCORRECT, PARTLY, UNREADABLE, Mark, Marked
from grader.marking.roots import judge_roots
from grader.marking.understand import Taken, Unread, understand
from grader.mistakes.diagnose import notes, nudges
from grader.problem import Marking
from grader.uploads.records import Upload, Written
from grader.values.dimension import NUMBER, RATE
from grader.values.scalar import to_float
from grader.values.waveform import Waveform, number_of


def mark_upload(key: Key, upload: Upload) -> Marked:
    """Mark every item of a rubric in one upload.

    Parameters
    ----------
    key : Key
        The rubric with its reference answers and wrong answers.
    upload : Upload
        Answers as written; an item without one is blank.

    Returns
    -------
    Marked
        Marks in the rubric's order; the student is ``""`` where the upload's is not known.
    """
    written = {(answer.problem, answer.item): answer for answer in upload.answers}
    marks: list[Mark] = []
    suspected: tuple[str, ...] = ()
    for problem, items in key.problems:
        carried: dict[str, Carried] = {}
        unit_charged = False
        for item in items:
            answer = written.get((problem, item.id), Written(problem=problem, item=item.id, text=""))
            outcome = mark_answer(key, item, answer, carried, unit_charged=unit_charged, suspected=suspected)
            carried[item.id] = outcome.carried
            unit_charged = unit_charged or outcome.unit_charged
            suspected = (*suspected, *outcome.mark.mistakes[: outcome.mark.tied])
            marks.append(outcome.mark)
    return Marked(student=upload.student or "", file=upload.file, marks=tuple(marks))


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A mark, what later items may build on, and whether a unit was charged."""

    mark: Mark
    carried: Carried
    unit_charged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Verdict:
    """The best of an answer's readings: how it was judged and what that earns."""

    taken: Taken
    judgement: Judgement
    credit: Credit
    source: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    follows: bool = False
    """Right for earlier answers as a whole, whatever its unit costs."""


def mark_answer(
    key: Key,
    item: ItemKey,
    written: Written,
    carried: Mapping[str, Carried],
    *,
    unit_charged: bool = False,
    suspected: tuple[str, ...] = (),
) -> Outcome:
    """Mark one answer.

    Parameters
    ----------
    key, item
        The key, and the item in it.
    written : Written
        As the student wrote it.
    carried : mapping
        What the items before it pass on, by id.
    unit_charged : bool
        Whether a unit was charged already in this problem.
    suspected : tuple of str
        Mistakes found in the student's answers so far.
    """
    text = f"{written.text} {written.unit}".strip()
    blank = Mark(
        problem=item.problem, item=item.id, answer=text, awarded=0.0, possible=item.points, verdict=BLANK,
        reasons=written.notes,
    )  # fmt: skip
    following = tuple(consequences(item.reference, carried))
    understood = understand(item, written, carried)
    passed_on = _passed_on(item, following, carried)
    if understood is None:
        said = "This counts as no answer." if text else "Nothing was written here."
        return Outcome(mark=replace(blank, reasons=(said, *written.notes)), carried=passed_on)
    if isinstance(understood, Unread):
        mark = replace(
            blank,
            verdict=UNREADABLE,
            review=True,
            reasons=(understood.sentence, *written.notes),
            reading=understood.reading,
            reading_mathml=understood.mathml,
        )
        return Outcome(mark=mark, carried=passed_on)
    verdict = _best(item, understood, following, carried, unit_charged=unit_charged)
    return _finished(key, item, written, verdict, blank, carried, suspected)


def _passed_on(item: ItemKey, following: tuple[Consequence, ...], carried: Mapping[str, Carried]) -> Carried:
    """What an item that was not answered passes on: what the student would have found, else the right answer."""
    right = item.reference.answer
    for consequence in following:
        return Carried(answer=consequence.answer, right=right, source=consequence.source)
    near = next((consequence.answer for consequence in from_accepted(item.reference, carried)), None)
    return Carried(answer=right, right=right, near=near)


def _best(
    item: ItemKey,
    understood: Iterable[Taken],
    following: tuple[Consequence, ...],
    carried: Mapping[str, Carried],
    *,
    unit_charged: bool,
) -> _Verdict:
    """The most plausible reading that is right, or right for earlier answers; else the most plausible one."""
    verdicts = []
    for taken in understood:
        verdict = _judged(item, taken, following, carried, unit_charged=unit_charged)
        if verdict.judgement.size is Size.RIGHT or verdict.follows:
            return verdict
        verdicts.append(verdict)
    return verdicts[0]


def _judged(
    item: ItemKey,
    taken: Taken,
    following: tuple[Consequence, ...],
    carried: Mapping[str, Carried],
    *,
    unit_charged: bool,
) -> _Verdict:
    marking = item.marking
    judgement = max(
        (judge_answer(item, taken, answer, marking.tolerance) for answer in item.accepted),
        key=lambda j: j.merit,
    )
    if judgement.size is not Size.RIGHT:
        for foreseen in item.foreseen:
            if judge_answer(item, taken, foreseen.answer, marking.tolerance).size is Size.RIGHT:
                verdict = PARTLY if 0 < foreseen.share < 1 else CORRECT if foreseen.share == 1 else INCORRECT
                return _Verdict(
                    taken=taken,
                    judgement=judgement,
                    credit=Credit(share=foreseen.share, verdict=verdict, reasons=(foreseen.comment,)),
                )
    candidates = [_right_or_parts(item, taken, judgement, unit_charged)]
    if judgement.size is not Size.RIGHT:
        candidates += [
            _followed(item, taken, judgement, consequence, unit_charged)
            for consequence in (*from_accepted(item.reference, carried), *following)
        ]
    return max(candidates, key=lambda v: (v.credit.share, v.follows, bool(v.reasons)))


def judge_answer(item: ItemKey, taken: Taken, answer: Answer, tolerance: float) -> Judgement:
    """Hold what was read against one answer of the item's kind."""
    if isinstance(answer, str):
        return judge_choice(taken.answer, answer)
    if isinstance(answer, tuple):
        return judge_roots(taken.answer, answer, tolerance) if isinstance(taken.answer, tuple) else WRONG
    if not isinstance(taken.answer, Waveform):
        return WRONG
    reference = item.reference
    target = Target(
        answer=answer,
        dimension=reference.dimension or NUMBER,
        varies=reference.kind == "expression",
        scale=reference.scale,
        start=reference.start,
    )
    judgement = judge(taken.answer, taken.dimension, target, tolerance)
    return judgement._replace(unit=Unit.OTHER) if taken.counts_turns and target.dimension == RATE else judgement


def _right_or_parts(item: ItemKey, taken: Taken, judgement: Judgement, unit_charged: bool) -> _Verdict:
    credit = size_credit(judgement, item.marking)
    if judgement.comparison is not None and judgement.size is not Size.RIGHT:
        split = expression_credit(judgement, item.parts, item.points, item.marking)
        credit = split if split.share > credit.share else credit
    return _Verdict(
        taken=taken,
        judgement=judgement,
        credit=_charged(credit, judgement, item, taken, unit_charged),
        reasons=judgement.sentences,
    )


def _followed(item: ItemKey, taken: Taken, right: Judgement, consequence: Consequence, unit_charged: bool) -> _Verdict:
    """What an answer earns as a consequence of earlier ones, within the limits that the rubric sets."""
    marking = item.marking
    if consequence.near:  # no slip to charge: the points in full, and the tolerance is that of the right answer
        marking = replace(marking, follow_through=1.0, followed_tolerance=marking.tolerance)
    judgement = judge_answer(item, taken, consequence.answer, marking.followed_tolerance)
    own = listed(consequence.source)
    nothing = _Verdict(taken=taken, judgement=right, credit=Credit(share=0.0, verdict=INCORRECT))
    whole = judgement.size is Size.RIGHT
    if whole and consequence.near:
        credit = _charged(Credit(share=1.0, verdict=CORRECT), judgement, item, taken, unit_charged)
        reason = f"It follows from what you answered to {own}, which counts as right."
        return _Verdict(taken=taken, judgement=judgement, credit=credit, reasons=(reason,))
    if consequence.absurd and not marking.follow_absurd:
        reason = (
            f"This follows from your own answer to {own}, but no circuit has such a value, "
            "which should have been noticed: it earns nothing by following."
        )
        return replace(nothing, reasons=(reason,)) if whole else nothing
    flat = Carried(answer=taken.answer, right=item.reference.answer).flat
    if (consequence.easier or flat) and not marking.follow_easier:
        reason = (
            f"This follows from your own answer to {own}, but the slip there leaves nothing to work out here: "
            "it earns nothing by following."
        )
        return replace(nothing, reasons=(reason,)) if whole else nothing
    if whole:
        credit = Credit(
            share=marking.follow_through,
            verdict=FOLLOWED if marking.follow_through else INCORRECT,
            followed=True,
        )
        says = f"This is right for your own answer to {own}."
        tail = (
            "The slip there is not charged again."
            if marking.follow_through == 1
            else f"Following an earlier slip earns {percent(marking.follow_through)} of the points here."
        )
        reasons: tuple[str, ...] = (says, consequence.says, tail)
    elif right.comparison is not None and judgement.comparison is not None:
        credit = expression_credit(right, item.parts, item.points, marking, followed=judgement.comparison)
        if not credit.followed:
            return nothing
        reasons = (f"Parts of it follow from your own answer to {own}.",)
    else:
        return nothing
    return _Verdict(
        taken=taken,
        judgement=right._replace(unit=judgement.unit, meant=judgement.meant, meant_in=judgement.meant_in),
        credit=_charged(credit, judgement, item, taken, unit_charged),
        source=consequence.source,
        reasons=reasons,
        follows=whole and credit.share > 0,
    )


def listed(items: tuple[str, ...]) -> str:
    """Name items in a sentence: ``'start' and 'tau'``."""
    quoted = [f"'{item}'" for item in items]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def _charged(credit: Credit, judgement: Judgement, item: ItemKey, taken: Taken, unit_charged: bool) -> Credit:
    credit = with_unit(
        credit, judgement, item.reference.dimension or NUMBER, taken.dimension, item.marking, charged=unit_charged
    )
    return with_figures(credit, taken.digits, item.marking)


def _finished(
    key: Key,
    item: ItemKey,
    written: Written,
    verdict: _Verdict,
    blank: Mark,
    carried: Mapping[str, Carried],
    suspected: tuple[str, ...],
) -> Outcome:
    """The mark in full: reasons in order, the explanation of what is wrong, and whether a person must look."""
    taken, judgement, credit = verdict.taken, verdict.judgement, verdict.credit
    wrong = judgement.size is not Size.RIGHT
    mistakes: tuple[str, ...] = ()
    tied = 1
    questions: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    follows = verdict.follows or (credit.followed and credit.verdict == FOLLOWED)
    if wrong and not follows:
        diagnosis = key.diagnoser.diagnose(
            item.problem,
            item.id,
            taken.meant(judgement.meant),
            digits=taken.digits,
            carried={id: c.answer for id, c in carried.items() if c.source and isinstance(c.answer, Waveform)},
            suspected=frozenset(suspected),
        )
        mistakes, tied = diagnosis.ids, max(diagnosis.tied, 1)
        questions, remarks = nudges(diagnosis), notes(diagnosis)
    if credit.share < 1 and not questions and item.hint and wrong and not follows:
        questions = (item.hint,)
    standard = "right answer" if item.reference.find in KEY_IS_ANSWER else "circuit"
    opening = {
        CORRECT: "This is right.",
        FOLLOWED: "",
        PARTLY: "",
        INCORRECT: "" if credit.reasons else f"This does not agree with the {standard}.",
    }[credit.verdict]
    reasons = tuple(r for r in (opening, *verdict.reasons, *credit.reasons, *taken.notes, *written.notes) if r)
    doubtful = taken.doubtful and credit.share > 0
    if judgement.undecided or doubtful:
        reasons = (*reasons, "A person will look at how this answer is to be read.")
    own = taken.meant(judgement.meant)
    return Outcome(
        mark=replace(
            blank,
            reading=taken.reading.text,
            reading_mathml=taken.reading.mathml,
            reading_value=_plain(own),
            awarded=round(credit.share * item.points, 4),
            verdict=credit.verdict,
            parts=credit.parts,
            mistakes=mistakes,
            tied=tied,
            follows_from=verdict.source,
            review=judgement.undecided or doubtful,
            reasons=reasons,
            nudges=questions,
            notes=remarks,
        ),
        carried=(
            Carried(answer=own, right=item.reference.answer, source=(item.id,))
            if wrong
            else Carried(
                answer=item.reference.answer,
                right=item.reference.answer,
                near=own if own != item.reference.answer else None,
            )
        ),
        unit_charged=credit.unit_charged,
    )


def _plain(answer: Answer) -> float | None:
    if isinstance(answer, Waveform) and answer.is_constant and not answer.is_symbolic:
        return to_float(number_of(answer))
    return None


__all__ = ["Marking", "Outcome", "Unit", "judge_answer", "mark_answer", "mark_upload"]
