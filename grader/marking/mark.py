"""Marking one upload: a pure function of the key and the upload.

For every item, in the rubric's order: what was written is read, compared with the right answer, then with
what follows from the student's own earlier answers, then split into parts; what is left is explained by the
mistakes that would lead to it.
"""

from collections.abc import Iterator, Mapping
from functools import partial
from operator import attrgetter
from typing import NamedTuple

from msgspec.structs import replace

from grader.jobs.helper import Overran
from grader.marking.another_kind import another_kind
from grader.marking.context import ProblemContext
from grader.marking.contradicted import heard
from grader.marking.credit import Credit
from grader.marking.diagnosed import explained, to_ask, uncontradicted, with_sign_first
from grader.marking.displaced import with_displacement_told
from grader.marking.follow import CarriedForward, carried_forward, consequences, from_accepted
from grader.marking.following import SLIPS, Verdict, for_following
from grader.marking.interpretation import Interpretation, Unreadable
from grader.marking.itemkey import KEY_IS_ANSWER, ItemKey
from grader.marking.judgement import Size
from grader.marking.key import Key
from grader.marking.marks import (
    BLANK,
    CORRECT,
    FOLLOWED,
    FOR_A_PERSON,
    INCORRECT,
    NOT_DECIDED,
    UNREADABLE,
    Mark,
    Marked,
)
from grader.marking.misread import no_slip
from grader.marking.no_value import left_without, says_none, understood_as
from grader.marking.own_clock import counts_late
from grader.marking.understand import said_elsewhere, understand
from grader.marking.unused import alone, with_unused_told
from grader.marking.verdict import best
from grader.mistakes.diagnose import notes, nudges
from grader.quantities import Answer
from grader.quantities.records import CHOICE, CHOICES, EXPRESSION, PERSON
from grader.reading.algebra import one_upload
from grader.reading.reader import says_nothing
from grader.uploads.content.items import Pair
from grader.uploads.upload import Upload, Written
from grader.values.dimension import TIME
from grader.values.scalar import ZERO, to_float
from grader.values.text import quoted
from grader.values.waveform import Waveform, number_of

TOOK_TOO_LONG = "it took too long"


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
    with one_upload():
        marks = with_displacement_told(upload, tuple(_marks(key, upload)), partial(_right_by_themselves, key))
    return Marked(student=upload.student or "", file=upload.file, marks=marks)


def _marks(key: Key, upload: Upload) -> Iterator[Mark]:
    written = {answer.place: answer for answer in upload.answers}
    for problem, items in key.problems:
        before, marks, turned = ProblemContext(), [], set()
        for item in items:
            answer = written.get((problem, item.id)) or Written(problem=problem, item=item.id, text="")
            seen = before.seen_by(item)
            outcome = remembered(key, item, answer, seen)
            before = before.followed_by(outcome.after)
            turned.add(outcome.turned)
            others = [(unused, remembered(key, item, alone(answer, unused), seen).mark) for unused in answer.unused]
            marks.append(with_unused_told(outcome.mark, answer, others) if others else outcome.mark)
        told = [with_sign_first(mark) if mark.item in turned else mark for mark in marks]
        yield from (uncontradicted(key, mark, told) for mark in told)


def _right_by_themselves(key: Key, upload: Upload) -> frozenset[Pair]:
    """Items answered rightly by one who has everything before them right: what an answer is worth does not hang on the others."""
    written = {answer.place: answer for answer in upload.answers}
    found = set()
    for problem, items in key.problems:
        before = ProblemContext()
        for item in items:
            answer = written.get((problem, item.id))
            if answer and remembered(key, item, answer, before.seen_by(item)).mark.verdict == CORRECT:
                found.add(answer.place)
            for one in (*item.intervals, item):
                right = one.reference.answer
                before = _after(before, one, CarriedForward(answer=right, right=right))
    return frozenset(found)


class Outcome(NamedTuple):
    """A mark, what is known after it, and the item whose turned direction it keeps."""

    mark: Mark
    after: ProblemContext
    turned: str = ""


MAX_REMEMBERED = 4096
"""Outcomes kept for one key; some kilobytes each."""

_SAID = attrgetter(*(name for name in Written.__struct_fields__ if name not in {"where", "unused"}))
"""All of an answer but where it stood, and what stood beside it."""


def remembered(key: Key, item: ItemKey, written: Written, before: ProblemContext) -> Outcome:
    """The same as `mark_answer`, which is a pure function: an answer met before in the same context is marked already."""
    place = _SAID(written), before.token
    known = key.remembered.get(place)
    if known is None:
        if len(key.remembered) >= MAX_REMEMBERED:
            key.remembered.clear()
        known = before, mark_answer(key, item, written, before)  # the context is held, for its token
        if known[1].mark.verdict != NOT_DECIDED:
            key.remembered[place] = known
    outcome: Outcome = known[1]
    return outcome


