"""One request, as the pages see it: who asks, when, from where, and what the form says."""

import unicodedata
from collections.abc import AsyncGenerator, Iterable, Mapping
from datetime import datetime
from typing import NamedTuple
from urllib.parse import parse_qsl

from msgspec import Struct, field
from starlette.datastructures import Headers, UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser

from grader.reading.words import APART
from grader.uploads.upload import Student
from grader.web.access.limits import FORM_FIELDS
from grader.web.access.sessions import Session

ANSWER_CHARS = 2_000
"""Longest answer or reason taken from a form; the longest honest one is a few hundred characters."""


class Refused(Exception):
    """A request is refused.

    Parameters
    ----------
    status : int
        HTTP status.
    sentence : str
        What is wrong and what would be right, for the page.
    retry_after : float
        Seconds after which it may work; 0: no such time.
    """

    def __init__(self, status: int, sentence: str, retry_after: float = 0.0) -> None:
        super().__init__(status, sentence, retry_after)
        self.status = status
        self.sentence = sentence
        self.retry_after = retry_after


class FileSent(NamedTuple):
    """A file of a form: its name as the browser gave it, and its bytes."""

    name: str
    content: bytes


class Form(Struct, frozen=True, kw_only=True):
    """The fields of a form, each tidied to one line, and at most one file."""

    fields: Mapping[str, str] = field(default_factory=dict)
    file: FileSent | None = None

    def text(self, name: str) -> str:
        """A field, or ""."""
        return self.fields.get(name, "")


class RequestContext(Struct, frozen=True, kw_only=True):
    """A request."""

    at: datetime
    """When all of it had arrived (UTC), body and all: nothing begun before the due time can be ended after it, and a
    queue in here makes nobody late."""
    address: str
    """Of who asks."""
    session: Session
    token: str
    student: Student | None = None
    """Who has entered with a code that is still good."""
    instructor: bool = False
    """Whether the instructor's passphrase was given."""
    path: Mapping[str, str] = field(default_factory=dict)
    """The variable parts of the address."""
    query: Mapping[str, str] = field(default_factory=dict)
    """What follows the question mark."""
    form: Form = field(default_factory=Form)

    @property
    def known(self) -> bool:
        """Whether somebody has entered."""
        return self.student is not None or self.instructor

    @property
    def person(self) -> str:
        """The roster id of the student.

        Raises
        ------
        Refused
            If nobody has entered.
        """
        if self.student is None:
            raise Refused(403, "Enter with your code first.")
        return self.student.id


def one_line(text: str) -> str:
    r"""A text without control characters and line ends, which one field on a page cannot hold.

    Examples
    --------
    >>> one_line("  2.4\r\nmA\x00 ")
    '2.4 mA'
    """
    if not text.isprintable():
        text = "".join(" " if unicodedata.category(c) in _UNSEEN else c for c in text.replace("\r\n", "\n"))
    return text.strip()


ANSWER = "answer:"
"""Before the name of a form's field that holds an answer."""

_UNSEEN = frozenset({"Cc", "Cs", "Zl", "Zp"})


async def parse_form(content_type: str, body: bytes) -> Form:
    """The form in a body that was read within its limit.

    Raises
    ------
    Refused
        If it is damaged, of another type, or has too many fields.
    """
    kind = content_type.partition(";")[0].strip().lower()
    try:
        if kind == "application/x-www-form-urlencoded":
            pairs = parse_qsl(
                body.decode("ascii"),
                keep_blank_values=True,
                encoding="utf-8",
                errors="replace",
                max_num_fields=FORM_FIELDS,
            )
            return Form(fields=_gathered(pairs))
        if kind == "multipart/form-data":
            return await _parse_multipart(Headers({"content-type": content_type}), body)
    except (ValueError, KeyError, MultiPartException):
        raise Refused(400, "The form arrived damaged. Go back, reload the page and send it again.") from None
    raise Refused(415, "Only the forms of these pages are understood here.")


def _cleaned(name: str, value: str) -> str:
    """A field's text; an answer, for which the page may have several lines, keeps them."""
    if not name.startswith(ANSWER):
        return one_line(value)
    return "\n".join(filter(None, map(one_line, value.splitlines())))


def _gathered(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The fields of a form; boxes ticked under one name are one answer."""
    fields: dict[str, str] = {}
    for name, value in pairs:
        fields[name] = APART.join(filter(None, (fields.get(name), _cleaned(name, value))))
    return fields


async def _parse_multipart(headers: Headers, body: bytes) -> Form:
    async def whole() -> AsyncGenerator[bytes, None]:
        yield body
        yield b""

    data = await MultiPartParser(headers, whole(), max_files=1, max_fields=20).parse()
    fields: dict[str, str] = {}
    file = None
    for name, value in data.multi_items():
        if isinstance(value, UploadFile):
            content = await value.read()
            await value.close()
            if value.filename:
                file = FileSent(one_line(value.filename)[-200:], content)
        else:
            fields[name] = _cleaned(name, value)
    return Form(fields=fields, file=file)
