"""What a student sends: answers typed or in a file, to have their reading checked or to be counted."""

import hashlib
from collections.abc import Mapping
from contextlib import suppress

from anyio.to_thread import run_sync as in_thread
from msgspec import Struct
from msgspec.structs import replace
from starlette.responses import RedirectResponse, Response

from grader.uploads.upload import Written
from grader.web.attempts import Late
from grader.web.data.records import Attempt, OnAnswer, new_id
from grader.web.data.store import Unavailable
from grader.web.pages.render import render
from grader.web.pages.sheet_view import Fault, KeptFile, Shown, last_sent, show_sheet, typed_of
from grader.web.received import Received, Unusable, answers_of_form
from grader.web.rules import accepting, span
from grader.web.sheets import Looked, SheetView
from grader.web.site import KEPT_FILE_BYTES, AppState
from grader.web.visit import ANSWER_CHARS, FileSent, Refused, RequestContext
from grader.web.work import Count, Look, ReadFile
from grader.web.workers import JobFailed

NOT_SAVED = (
    "Not saved yet: the database cannot be reached just now. What you wrote stands below; wait a moment, then send it "
    "again. It will count once, whatever became of this try."
)


class SubmitOptions(Struct, frozen=True, kw_only=True):
    """What is to be done: count it as an attempt, or only read it; and even if something in it cannot be read.

    ``owns`` is the id in a file's name that was said to be there by mistake.
    """

    counts: bool
    insists: bool
    owns: str = ""


async def answer(site: AppState, visit: RequestContext) -> Response:
    """Check the reading of a typed sheet, or take it as an attempt."""
    sheet = await site.own_sheet(visit.path["sheet"], visit.person)
    do = visit.form.text("do")
    try:
        received = answers_of_form(sheet.fields, visit.person, visit.form)
    except Unusable as unusable:
        typed = {one.name: visit.form.text(one.name) for one in sheet.fields}
        return await _stop(site, visit, sheet, Shown(typed=typed, sent=True), unusable.sentence, 413, unusable.field)
    return await _take(
        site, visit, sheet, received, SubmitOptions(counts=do in {"submit", "insist"}, insists=do == "insist")
    )


async def hand_in_file(site: AppState, visit: RequestContext) -> Response:
    """Check the reading of a file, or take it as an attempt."""
    sheet = await site.own_sheet(visit.path["sheet"], visit.person)
    before = Shown()
    with suppress(Unavailable):
        before = await in_thread(last_sent, site, visit, sheet)
    number = visit.form.text("kept")
    sent = visit.form.file or site.checked.known((visit.session.nonce, number))
    if sent is None:
        again = "The file that was checked is no longer kept here. " if number else ""
        return await _stop(site, visit, sheet, before, f"{again}Choose your answer sheet, then send it.", 422)
    job = ReadFile(site.which(sheet.name, visit.person), visit.person, sent)
    try:
        received: Received | str = await site.workers.done(job, long=True)
    except JobFailed as undone:
        received = f"The file could not be read: {undone.why}. Nothing was counted."
    if isinstance(received, str):
        return await _stop(site, visit, sheet, before, received, 422)
    received = received._replace(content=sent.content)
    wish = SubmitOptions(
        counts=visit.form.text("do") == "submit",
        insists=visit.form.text("insist") == "yes",
        owns=visit.form.text("own"),
    )
    return await _take(site, visit, sheet, received, wish, _kept(site, visit, sent))


def _kept(site: AppState, visit: RequestContext, sent: FileSent) -> KeptFile | None:
    """A file that was read, kept so that it can be submitted without being chosen again."""
    if len(sent.content) > KEPT_FILE_BYTES:
        return None
    number = visit.form.text("kept") if visit.form.file is None else new_id()
    site.checked.made((visit.session.nonce, number), lambda: sent)
    return KeptFile(number, sent.name)


async def reading(site: AppState, visit: RequestContext) -> Response:
    """How one answer is read, as a piece of a page: for the script that shows it while one types."""
    site.take_turn("reading", visit.person, "That was very fast.")
    sheet = await site.own_sheet(visit.path["sheet"], visit.person)
    for one in sheet.fields:
        text = visit.form.fields.get(one.name)
        if text is not None:
            answer = Written(problem=one.problem, item=one.item, text=text[:ANSWER_CHARS])
            looked = await site.workers.done(Look(site.which(sheet.name, visit.person), (answer,)))
            return render(site, visit, "reading.html", view=looked.get(one.name, Looked()))
    raise Refused(404, "There is no such item on this sheet.")


