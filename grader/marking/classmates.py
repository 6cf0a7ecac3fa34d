"""Answers that are wrong with a student's own values and right with somebody else's, where values are personal.

Told to the instructor alone (the values of the blank sheet aside), and never as more than it is: sheets are exchanged by accident, people work together, and
numbers agree by chance.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple, TypeAlias

from msgspec.structs import replace

from grader.jobs.helper import Overran
from grader.marking.interpretation import Interpretation, Unreadable
from grader.marking.itemkey import ItemKey
from grader.marking.key import Key
from grader.marking.marks import INCORRECT, PARTLY, Mark, Marked
from grader.marking.understand import understand
from grader.mistakes.numeric_form import (
    ROUNDED,
    NumericForm,
    Value,
    digit_rank,
    last_place,
    numeric_form,
    reach_of_key,
    relative_deviation,
    sort_key,
)
from grader.problem import Rubric
from grader.quantities.records import EXPRESSION, VALUE
from grader.rubric.personal import personal_problems, personal_rubric
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written
from grader.values.scalar import ZERO
from grader.values.text import listed

BLANK_SHEET = ""
"""Stands for a student whose values are those shown on the blank sheet."""

TO_EVERY_DIGIT = "To every digit written this is right with the values"
"""How the notes made here begin; the audit gathers them by it."""

OF_BLANK_SHEET = f"{TO_EVERY_DIGIT} shown on the blank sheet, not with the student's own."
ONE_LOOK = "A person will look at this, once for the whole sheet."
BLANK_SHEET_USED = "This is right for the values shown on the blank sheet; your own sheet has other values."
"""The note for the instructor, and what the student is told who has most likely worked from the wrong sheet."""

WHOLE_SHEET = "To be looked at once, for the whole sheet."
SHEET_OF = (
    f"{{count}} answers of this sheet are right with the values of {{student}} and not with its own. {WHOLE_SHEET}"
)
"""The note at the first of them, which waits for a person; the student is told that somebody looks, and not why."""

MAX_SHARING = 3
"""A value that is right for more classmates than this says nothing of any of them, only of the blank sheet (common practice, no source)."""

NEARBY = 0.1
"""Share of a value within which the class's right answers are counted, to see how dense they lie."""

MAX_BY_CHANCE = 0.05
"""An answer that would meet more of the class than this by chance alone is nobody's (common practice, no source)."""


class Right(NamedTuple):
    """The right answer of one student to one item; ``key`` sorts it for look-up."""

    key: float
    student: str
    form: NumericForm


Classmates: TypeAlias = Mapping[tuple[str, str], tuple[Right, ...]]
"""By problem and item: everybody's right answers, sorted."""


def right_answers(rubric: Rubric, student: str, secret: bytes) -> tuple[tuple[tuple[str, str], Right], ...]:
    """One student's right answers to the values and expressions of the personal problems.

    Raises
    ------
    RubricError
        If the rubric has no answer with these values.
    """
    own = rubric if student == BLANK_SHEET else personal_rubric(rubric, student, secret)
    among = personal_problems(rubric)
    found = []
    for reference in references(replace(own, problems=tuple(one for one in own.problems if one.id in among))):
        if reference.kind in (VALUE, EXPRESSION):
            form = numeric_form(reference.answer, reference.kind == EXPRESSION, reference.start or ZERO)
            if form is not None:
                found.append((reference.place, Right(sort_key(form), student, form)))
    return tuple(found)


def together(answers: Iterable[tuple[tuple[str, str], Right]]) -> Classmates:
    """All students' right answers, in an order that does not depend on who was worked out first."""
    found: dict[tuple[str, str], list[Right]] = {}
    for place, right in answers:
        found.setdefault(place, []).append(right)
    return {place: tuple(sorted(found[place], key=lambda right: right[:2])) for place in sorted(found)}


def with_classmates(key: Key, upload: Upload, marked: Marked, classmates: Classmates) -> Marked:
    """The marks, with a note for the instructor at every wrong answer that is right for a few classmates' values.

    No point changes; ``key`` has the student's own values.  A mistake that explains it less well is no longer named.  Where
    several answers are right for one classmate, a person looks once for the whole sheet; where the classmates' values are
    those of the blank sheet, too, and the student is told.
    """
    written = {answer.place: answer for answer in upload.answers}
    marks: list[Mark] = []
    told: tuple[str, ...] = (BLANK_SHEET_USED, ONE_LOOK)
    elsewhere = {
        mark.place: met
        for mark in marked.marks
        if mark.place in classmates and mark.place in written
        if (met := _met(key, mark, written[mark.place], marked.student, classmates[mark.place])) is not None
    }
    said = {place: note for place in elsewhere if (note := _note(place, elsewhere))}
    sheet = _sheet_of({place: elsewhere[place].students for place in said})
    for mark in marked.marks:
        noticed = said.get(mark.place)
        if noticed is None:
            marks.append(mark)
            continue
        noted = replace(mark, notes=(*mark.notes, noticed))
        if mark.mistakes:
            noted = replace(mark, mistakes=(), tied=1, to_the_digit=False, nudges=(), notes=(noticed,))
        if noticed == OF_BLANK_SHEET:
            noted = replace(noted, reasons=(*mark.reasons, *told), review=mark.review or ONE_LOOK in told)
            told = (BLANK_SHEET_USED,)
        elif mark.place in sheet:
            noted = replace(noted, review=True, notes=(*noted.notes, sheet[mark.place]))
        marks.append(noted)
    return replace(marked, marks=tuple(marks))


