"""Whose upload it is: by the id inside the file and by the id in its name, which must not disagree."""

import re
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import NamedTuple

from grader.regex import regex
from grader.uploads.names import folded, seen, tokens
from grader.uploads.roster import Ids

_LEAST_LOOSE = 4
"""Shortest id looked for in any text of a file; a shorter one might be a number of its own."""

_LOOSE_CHARS = 200_000
"""Characters of other texts searched; an id stands near the top."""

_VERSION = regex(r"(?:[\s_.-]*(?:\(\d+\)|v(?:ersion)?[\s_.-]*\d+|final|copy|new|draft))+$", re.IGNORECASE)
_BETWEEN_WORDS = regex(r"[\W_]+")
_MAX_ID = 64


class Owner(NamedTuple):
    """Whose an upload is.

    ``student`` is None where a person must decide, and ``why`` says why.  ``vouched`` tells that the name says it, and
    not the file's content alone, which anybody may have written.
    """

    student: str | None
    why: str = ""
    vouched: bool = False


class Assigned(NamedTuple):
    """Whose a person said a file is ("": nobody's), with the reason."""

    student: str
    reason: str = ""


Assignments = Mapping[tuple[str, str], Assigned]
"""By file (or row of a wide table) and `contents_of` it; empty contents: whatever stands in it."""

_CONTENTS = 16
"""Digits of the SHA-256 that tell the contents of one file from another's: 64 bits."""


def contents_of(digest: str) -> str:
    """What stands for the contents of a file where a person decides on it."""
    return digest[:_CONTENTS]


def assigned(file: str, digest: str, assignments: Assignments) -> Assigned | None:
    """What a person said of a file with these contents; another file of that name inherits nothing."""
    return assignments.get((file, contents_of(digest))) or assignments.get((file, ""))


def owner(file: str, labelled: Sequence[str], loose: Sequence[str], roster: Ids | None) -> Owner:
    """Find the student.

    Parameters
    ----------
    file : str
        The file's path among the uploads.
    labelled, loose : sequence of str
        Texts beside a label such as "student", and other texts of the file.
    roster : Ids or None
        Without one the label's text is the id, or else the file's name without its version.
    """
    if roster is None:
        return _without_roster(file, labelled)
    inside = _inside(labelled, loose, roster)
    named = _named(file, roster)
    for ids, place in ((inside, "the file names"), (named, "the names of the file and its folders say")):
        if len(ids) > 1:
            return Owner(None, f"{place} several students: {', '.join(sorted(ids))}")
    strangers = [text for text in labelled if not roster.ids_in(text) and roster.looks_like_id(text)]
    if strangers:
        hint = _lookalike(strangers, roster)
        return Owner(None, f"the file says student '{strangers[0][:_MAX_ID]}', who is not on the roster{hint}")
    if inside and named and inside != named:
        return Owner(None, f"the file says student {inside[0]}, its name says {named[0]}")
    if inside and not named and (stranger := _stranger(file, roster)):
        return Owner(None, f"the file says student {inside[0]}, its name says '{stranger}', who is not on the roster")
    if inside or named:
        return Owner((inside or named)[0], vouched=bool(named))
    return Owner(None, f"no id of the roster stands in the file or in its name{_lookalike([*labelled, file], roster)}")


def _inside(labelled: Sequence[str], loose: Sequence[str], roster: Ids) -> tuple[str, ...]:
    found_beside = (id for text in labelled for id in roster.ids_in(text) if not _of_a_date(id, text))
    ids = tuple(dict.fromkeys(found_beside))
    if ids or any(roster.looks_like_id(text) for text in labelled):
        return ids
    found: dict[str, None] = {}
    looked_at = 0
    for text in loose:
        if (looked_at := looked_at + len(text)) > _LOOSE_CHARS:
            break
        found.update(dict.fromkeys(roster.ids_in(text)))
    return tuple(id for id in found if _certain(id))


def _named(file: str, roster: Ids) -> tuple[str, ...]:
    """Ids in the file's own name, or else in the name of the nearest folder that has one; and those of folders above.

    A student who hands in a zip chooses the names in it, so that these may not speak for another than the zip's name.
    """
    path = PurePosixPath(file)
    named: tuple[str, ...] = ()
    for part in (path.stem, *reversed(path.parts[:-1])):
        ids = roster.ids_in(part)
        named += tuple(id for id in ids if id not in named and (not named or _certain(id)))
    return named


def _of_a_date(id: str, text: str) -> bool:
    """Whether a short id stands beside other numbers, so that it may be a day (``12.0`` is 12)."""
    others = (word for word in tokens(text) if word.isdecimal() and word != id)
    return id.isdecimal() and len(id) < _LEAST_LOOSE and any(word.strip("0") for word in others)


def _certain(id: str) -> bool:
    """Whether an id is long enough not to be a number of its own, such as that of a week."""
    return len(id) >= _LEAST_LOOSE and any(letter.isdigit() for letter in id)


def _stranger(file: str, roster: Ids) -> str:
    """A word of the file's name that is built like an id of the roster and is none; numbers alone may mean much else."""
    for word in _BETWEEN_WORDS.split(PurePosixPath(file).stem):
        if _certain(word) and not word.isdecimal() and roster.looks_like_id(word):
            return word
    return ""


def _lookalike(texts: Sequence[str], roster: Ids) -> str:
    for text in texts:
        if ids := roster.lookalikes_in(text):
            return f"; '{ids[0]}' may be meant, but it is written with letters of another alphabet that only look alike"
    return ""


def _without_roster(file: str, labelled: Sequence[str]) -> Owner:
    ids = {folded(text): text.strip() for text in labelled if text.strip()}
    if len(ids) > 1:
        return Owner(None, f"the file names several students: {', '.join(sorted(ids.values()))[:200]}")
    named = _VERSION.sub("", PurePosixPath(file).stem)
    id = " ".join(seen(next(iter(ids.values()), "") or named).split())[:_MAX_ID]
    if not folded(id):
        return Owner(None, "neither the file nor its name says whose it is")
    return Owner(id, vouched=tokens(id) == tokens(named))
