"""Answers as written, out of a typed form or a file handed in."""

from pathlib import PurePosixPath
from typing import NamedTuple

from grader.uploads.content.document import typed
from grader.uploads.content.found import Collector
from grader.uploads.content.items import known_items
from grader.uploads.escaping import visible
from grader.uploads.files.source import Source, digest_of
from grader.uploads.limits import FILE_BYTES
from grader.uploads.reader import read_source
from grader.uploads.roster import Roster
from grader.uploads.upload import Upload, Written
from grader.web.data.exports import answers_csv, upload_name
from grader.web.sheets import Field, SheetView
from grader.web.visit import ANSWER_CHARS, FileSent, Form


class Unusable(Exception):
    """A form or a file cannot be taken; ``sentence`` says why, ``field`` is the id of the field it is about, or ""."""

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence, field)
        self.sentence = sentence
        self.field = field


class Received(NamedTuple):
    """Answers, what is doubtful about them, and the file to keep: as it came, or as the export will have it.

    ``file`` is its name, "" where the answers were typed; ``named`` the student whom that name speaks of, if another.
    """

    answers: tuple[Written, ...]
    doubts: tuple[str, ...]
    content: bytes
    file: str = ""
    named: str = ""


def answers_of_form(fields: tuple[Field, ...], student: str, form: Form) -> Received:
    """What was typed into these fields, taken as the same text in a file would be; empty ones are left out.

    Raises
    ------
    Unusable
        If one is longer than the page allows.
    """
    texts = [(one, text) for one in fields if (text := form.text(one.name))]
    gathering = Collector(known_items(tuple(one.place for one in fields)))
    for one, text in texts:
        if len(text) > ANSWER_CHARS:
            raise Unusable(
                f"The answer to '{one.label}' is too long: at most {ANSWER_CHARS} characters can be sent.", one.id
            )
        gathering.add(one.place, typed(text), where=one.label)
    found = gathering.found()
    return Received(found.answers, found.faults, answers_csv(student, texts))


def answers_of_file(sheet: SheetView, student: str, sent: FileSent, roster: Roster) -> Received:
    """What stands in a file, read as the command line reads it.

    Raises
    ------
    Unusable
        If nothing can be read in it, or it is somebody else's.
    """
    if len(sent.content) > FILE_BYTES:
        raise Unusable(f"The file is too large: at most {FILE_BYTES // 2**20} MiB can be handed in.")
    if not sent.content:
        raise Unusable("The file is empty.")
    pairs = tuple(one.place for one in sheet.fields)

    def under(name: str) -> tuple[Upload, ...]:
        source = Source(file=upload_name(name, sent.name), digest=digest_of(sent.content), data=sent.content)
        return tuple(read_source(source, pairs, roster))

    uploads = under(student)
    if len(uploads) != 1:
        raise Unusable("The file is a table of several students; hand in a sheet with your own answers alone.")
    (upload,) = uploads
    if upload.student != student:
        others = [one.student for one in under("answers") if one.student is not None]  # by what stands inside alone
        if others:
            raise Unusable(f"This file is {visible(others[0])}'s; you are signed in as {visible(student)}.")
        raise Unusable(" ".join(upload.faults) or f"The file is not that of {student}.")
    if not upload.answers:
        raise Unusable(" ".join(upload.faults) or "No answers were found in the file.")
    named = roster.ids_in(PurePosixPath(sent.name).stem)
    another = "" if student in named else next(iter(named), "")
    return Received(upload.answers, upload.faults, sent.content, sent.name, another)
