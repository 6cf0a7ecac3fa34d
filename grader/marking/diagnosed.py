"""What explains a wrong answer, and what is asked about it: the author's hint, then the questions of the mistakes that fit."""

from collections.abc import Iterable
from functools import cache

from msgspec.structs import replace

from grader.ideas.catalogue import ideas
from grader.marking.context import ProblemContext
from grader.marking.following import SLIPS, Verdict
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.key import Key
from grader.marking.marks import CORRECT, Mark
from grader.marking.one_value import is_an_end_alone
from grader.mistakes.catalogue import catalogue
from grader.mistakes.diagnose import MAX_NUDGES, notes, nudges
from grader.mistakes.lookup import PREFIX_SLIP, SIGNS
from grader.mistakes.numeric_form import ROUNDED, WITHIN_TOLERANCE
from grader.mistakes.records import Candidate, Diagnosis
from grader.quantities.records import CHOICE, ROOTS
from grader.values.waveform import Waveform


def to_ask(hints: Iterable[str], questions: Iterable[str]) -> tuple[str, ...]:
    """The questions put to a student, those of the author first, no more than are of use."""
    return tuple(dict.fromkeys((*hints, *questions)))[:MAX_NUDGES]


def hints_of(mark: Mark) -> tuple[str, ...]:
    """The author's own among the questions of a mark."""
    return tuple(one for one in mark.nudges if one not in _catalogued())


@cache
def _catalogued() -> frozenset[str]:
    return frozenset((*(one.nudge for one in catalogue().values()), *(one.nudge for one in ideas().values())))


def explained(
    key: Key, item: ItemKey, verdict: Verdict, before: ProblemContext, after: ProblemContext, *, follows: bool
) -> Diagnosis:
    """What explains an answer, ``follows`` telling that it is right for earlier ones; nothing where it is right but for a slip upon these."""
    size, slip = verdict.judgement.size, verdict.judgement.size in SLIPS
    found = Diagnosis()
    if size is not Size.RIGHT and not follows and not (slip and verdict.source):
        found = diagnosed(key, item, verdict, before, after)
    if not found.candidates and slip and not follows and item.reference.kind != ROOTS:
        found = slip_alone(key, item, size)
    return signs_first(found) if size is Size.SIGN else found


def diagnosed(key: Key, item: ItemKey, verdict: Verdict, before: ProblemContext, after: ProblemContext) -> Diagnosis:
    """Which mistakes lead to an answer, the student's own earlier answers being used where they were wrong.

    Of a response the first interval that is wrong by itself is explained.
    """
    answer = verdict.taken.meant(verdict.judgement.meant)
    if verdict.mistake:
        word = isinstance(answer, str)  # of few options one is soon met by chance
        named = Candidate((verdict.mistake,), "", 0.0, WITHIN_TOLERANCE if word else ROUNDED)
        return Diagnosis(candidates=(named,), tied=1)
    for interval, found in zip(item.intervals, verdict.intervals, strict=True):
        if found.judgement.size is not Size.RIGHT and not found.follows:
            return diagnosed(key, interval, found, after, after)
    if is_an_end_alone(item, answer, verdict.judgement):
        return Diagnosis()
    return key.diagnoser.diagnose(
        item.problem,
        item.id,
        answer,
        digits=verdict.taken.digits,
        carried={
            id: c.answer
            for id, c in before.carried.items()
            if id != item.id and c.source and isinstance(c.answer, Waveform)
        },
    )


def slip_alone(key: Key, item: ItemKey, size: Size) -> Diagnosis:
    """The slip that an answer is right but for, where no table of wrong answers has it: what it slips from is the student's own."""
    shown = key.diagnoser.shown_by(item.problem, item.id)
    id = (
        PREFIX_SLIP
        if size is Size.POWER_OF_TEN
        else next(filter(shown.__contains__, SIGNS), SIGNS[0] if item.directed else SIGNS[-1])
    )
    return Diagnosis(candidates=(Candidate((id,), "", 0.0, ROUNDED),), tied=1)


def signs_first(diagnosis: Diagnosis) -> Diagnosis:
    """What is charged as a turned sign is told as that before whatever else explains it as well."""
    tied, every = diagnosis.tied, diagnosis.candidates
    signs = [one for one in every if set(SIGNS).issuperset(one.ids)]
    others = tuple(one for one in every if one not in signs)
    if not signs or any(one in signs for one in every[:tied]):
        first = [one for one in every[:tied] if one in signs]
        return Diagnosis(candidates=(*first, *(one for one in every if one not in first)), tied=tied)
    return Diagnosis(candidates=(*signs, *others), tied=len(signs))


def with_sign_first(mark: Mark) -> Mark:
    """The mark of an answer whose direction was turned, and kept in others: that explains it, whatever else would give the same."""
    signs = [id for id in mark.mistakes if id in SIGNS]
    if not signs:
        return mark
    named = Diagnosis(candidates=(Candidate((signs[0],), "", 0.0, ROUNDED),), tied=1)
    others = (id for id in mark.mistakes if id != signs[0])
    return replace(
        mark, mistakes=(signs[0], *others), tied=1, nudges=to_ask(hints_of(mark), nudges(named)), notes=notes(named)
    )


def uncontradicted(key: Key, mark: Mark, beside: list[Mark]) -> Mark:
    """A mark without the mistakes that a right answer beside it would show, where a word was chosen: one of few is soon met by chance."""
    if not mark.mistakes or key.item(*mark.place).reference.kind != CHOICE:
        return mark
    right = [one.item for one in beside if one.verdict == CORRECT and one.item != mark.item]
    shown = {id for item in right for id in key.diagnoser.shown_by(mark.problem, item)}
    left = tuple(id for id in mark.mistakes if id not in shown)
    if left == mark.mistakes:
        return mark
    tied = sum(id in left for id in mark.mistakes[: mark.tied]) or 1
    named = Diagnosis(candidates=tuple(Candidate((id,), "", 0.0, WITHIN_TOLERANCE) for id in left), tied=tied)
    return replace(mark, mistakes=left, tied=tied, nudges=to_ask(hints_of(mark), nudges(named)), notes=notes(named))
