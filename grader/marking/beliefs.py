"""Marks as evidence of what a student believes, and what that says about the marks.

Nothing here moves points.
"""

from collections.abc import Iterable
from functools import lru_cache

from msgspec.structs import replace

from grader.ideas.catalogue import idea_of, ideas
from grader.ideas.evidence import visible_of
from grader.ideas.explain import explained_alone
from grader.ideas.records import FOLLOWED, RIGHT, WRONG, Explanation, Observation, Prediction, Predictions
from grader.marking.diagnosed import hints_of, to_ask
from grader.marking.key import Key
from grader.marking.marks import (
    BLANK,
    CORRECT,
    INCORRECT,
    PARTLY,
    REMEMBERED,
    Mark,
    Marked,
)
from grader.marking.marks import FOLLOWED as BY_FOLLOWING
from grader.mistakes.diagnose import reordered
from grader.mistakes.records import TOGETHER


def predictions_of(key: Key) -> Predictions:
    """What every item of a rubric can show: by the catalogue, and by the mistakes that the rubric names itself."""
    return {
        (problem, item.id): {
            **{known.mistake: Prediction(1, ruled=False) for known in item.foreseen if known.mistake},
            **{id: Prediction(*shown) for id, shown in key.diagnoser.shown_by(problem, item.id).items()},
        }
        for problem, items in key.problems
        for item in items
    }


def observations_of(marks: Iterable[Mark]) -> list[Observation]:
    """A student's marks as evidence; what is blank, cannot be read or waits for a person is none."""
    return [found for mark in marks if (found := _observation(mark)) is not None]


@lru_cache(REMEMBERED)
def _observation(mark: Mark) -> Observation | None:
    outcome = _outcome(mark)
    if outcome is None:
        return None
    return Observation(
        item=mark.place,
        outcome=outcome,
        mistakes=mark.mistakes if outcome == WRONG else (),
        tied=mark.tied,
        exact=mark.to_the_digit,
        follows=mark.follows_from,
    )


def _outcome(mark: Mark) -> str | None:
    if mark.verdict == BLANK or mark.waits:
        return None
    follows_whole = (
        bool(mark.follows_from) and not mark.parts
    )  # in vain, or but for a slip: no word against what led there
    if mark.verdict not in (CORRECT, BY_FOLLOWING) and is_wrong(mark) and not follows_whole:
        return WRONG
    return FOLLOWED if mark.follows_from else RIGHT


def is_wrong(mark: Mark) -> bool:
    """Whether an answer was read and says something wrong: not one that lacks its unit alone."""
    if mark.verdict == PARTLY:
        return mark.says_wrong or bool(mark.mistakes) or any(part.verdict == INCORRECT for part in mark.parts)
    return mark.verdict == INCORRECT


def _follows_in_vain(mark: Mark) -> bool:
    """Whether the whole answer follows from a wrong one, and earns nothing: it says no more than that one."""
    return mark.verdict == INCORRECT and bool(mark.follows_from) and not mark.parts


def with_explanation(marked: Marked, explanation: Explanation) -> Marked:
    """The marks with their mistakes in the order that the student's own explanation gives.

    Of the mistakes that fit an answer equally well those come first that show an idea the student holds.  The
    question about an idea is asked once in a problem, at the first item it touches.
    """
    held = {id for idea in explanation.ideas for id in (idea.id, *idea.others)}
    asked: set[tuple[str, str]] = set()
    marks = []
    for mark in marked.marks:
        tied = mark.mistakes[: mark.tied]
        own = [id for id in tied if _shows(id) & held]
        if not own:
            marks.append(mark)
            continue
        touched = [idea.id for idea in explanation.ideas if mark.place in idea.shown]
        new = [id for id in touched if (mark.problem, id) not in asked]
        asked.update((mark.problem, id) for id in touched)
        others = [id for id in mark.mistakes if id not in own]
        places = [mark.mistakes.index(id) for id in (*own, *others)][: len(tied)]
        marks.append(
            replace(
                mark,
                mistakes=(*own, *others),
                tied=len(own),
                nudges=to_ask(hints_of(mark), (ideas()[id].nudge for id in new))
                if touched or _follows_in_vain(mark)
                else mark.nudges,
                notes=reordered(mark.notes, places) if len(mark.notes) >= len(tied) else mark.notes,
            )
        )
    return replace(marked, marks=tuple(marks))


def with_own_explanation(key: Key, marked: Marked) -> Marked:
    """`with_explanation` of one student, of whose class nothing is known.

    How many mistakes fit an answer equally well stays as it was: the class may decide otherwise.
    """
    visible = key.remembered.get(_VISIBLE)
    if visible is None:
        visible = key.remembered[_VISIBLE] = visible_of(predictions_of(key))
    found = explained_alone(marked.student, observations_of(marked.marks), visible)
    pairs = zip(with_explanation(marked, found).marks, marked.marks, strict=True)
    return replace(marked, marks=tuple(new if new is old else replace(new, tied=old.tied) for new, old in pairs))


_VISIBLE = "what every item can show"
"""Where a key remembers it."""


def _shows(double: str) -> set[str]:
    return {idea for id in double.split(TOGETHER) if (idea := idea_of(id)) is not None}