def _sheet_of(noted: Mapping[tuple[str, str], tuple[str, ...]]) -> dict[tuple[str, str], str]:
    """Where a sheet has several answers of one classmate: the first of them, with the note for whom looks at the sheet."""
    of: dict[str, list[tuple[str, str]]] = {}
    for place, students in noted.items():
        for student in students:
            if student != BLANK_SHEET:
                of.setdefault(student, []).append(place)
    found = {places[0]: (student, len(places)) for student, places in reversed(of.items()) if len(places) > 1}
    return {place: SHEET_OF.format(count=count, student=student) for place, (student, count) in found.items()}


class _Met(NamedTuple):
    """A wrong answer that nothing else explains: for whose values it is right, few or none."""

    students: tuple[str, ...]
    of_class: float
    """How many of the class it would meet by chance."""
    of_one: float
    """The same of one classmate whose answer lies near."""


def _note(place: tuple[str, str], elsewhere: Mapping[tuple[str, str], _Met]) -> str:
    """What is noted of an answer: by itself, or with others that are right for the same classmate."""
    met = elsewhere.get(place)
    if met is None or not met.students:
        return ""
    if met.of_class <= MAX_BY_CHANCE:
        if BLANK_SHEET in met.students:
            return OF_BLANK_SHEET
        return f"{TO_EVERY_DIGIT} of {' or of '.join(met.students)}, not with the student's own. {_PROVES_NOTHING}"
    for student in met.students:
        others = [one for one, other in elsewhere.items() if one != place and student in other.students]
        ways = math.comb(len(elsewhere), len(others) + 1)
        alone = met.of_one if student == BLANK_SHEET else met.of_class  # of blank sheets there is one
        chance = ways * alone * math.prod(elsewhere[one].of_one for one in others)
        if not others or chance > MAX_BY_CHANCE:
            continue
        if student == BLANK_SHEET:
            return OF_BLANK_SHEET
        named = listed([f"'{item}'" for _, item in others])
        return (
            f"{TO_EVERY_DIGIT} of {student}, not with the student's own; so is what is answered to {named}. "
            f"One of these alone might be chance, and one value misread would change them all. {_PROVES_NOTHING}"
        )
    return ""


_PROVES_NOTHING = (
    "That proves nothing: sheets are exchanged by accident, people work together, and numbers agree by chance."
)


def _met(key: Key, mark: Mark, written: Written, student: str, rights: tuple[Right, ...]) -> _Met | None:
    """For whom a wrong answer is right; None where it follows, its size is right, or a mistake explains it."""
    if mark.verdict not in (INCORRECT, PARTLY) or mark.follows_from:
        return None
    item = key.item(mark.problem, mark.item)
    taken = _taken(item, mark, written)
    given = None if taken is None else _given(item, mark, taken)
    own = numeric_form(item.reference.answer, item.reference.kind == EXPRESSION, item.reference.start or ZERO)
    tolerance, scale = item.marking.tolerance, item.reference.scale
    if taken is None or given is None or own is None or relative_deviation(given, own, tolerance, scale) <= 1:
        return None
    if given == Value(0.0):  # anybody's
        return None
    matching = sorted(set(_matching(given, taken.digits, rights, tolerance, scale)) - {student})
    if matching and _explained(key, mark, taken):
        return None
    few = matching if len(matching) <= MAX_SHARING else [one for one in matching if one == BLANK_SHEET]
    return _Met(tuple(few), *_by_chance(given, taken.digits, rights))


def _taken(item: ItemKey, mark: Mark, written: Written) -> Interpretation | None:
    try:
        understood = understand(item, written, {})
        if understood is None or isinstance(understood, Unreadable):
            return None
        return next((taken for taken in understood if taken.reading.text == mark.reading), None)
    except Overran:
        return None


def _given(item: ItemKey, mark: Mark, taken: Interpretation) -> NumericForm | None:
    if item.reference.kind == VALUE:  # as it was marked, a missing unit put in
        return None if mark.reading_value is None else Value(mark.reading_value)
    return numeric_form(taken.answer, True, item.reference.start or ZERO)


def _by_chance(given: NumericForm, digits: int | None, rights: tuple[Right, ...]) -> tuple[float, float]:
    """How many of the class, and of one classmate, an answer would meet by chance, with so many digits, where so many answers lie.

    Derived here: the right answers within a tenth of the value, times the share of that stretch that one step of the
    last digit takes up.  An expression agrees in several numbers, and never by chance.
    """
    if not isinstance(given, Value):
        return 0.0, 0.0
    distance = NEARBY * abs(given.value)
    share = last_place(given.value, digits) / (2 * distance)
    return len(_within(rights, given.value, distance)) * share, min(share, 1.0)


def _within(rights: tuple[Right, ...], key: float, distance: float) -> tuple[Right, ...]:
    first = bisect_left(rights, key - distance, key=lambda right: right.key)
    last = bisect_right(rights, key + distance, key=lambda right: right.key)
    return rights[first:last]


def _matching(
    given: NumericForm, digits: int | None, rights: tuple[Right, ...], tolerance: float, scale: float
) -> Iterator[str]:
    """Students for whom it is right to every digit."""
    for right in _within(rights, sort_key(given), reach_of_key(given, tolerance, scale)):
        fit = relative_deviation(given, right.form, tolerance, scale)
        if digit_rank(given, right.form, digits, fit, tolerance) == ROUNDED:
            yield right.student


def _explained(key: Key, mark: Mark, taken: Interpretation) -> bool:
    """Whether a mistake explains the answer at least as well: to every digit, or out of the student's own values."""
    if not mark.mistakes:
        return False
    found = key.diagnoser.diagnose(mark.problem, mark.item, taken.answer, digits=taken.digits).candidates
    return {one.id for one in found} != {*mark.mistakes} or any(one.to_the_digit for one in found)
