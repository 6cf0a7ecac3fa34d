"""What a run needs of the rooms below, as one value, so that it can be tested with other ways of marking."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from msgspec import Struct

from grader.marking.marks import Marked
from grader.uploads.upload import Upload


class Engine(Struct, frozen=True, kw_only=True):
    """How a key is made and how an upload is marked with it."""

    build: Callable[[Path], Any]
    """Makes the key of a rubric file; raises RubricError.  The key has a ``rubric``."""
    mark: Callable[[Any, Upload], Marked]
    """Marks one upload: a pure function at the top of its module, so that other processes find it."""


def own_engine() -> Engine:
    """The program's own way: its solver, its mistakes, its marking."""
    return Engine(build=_build, mark=_mark)


def _mark(key: Any, upload: Upload) -> Marked:
    """Loads what marking needs in the worker alone, so that the main process is ready before it."""
    from grader.marking.mark import mark_upload

    return mark_upload(key, upload)


def _build(path: Path) -> Any:
    from grader.marking.key import build_key
    from grader.rubric.files import load_rubric

    return build_key(load_rubric(path))
