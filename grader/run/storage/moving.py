"""Results move in: all of them, or those of the run before are put back.

What is to be moved stands in a list, so that a kill in between is made good at the next run.  Each result of the run
before is put aside before the new one takes its place.  The list is checked as if a stranger had written it: nothing
outside the results folder, and nothing of the program's own in it, is ever moved.
"""

import contextlib
import errno
import json
import os
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from msgspec import Struct

from grader.errors import OutputError
from grader.opening import content_of

OWN = ".grader"
"""The folder for what a run needs and nobody reads: lock, journal, results not yet moved in."""

_LIST, _ASIDE = "moving.json", "moving.old"


def begin(above: Path, new: Sequence[str], stale: Sequence[str]) -> None:
    """Write the list: names of the new results, and of those that are to go."""
    draft = above / f"{_LIST}.draft"
    draft.write_text(json.dumps({"new": new, "stale": stale}), encoding="utf-8")
    draft.replace(above / _LIST)


def finish(results: Path, above: Path, staged: Path) -> None:
    """Do what the list ``above`` says, from where it was left; nothing where there is none.

    Raises
    ------
    OutputError
        If a result cannot be replaced; those of the run before are then back in their places.
    """
    listed = above / _LIST
    if not listed.is_file():
        return
    new, stale = _listed(listed)
    resolved = cache(Path.resolve)  # most results lie in one folder
    root, aside = resolved(results), above / _ASIDE
    moved = [
        (name, is_new)
        for names, is_new in ((new, True), (stale, False))
        for name in names
        if _within(root, name, resolved)
        if all(_below(resolved(above), waiting / name, resolved) for waiting in (staged, aside))
    ]
    for name, is_new in moved:
        move = _Move(root / name, staged / name, aside / name, is_new)
        try:
            move.make()
        except OSError as error:
            what = move.place if error.filename2 or not error.filename else error.filename
            refused = f"{what}: this result cannot be replaced ({error.strerror}); close it where it is open, or put it elsewhere"
            try:
                for made, was_new in reversed(moved):
                    _Move(root / made, staged / made, aside / made, was_new).undo()
                listed.unlink()
            except OSError:
                raise OutputError(
                    f"{refused}, and run again: some others are replaced already, the rest waits."
                ) from None
            raise OutputError(f"{refused}, and run again: the results of the run before are as they were.") from None
    with contextlib.suppress(OSError):  # all are in: the next run finds them so and takes the list away
        listed.unlink()


class _Move(Struct, frozen=True):
    """The place of one result, where the new one and the one before wait, and whether there is a new one."""

    place: Path
    staged: Path
    aside: Path
    is_new: bool

    def make(self) -> None:
        """Take the place, unless that was done before."""
        folder = self.place.is_dir() and not self.place.is_symlink()
        if not os.path.lexists(self.staged) if self.is_new else folder:
            return
        if folder:
            raise IsADirectoryError(errno.EISDIR, "a folder stands there", str(self.place))
        if os.path.lexists(self.place):
            self.aside.parent.mkdir(parents=True, exist_ok=True)
            self.place.replace(self.aside)
        if self.is_new:
            self.place.parent.mkdir(parents=True, exist_ok=True)
            self.staged.replace(self.place)

    def undo(self) -> None:
        """Give the place back."""
        if self.is_new and not os.path.lexists(self.staged) and os.path.lexists(self.place):
            self.place.replace(self.staged)
        if os.path.lexists(self.aside):
            self.aside.replace(self.place)


def _listed(moving: Path) -> tuple[list[str], ...]:
    """What was to be moved and removed; nothing where the list is damaged: the run that follows writes everything anew."""
    try:
        listed = json.loads(content_of(moving))
        return tuple([name for name in listed[which] if isinstance(name, str)] for which in ("new", "stale"))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return [], []


Resolved = Callable[[Path], Path]
"""Where a folder really is, before anything is moved."""


def _below(root: Path, path: Path, resolved: Resolved) -> bool:
    """Whether what waits here waits below the folder of what is to be moved, and no link leads elsewhere."""
    return resolved(path.parent).is_relative_to(root)


def _within(root: Path, name: str, resolved: Resolved) -> bool:
    """Whether the place of a result of that name lies in the folder, and not among what a run keeps."""
    parts = Path(name).parts
    try:
        place = root / name
        folder = resolved(place.parent)
        place.lstat()
    except (FileNotFoundError, NotADirectoryError):
        pass
    except (OSError, ValueError):  # a name that no file can have
        return False
    inside = folder.is_relative_to(root) and not folder.is_relative_to(root / OWN)
    return bool(parts) and inside and not Path(name).is_absolute() and {"..", OWN}.isdisjoint(map(str.casefold, parts))
