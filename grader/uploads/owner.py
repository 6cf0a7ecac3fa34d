"""Whose upload it is: by the id inside the file and by the id in its name, which must not disagree."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import PurePosixPath

from grader.uploads.names import folded
from grader.uploads.roster import Roster

_LEAST_LOOSE = 4
"""Shortest id looked for in any text of a file; a shorter one might be a number of its own."""

_LOOSE_CHARS = 200_000
"""Characters of other texts searched; an id stands near the top."""

_VERSION = re.compile(r"(?:[\s_.-]*(?:\(\d+\)|v(?:ersion)?[\s_.-]*\d+|final|copy|new|draft))+$", re.IGNORECASE)
_MAX_ID = 64


def owner(file: str, labelled: Sequence[str], loose: Sequence[str], roster: Roster | None) -> tuple[str | None, str]:
    """Find the student.

    Parameters
    ----------
    file : str
        The file's path among the uploads.
    labelled, loose : sequence of str
        Texts beside a label such as "student", and other texts of the file.
    roster : Roster or None
        Without one the label's text is the id, or else the file's name without its version.

    Returns
    -------
    tuple of str or None, and str
        The id, or None and a sentence that says why a person must decide.
    """
    if roster is None:
        return _without_roster(file, labelled)
    inside = _inside(labelled, loose, roster)
    named = _named(file, roster)
    for ids, place in ((inside, "the file"), (named, "the file's name")):
        if len(ids) > 1:
            return None, f"{place} names several students: {', '.join(sorted(ids))}"
    strangers = [text for text in labelled if not roster.ids_in(text) and roster.looks_like_id(text)]
    if strangers:
        hint = _lookalike(strangers, roster)
        return None, f"the file says student '{strangers[0][:_MAX_ID]}', who is not on the roster{hint}"
    if inside and named and inside != named:
        return None, f"the file says student {inside[0]}, its name says {named[0]}"
    if inside or named:
        return (inside or named)[0], ""
    return None, f"no id of the roster stands in the file or in its name{_lookalike([*labelled, file], roster)}"


def _inside(labelled: Sequence[str], loose: Sequence[str], roster: Roster) -> tuple[str, ...]:
    ids = tuple(dict.fromkeys(id for text in labelled for id in roster.ids_in(text)))
    if ids or any(roster.looks_like_id(text) for text in labelled):
        return ids
    found: dict[str, None] = {}
    looked_at = 0
    for text in loose:
        if (looked_at := looked_at + len(text)) > _LOOSE_CHARS:
            break
        found.update(dict.fromkeys(roster.ids_in(text)))
    return tuple(id for id in found if len(id) >= _LEAST_LOOSE and any(letter.isdigit() for letter in id))


def _named(file: str, roster: Roster) -> tuple[str, ...]:
    """Ids in the file's own name, or else in the name of the nearest folder that has one."""
    path = PurePosixPath(file)
    for part in (path.stem, *reversed(path.parts[:-1])):
        if ids := roster.ids_in(part):
            return ids
    return ()


def _lookalike(texts: Sequence[str], roster: Roster) -> str:
    for text in texts:
        if ids := roster.lookalikes_in(text):
            return f"; '{ids[0]}' may be meant, but it is written with letters of another alphabet that only look alike"
    return ""


def _without_roster(file: str, labelled: Sequence[str]) -> tuple[str | None, str]:
    ids = {folded(text): text.strip() for text in labelled if text.strip()}
    if len(ids) > 1:
        return None, f"the file names several students: {', '.join(sorted(ids.values()))[:200]}"
    id = next(iter(ids.values()), "") or _VERSION.sub("", PurePosixPath(file).stem)
    id = " ".join(id.split())[:_MAX_ID]
    return (id, "") if folded(id) else (None, "neither the file nor its name says whose it is")
