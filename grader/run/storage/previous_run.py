"""The results of the run before in the same folder: what went into them, and what has changed since, for whom and why."""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager
from itertools import chain
from pathlib import Path
from typing import IO, Any, NamedTuple

from msgspec import Struct, field

from grader.marking.marks import GAVE, Mark, Marked
from grader.opening import content_of, lines_of, opened
from grader.reports.table import Table
from grader.reports.wording import points_text
from grader.run.storage.serialization import decoded

RUN, MARKS, CHANGES = "run.json", "marks.jsonl", "changes.csv"
_HEADER = ("student", "problem", "item", "before", "after", "possible before", "possible after", "why")
_CAUSES = {
    "rubric": "the rubric changed",
    "software": "the software changed",
    "roster": "the roster changed",
    "secret": "the secret changed",
}


class _Old(NamedTuple):
    awarded: float
    possible: float
    decision: str


class _Points(NamedTuple):
    """Points of how many possible, as they are written; empty where there were none."""

    awarded: str = ""
    possible: str = ""

    @staticmethod
    def of(marks: Iterable[_Old | Mark]) -> "_Points":
        """Of some marks together."""
        marks = tuple(marks)
        return _Points(points_text(sum(m.awarded for m in marks)), points_text(sum(m.possible for m in marks)))


class Change(NamedTuple):
    """One mark, or a whole student (item empty), that is not what it was; points as they are written."""

    student: str
    problem: str
    item: str
    before: str
    after: str
    possible_before: str
    possible_after: str
    why: str


def _change(place: tuple[str, str, str], before: _Points, after: _Points, why: Iterable[str]) -> Change:
    return Change(*place, before.awarded, after.awarded, before.possible, after.possible, "; ".join(why))


class Earlier(Struct, frozen=True, kw_only=True):
    """What is known of the run before; empty if there was none."""

    folder: Path
    """Where it stands."""
    inputs: str = ""
    """The `fingerprint` of what went into it."""
    causes: Mapping[str, Any] = field(default_factory=dict)
    """Of that, everything but the uploads."""
    counted: Mapping[str, str] = field(default_factory=dict)
    """The digest of the upload that counted, by student."""
    strangers: frozenset[str] = frozenset()
    """Digests of the uploads that were nobody's."""
    outputs: tuple[str, ...] = ()
    """Names of its results."""
    blocks: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    """Where in its marks each student's stand."""

    @staticmethod
    def of(folder: Path) -> "Earlier":
        """Look at a results folder; damaged results count as none."""
        try:
            run = json.loads(content_of(folder / RUN))
            inputs = run["inputs"]
            return Earlier(
                folder=folder,
                inputs=fingerprint(inputs),
                causes={name: inputs[name] for name in _CAUSES},
                counted=_counted(inputs),
                strangers=frozenset(one["sha256"] for one in inputs["uploads"] if one["state"] == "no student"),
                outputs=tuple(name for name in run["outputs"] if isinstance(name, str)),
                blocks=_blocks(folder / MARKS),
            )
        except (FileNotFoundError, ValueError, KeyError, TypeError, RecursionError):
            return Earlier(folder=folder)

    @property
    def exists(self) -> bool:
        """Whether there was a run before."""
        return bool(self.inputs)

    def changes(self, marked: Iterable[Marked], inputs: Mapping[str, Any]) -> Iterator[Change]:
        """Every mark that differs from the run before, in order of student.

        Parameters
        ----------
        marked : iterable of Marked
            The new marks.
        inputs : mapping
            What went into them.
        """
        causes = [text for name, text in _CAUSES.items() if self.causes.get(name) != inputs.get(name)]
        new_files = _counted(inputs)
        seen = set()
        for new in marked:
            seen.add(new.student)
            own = [*causes]
            if self.counted.get(new.student) != new_files.get(new.student):
                given = new_files.get(new.student) in self.strangers
                own.insert(0, "a person said whose the upload is" if given else "another upload counts than before")
            if new.student not in self.blocks:
                yield _change((new.student, "", ""), _Points(), _Points.of(new.marks), own or ["a new student"])
            else:
                yield from self._of_student(new, own)
        for student in self.blocks:
            if student not in seen:
                before = _Points.of(self._marks(student).values())
                yield _change((student, "", ""), before, _Points(), ["no upload of this student counts any more"])

    def _of_student(self, new: Marked, causes: list[str]) -> Iterator[Change]:
        before = self._marks(new.student)
        for mark in new.marks:
            old = before.pop(mark.place, None)
            if old is not None and old == _Old(mark.awarded, mark.possible, mark.decision):
                continue
            same_points = old is not None and (old.awarded, old.decision) == (mark.awarded, mark.decision)
            decided = mark.decision or (old is not None and old.decision)
            if any(reason.startswith(GAVE) for reason in mark.reasons):
                why = [*causes, "a decision was for another answer"]
            else:
                why = ["a decision"] if decided and not same_points else causes
            was = _Points() if old is None else _Points.of([old])
            yield _change((new.student, *mark.place), was, _Points.of([mark]), why)
        for (problem, item), old in before.items():
            yield _change((new.student, problem, item), _Points.of([old]), _Points(), causes)

    def _marks(self, student: str) -> dict[tuple[str, str], _Old]:
        start, length = self.blocks[student]
        with opened(self.folder / MARKS) as file:
            file.seek(start)
            lines = file.read(length).decode("utf-8").split("\n")
        records = [decoded(raw, dict[str, Any]) for raw in lines if raw]
        return {
            (one["problem"], one["item"]): _Old(one["awarded"], one["possible"], one["decision"])
            for one in records
            if _is_whole(one)
        }


def _is_whole(record: dict[str, Any]) -> bool:
    """Whether a line of the marks still says what is needed of it."""
    words = all(isinstance(record.get(name), str) for name in ("problem", "item", "decision"))
    return words and all(isinstance(record.get(name), int | float) for name in ("awarded", "possible"))


def fingerprint(inputs: Mapping[str, Any]) -> str:
    """What tells the inputs of one run from those of another."""
    digest = hashlib.sha256()
    for piece in json.JSONEncoder(sort_keys=True).iterencode(inputs):
        digest.update(piece.encode())
    return digest.hexdigest()


def _counted(inputs: Mapping[str, Any]) -> dict[str, str]:
    """The digest of the upload that counted, by student."""
    uploads = inputs.get("uploads", ())
    return {one["student"]: one["sha256"] for one in uploads if one.get("state") == "counted"}


def _blocks(path: Path) -> dict[str, tuple[int, int]]:
    """Where each student's lines stand, from the first to the last of them."""
    blocks: dict[str, tuple[int, int]] = {}
    at = 0
    for raw in lines_of(path):
        student = decoded(raw, dict[str, Any])["student"]
        start = blocks.get(student, (at, 0))[0]
        at += len(raw)
        blocks[student] = (start, at - start)
    return blocks


def write_changes(place: Callable[[], AbstractContextManager[IO[str]]], changes: Iterable[Change]) -> tuple[int, int]:
    """Write the table of changes, if there are any, at a place opened for it; gives back how many, and of how many students."""
    moved = (c for c in changes if (c.before, c.possible_before) != (c.after, c.possible_after))
    first = next(moved, None)
    if first is None:
        return 0, 0
    marks, students = 0, set()
    with place() as out:
        table = Table(out, _HEADER)
        for change in chain((first,), moved):
            table.add(change)
            marks += 1
            students.add(change.student)
    return marks, len(students)
