"""The key of a rubric, with what a run needs to know of it."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from msgspec import Struct

from grader.errors import UsageError
from grader.opening import content_of


class RubricKey(Struct, frozen=True, kw_only=True):
    """A key and where it comes from; picklable."""

    content: bytes
    digest: str
    """Its SHA-256."""
    points: dict[tuple[str, str], float]
    """Every item (problem and item id) with its points, in the rubric's order."""
    personal: frozenset[str]
    """Ids of the problems with personal values."""
    key: Any


def key_of(path: Path, build: Callable[[Path], Any]) -> RubricKey:
    """The key of a rubric file, worked out by `build`; a key has a ``rubric``.

    Raises
    ------
    UsageError, RubricError
        If the rubric cannot be read or is wrong.
    """
    from grader.rubric.personal import personal_problems

    try:
        content = content_of(path)
    except OSError as error:
        raise UsageError(f"{path}: the rubric cannot be read ({error.strerror}); name a rubric file (.toml).") from None
    key = build(path)
    points = {(problem.id, item.id): item.points for problem in key.rubric.problems for item in problem.items}
    digest = hashlib.sha256(content).hexdigest()
    return RubricKey(content=content, digest=digest, points=points, personal=personal_problems(key.rubric), key=key)
