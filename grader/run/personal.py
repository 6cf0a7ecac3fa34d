"""Personal values in a run: the secret they follow from, each student's own key, and the right answers of the class."""

from collections.abc import Generator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from grader.errors import RubricError, UsageError
from grader.jobs import bounds
from grader.jobs.pool import Pool
from grader.jobs.worker import Handle
from grader.run.rubric_key import RubricKey
from grader.run.storage.private import read_secret

if TYPE_CHECKING:
    from grader.problem import Rubric

KEPT = 32
"""Keys that a worker keeps at hand: a student has one upload, or a few; working a key out anew takes a fifth of a second."""

MAX_CLASSMATES = 2000
"""Larger classes are not looked through for classmates' answers: too many of them agree by chance."""


def secret_for(rubric: "Rubric", path: Path | None) -> bytes | None:
    """The secret that a rubric needs; None where its values are the same for everybody.

    Raises
    ------
    UsageError
        If the values are personal and no file is named, or it holds no secret.
    """
    from grader.rubric.personal import is_personal

    return needed_secret(rubric.name, path) if is_personal(rubric) else None


def needed_secret(rubric: str, path: Path | None) -> bytes:
    """The secret that the rubric of that name cannot do without; `UsageError` as `secret_for`."""
    if path is None:
        raise UsageError(
            f"{rubric} has personal values, which follow from a secret; name its file with --secret, the one that "
            "'grader sheet' made (or values.key in the data folder of 'grader serve')."
        )
    return read_secret(path)


@dataclass(frozen=True, slots=True)
class Keys:
    """Everybody's key to a rubric: one for all, or one for each student, the latest of which are kept."""

    key: Any
    """Of the rubric as it stands in its file."""
    secret: bytes | None
    """None where values are not personal."""
    _own: Any = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_own", lru_cache(maxsize=KEPT)(self._build))

    def rubric(self, student: str) -> "Rubric":
        """The rubric with that student's values."""
        rubric: Rubric = self.key.rubric
        if self.secret is None:
            return rubric
        from grader.rubric.personal import personal_rubric

        return personal_rubric(rubric, student, self.secret)

    def of(self, student: str) -> Any:
        """The key with that student's values.

        Raises
        ------
        RubricError
            If the rubric has no answer with them.
        """
        return self.key if self.secret is None else self._own(student)

    def _build(self, student: str) -> Any:
        from grader.marking.key import build_key

        return build_key(self.rubric(student))


def classmates_of(key: RubricKey, students: Sequence[str], secret: bytes, workers: int) -> Any:
    """What would be right for everybody else, worked out once for a section; empty for a very large class."""
    from grader.marking.classmates import BLANK_SHEET, together

    if len(students) > MAX_CLASSMATES:
        return {}
    found: list[Any] = []
    with Pool(_right_answers, (key, secret), workers, bounds.SECONDS) as pool:
        for student in (BLANK_SHEET, *students):
            pool.submit(student)
        while pool.working:
            for answers in pool.next().messages:
                found += answers
    return together(found)


def _right_answers(key: RubricKey, secret: bytes) -> Handle:
    from grader.marking.classmates import right_answers

    return partial(_answer, right_answers, key.key.rubric, secret)


def _answer(right_answers: Any, rubric: "Rubric", secret: bytes, student: str) -> Generator[Any, None, None]:
    try:
        yield right_answers(rubric, student, secret)
    except RubricError:  # said where that student's upload is marked
        return