def mark_answer(key: Key, item: ItemKey, written: Written, before: ProblemContext) -> Outcome:
    """Mark one answer; ``before`` is what the items before it in its problem leave behind."""
    text = written.as_written
    blank = Mark(
        problem=item.problem, item=item.id, answer=text, awarded=0.0, possible=item.points, verdict=BLANK,
        reasons=written.notes,
    )  # fmt: skip
    why = _FOR_A_PERSON if item.reference.kind == PERSON else written.undecided
    person = replace(blank, verdict=FOR_A_PERSON, review=True, reading=text, reasons=(why, *written.notes))
    if item.reference.kind == PERSON:
        return Outcome(person if text and not says_nothing(text) else _unwritten(blank), before)
    if written.undecided:
        return Outcome(person, _unanswered(before, item))
    try:
        understood = understand(item, written, before.carried)
        if understood is not None and not isinstance(understood, Unreadable):
            elsewhere = said_elsewhere(item, written, before.carried)  # read where it is needed
            verdict = heard(key, item, no_slip(key, item, best(item, understood, before, elsewhere)), elsewhere)
            return _finished(key, item, written, verdict, blank, before)
    except Overran:
        return Outcome(undecided(blank, TOOK_TOO_LONG), _unanswered(before, item))
    if understood is None:
        return Outcome(_unwritten(blank), _unanswered(before, item))
    mark = replace(
        blank,
        verdict=INCORRECT if understood.wrong else UNREADABLE,
        review=not understood.wrong,
        reasons=(understood.sentence, *written.notes),
        nudges=(item.hint,) if understood.wrong and item.hint else (),
        reading=understood.reading,
        reading_mathml=understood.mathml,
    )
    if says_none(text) and item.reference.kind not in (CHOICE, CHOICES):
        mark = _without_value(item, replace(blank, reasons=(understood_as(text), *written.notes)), before.carried)
    elif understood.wrong and item.reference.dimension == TIME:  # never
        mark = _without_value(item, mark, before.carried)
    return Outcome(mark, _unanswered(before, item))


def _without_value(item: ItemKey, mark: Mark, carried: Mapping[str, CarriedForward]) -> Mark:
    """The mark of an answer that says there is no such value: it follows from own answers that leave none."""
    sources, person = left_without(item.reference, carried)
    if not sources:
        if not person:
            return replace(mark, verdict=INCORRECT, review=False)
        return replace(
            mark,
            verdict=UNREADABLE,
            review=True,
            reasons=(f"{mark.reasons[0]} {_MAY_FOLLOW}", *mark.reasons[1:]),
            nudges=(),
        )
    credit, tail = for_following(item.marking, "The slip there is not charged again.")
    said = f"This is right for your own answer to {quoted(sources)}: with it there is no such value."
    awarded = round(credit.share * item.points, 4)
    told = (said, tail, *mark.reasons[1:])
    return replace(mark, awarded=awarded, verdict=credit.verdict, follows_from=sources, reasons=told, nudges=())


def _unwritten(blank: Mark) -> Mark:
    """The mark where nothing was answered, be it in words."""
    said = "This counts as no answer." if blank.answer else "Nothing was written here."
    return replace(blank, reasons=(said, *blank.reasons))


def undecided(mark: Mark, why: str) -> Mark:
    """The mark of an answer that the program came to no end with; `why` is the end of a sentence."""
    reason = f"This was not decided: {why}. A person will look at it."
    return replace(mark, awarded=0.0, verdict=NOT_DECIDED, review=True, reasons=(reason,))


def _after(before: ProblemContext, item: ItemKey, carried: CarriedForward) -> ProblemContext:
    return replace(before, carried={**before.carried, item.id: carried})


def _unanswered(before: ProblemContext, item: ItemKey) -> ProblemContext:
    """What is known after an item without an answer; of a response, for each interval in turn."""
    whole = _passed_on(item, before.carried)
    for interval in item.intervals:
        before = _after(before, interval, _passed_on(interval, before.carried))
    return _after(before, item, whole)


def _passed_on(item: ItemKey, carried: Mapping[str, CarriedForward]) -> CarriedForward:
    """What an item that was not answered passes on: what the student would have found, else the right answer."""
    right = item.reference.answer
    for consequence in consequences(item.reference, carried):
        return CarriedForward(answer=consequence.answer, right=right, source=consequence.source, missing=True)
    near = next((consequence.answer for consequence in from_accepted(item.reference, carried)), None)
    return CarriedForward(answer=right, right=right, near=near, missing=True)


