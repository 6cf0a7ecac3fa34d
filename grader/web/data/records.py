"""What is kept, as records: attempts, what the rules need of them, decisions, requests to look again."""

import secrets
from datetime import datetime
from typing import NamedTuple

from msgspec import Struct

from grader.place import Placed
from grader.run.given import without_layout
from grader.uploads.upload import Written


class Attempt(Struct, frozen=True, kw_only=True):
    """One attempt of one student at one sheet."""

    id: str
    """Random; no other student can guess it, and it would not help: attempts are looked up together with the
    student."""
    sheet: str
    student: str
    number: int
    """1 for the first."""
    at: datetime
    """When it arrived (UTC)."""
    form: str = ""
    """Digest of the form's random mark and of what it held, so that a form sent twice counts once."""
    file: str = ""
    """Name of the file handed in; "" where the answers were typed."""
    answers: tuple[Written, ...]
    key: str = ""
    """Digest of the key it was marked with."""
    marks: str = ""
    """The marks as JSON."""
    total: float = 0.0
    """Points, before any decision."""


class Made(NamedTuple):
    """An attempt as far as the rules need it: its id, the mark of its form, its time."""

    id: str
    form: str
    at: datetime


class OnAnswer(Placed, Struct, frozen=True, kw_only=True):
    """Something said of one answer of one student, and when."""

    sheet: str
    student: str
    problem: str
    item: str
    answer: str
    at: datetime

    def is_on(self, answer: str) -> bool:
        """Whether it was said of this answer, however that is laid out."""
        return without_layout(answer) == without_layout(self.answer)


class Decided(OnAnswer, frozen=True, kw_only=True):
    """What the instructor decided on it, and why."""

    points: float
    reason: str


class Request(OnAnswer, frozen=True, kw_only=True):
    """A student's request to look again at it, and why, in a sentence."""

    sentence: str


def new_id() -> str:
    """A random id, 120 bits."""
    return secrets.token_urlsafe(15)