async def _take(
    site: AppState,
    visit: RequestContext,
    sheet: SheetView,
    received: Received,
    wish: SubmitOptions,
    file: KeptFile | None = None,
) -> Response:
    """Whatever happens, what was typed comes back on the page."""
    shown = Shown(typed=typed_of(sheet, received.answers), sent=True, file=file, named=received.named)
    seconds = site.rates.wait("submit" if wish.counts else "reading", visit.person)
    if seconds:
        return await _stop(site, visit, sheet, shown, f"That was very fast. Try again in {span(seconds)}.", 429)
    if not shown.typed:
        return await _stop(site, visit, sheet, shown, "No answer has been written yet.", 422)
    which = site.which(sheet.name, visit.person)
    if not wish.counts or (received.doubts and not wish.insists) or received.named not in ("", wish.owns):
        try:
            looked = await site.workers.done(Look(which, received.answers))
        except JobFailed as undone:
            sentence = f"The reading of these answers could not be checked: {undone.why}. Nothing was counted."
            return await _stop(site, visit, sheet, shown, sentence, 503)
        return await in_thread(
            show_sheet, site, visit, sheet, _checked(sheet, visit.person, received, wish, shown, looked)
        )
    job = Count(which, visit.person, received.answers, received.file, wish.insists)
    counted = await site.counted(sheet, job)
    if counted.looked is not None:
        return await in_thread(
            show_sheet, site, visit, sheet, _checked(sheet, visit.person, received, wish, shown, counted.looked)
        )
    attempt = Attempt(
        id=new_id(), sheet=sheet.name, student=visit.person, number=_expected(visit), at=visit.at, form=_form_mark(visit, received),
        file=received.file, answers=received.answers, key=site.basis(sheet), marks=counted.marks, total=counted.total,
    )  # fmt: skip
    try:
        kept = await site.register.keep(attempt, received.content)
    except Late as late:
        told = late.sentence + await in_thread(_kept_as_late, site, attempt)
        return await _stop(site, visit, sheet, shown, told, 409)
    except Unavailable:
        return await _stop(site, visit, sheet, replace(shown, form=visit.form.text("form")), NOT_SAVED, 503)
    return RedirectResponse(f"/attempts/{kept}", 303)


def _kept_as_late(site: AppState, attempt: Attempt) -> str:
    """What is said of answers that came after the due time or the closing; the first are kept for the instructor to see."""
    with suppress(Unavailable):
        if not accepting(site.rules_for(attempt.student), site.store.state(attempt.sheet), attempt.at):
            answers = [
                OnAnswer(
                    sheet=attempt.sheet, student=attempt.student, problem=one.problem, item=one.item, answer=one.text,
                    at=attempt.at,
                )
                for one in attempt.answers
            ]  # fmt: skip
            if site.store.keep_late(answers):
                return " What you sent is kept as late for your instructor to see; it does not count."
    return ""


def _expected(visit: RequestContext) -> int:
    """The number that the page promised the attempt; 0 where it promised none."""
    text = visit.form.text("next")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0


def _form_mark(visit: RequestContext, received: Received) -> str:
    return hashlib.sha256(visit.form.text("form").encode() + b"\0" + received.content).hexdigest()


async def _stop(
    site: AppState,
    visit: RequestContext,
    sheet: SheetView,
    shown: Shown,
    sentence: str,
    status: int,
    field: str = "",
) -> Response:
    stopped = replace(shown, faults=(Fault(sentence, field),), status=status)
    return await in_thread(show_sheet, site, visit, sheet, stopped)


def _checked(
    sheet: SheetView,
    student: str,
    received: Received,
    wish: SubmitOptions,
    shown: Shown,
    readings: Mapping[str, Looked],
) -> Shown:
    """How everything is read, and what cannot be."""
    unread = [
        Fault(f"{one.label}: {readings[one.name].refusal}", one.id)
        for one in sheet.fields
        if one.name in readings and readings[one.name].refusal
    ]
    mend = " If the answers are yours, say so where you chose the file, and submit it again."
    whose = f"This file's name says {received.named}; you are signed in as {student}.{mend}" if received.named else ""
    faults = [*(Fault(doubt) for doubt in (whose, *received.doubts) if doubt), *unread]
    count = len(shown.typed)
    insistable = "Submit them as they are" if faults and not received.file else ""
    return replace(
        shown,
        readings=readings,
        faults=faults,
        fault_title="Nothing was counted: look at this first." if faults else shown.fault_title,
        checked=f"Nothing was counted. {'One answer was' if count == 1 else f'{count} answers were'} checked; how each is read stands below it.",
        insistable=insistable,
        status=422 if faults and wish.counts else 200,
    )