_MAY_FOLLOW = (
    "The answer says that there is no such value. Your own earlier answers may leave none: a person will look at it."
)
_FOR_A_PERSON = "A person gives the points for this."
_LOOK_AT_READING = "A person will check how this answer should be read."
_LOOK_AT_ANSWER = "A person will check this answer."


def _look(verdict: Verdict) -> str:
    """What a person must look at; "" where nobody must."""
    taken = verdict.taken
    if (
        verdict.judgement.undecided
        or taken.contested
        or (taken.doubtful and (verdict.credit.share > 0 or taken.contradicted))
    ):
        return _LOOK_AT_READING if taken.doubtful else _LOOK_AT_ANSWER
    return ""


def _is_led(verdict: Verdict) -> bool:
    """Whether an answer is what earlier ones lead to, where it earns as that, or as minus the right one that it is by chance."""
    credit = verdict.credit
    if credit.followed:
        return credit.verdict == FOLLOWED
    return bool(verdict.source) and verdict.judgement.size is Size.SIGN


def _finished(
    key: Key,
    item: ItemKey,
    written: Written,
    verdict: Verdict,
    blank: Mark,
    before: ProblemContext,
) -> Outcome:
    """The mark in full: reasons in order, the explanation of what is wrong, and whether a person must look."""
    taken, judgement, credit = verdict.taken, verdict.judgement, verdict.credit
    wrong = judgement.size is not Size.RIGHT
    follows = verdict.follows or _is_led(verdict)
    own, (text, typeset) = taken.meant(judgement.meant), taken.reading.shown
    after = _answered(before, item, verdict)
    diagnosis = explained(key, item, verdict, before, after, follows=follows)
    slipped = bool(verdict.source) and judgement.size in SLIPS  # it follows, but for a sign or a power of ten
    charged = wrong and not follows and not slipped and credit.share < 1
    hint = (item.hint,) if charged and item.hint else ()
    look = _look(verdict)
    opening = _opening(item, taken, credit)
    said = (opening, *verdict.reasons, *credit.reasons, *taken.notes, *written.notes, look)
    mark = replace(
        blank,
        reading=text,
        reading_mathml=typeset,
        reading_value=_plain(own),
        awarded=round(credit.share * item.points, 4),
        verdict=credit.verdict,
        parts=credit.parts,
        mistakes=diagnosis.ids,
        tied=max(diagnosis.tied, 1),
        to_the_digit=diagnosis.to_the_digit,
        follows_from=verdict.source,
        says_wrong=wrong and not follows,
        review=bool(look),
        reasons=tuple(filter(None, said)),
        nudges=to_ask(hint, nudges(diagnosis)),
        notes=notes(diagnosis),
    )
    if credit.unit_charged:
        after = replace(after, unit_charged=True)
    if judgement.size is Size.SIGN and not follows:
        after = _with_sign_reversed(after, item)
    return Outcome(mark, after, verdict.turned)


def _answered(before: ProblemContext, item: ItemKey, verdict: Verdict) -> ProblemContext:
    """What is known after an item with an answer; of a response, interval by interval too."""
    for interval, found in zip((*item.intervals, item), (*verdict.intervals, verdict), strict=True):
        own = found.taken.meant(found.judgement.meant)
        wrong, reference, late = found.judgement.size is not Size.RIGHT, interval.reference, ZERO
        if wrong and reference.kind == EXPRESSION and len(reference.clocks) > 1:
            led = (one.answer for one in consequences(reference, before.carried))
            late = counts_late(reference, own, led, interval.marking.tolerance)
        carried = carried_forward(
            reference, own, item=item.id, wrong=wrong, late=late, slip=found.judgement.size in SLIPS
        )
        before = _after(before, interval, carried)
    return before


def _with_sign_reversed(context: ProblemContext, item: ItemKey) -> ProblemContext:
    """Note that the student counts the item's signal the other way round."""
    if item.signal is None:
        return context
    return replace(context, reversed={**context.reversed, item.signal: item.id})


def _opening(item: ItemKey, taken: Interpretation, credit: Credit) -> str:
    """The first sentence about an answer; "" where its reasons say it."""
    if credit.verdict == CORRECT:
        return "What was read is right." if taken.contested else "This is right."
    if credit.verdict != INCORRECT:
        return ""
    kind = another_kind(item, taken.answer, taken.dimension)
    if kind or credit.reasons:
        return "" if credit.unit_charged else kind
    if item.reference.requirement is not None:
        return "With this value the circuit does not do what is asked."
    return f"This does not agree with the {'right answer' if item.reference.find in KEY_IS_ANSWER else 'circuit'}."


def _plain(answer: Answer) -> float | None:
    if isinstance(answer, Waveform) and answer.is_constant and not answer.is_symbolic:
        return to_float(number_of(answer))
    return None
