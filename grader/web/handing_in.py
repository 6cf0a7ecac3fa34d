"""What a student sends: answers typed or in a file, to have their reading checked or to be counted."""

from __future__ import annotations

from dataclasses import dataclass, replace

from starlette.responses import RedirectResponse, Response

from grader.uploads.records import Written
from grader.web.attempts import Late, make_attempt
from grader.web.pages import render
from grader.web.received import Unusable, answers_of_file, answers_of_form
from grader.web.rules import span
from grader.web.sheet_view import Fault, Shown, show_sheet, typed_of
from grader.web.sheets import Sheet, look, look_at
from grader.web.site import Site
from grader.web.visit import ANSWER_CHARS, FileSent, Refused, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """What came: the answers, the file they stood in, what is doubtful in it, and what is to be done.

    ``counts``: as an attempt, else only to be read; ``insists``: even if some answers cannot be read.
    """

    answers: tuple[Written, ...]
    file: FileSent | None = None
    doubts: tuple[str, ...] = ()
    counts: bool
    insists: bool


def answer(site: Site, visit: Visit) -> Response:
    """Check the reading of a typed sheet, or take it as an attempt."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    do = visit.form.text("do")
    answers = answers_of_form(sheet.fields, visit.form)
    return _take(site, visit, sheet, Sent(answers=answers, counts=do in {"submit", "insist"}, insists=do == "insist"))


def hand_in_file(site: Site, visit: Visit) -> Response:
    """Check the reading of a file, or take it as an attempt."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    file = visit.form.file
    if file is None:
        return show_sheet(site, visit, sheet, _stopped(Shown(), "Choose your answer sheet, then send it.", 422))
    try:
        answers, doubts = answers_of_file(sheet, visit.person, file, site.roster)
    except Unusable as unusable:
        return show_sheet(site, visit, sheet, _stopped(Shown(), unusable.sentence, 422))
    sent = Sent(
        answers=answers, file=file, doubts=doubts,
        counts=visit.form.text("do") == "submit", insists=visit.form.text("insist") == "yes",
    )  # fmt: skip
    return _take(site, visit, sheet, sent)


def reading(site: Site, visit: Visit) -> Response:
    """How one answer is read, as a piece of a page: for the script that shows it while one types."""
    seconds = site.rates.wait("reading", visit.person)
    if seconds:
        raise Refused(429, f"That was very fast. Try again in {span(seconds)}.", seconds)
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    for one in sheet.fields:
        text = visit.form.fields.get(one.name)
        if text is not None:
            return render(site, visit, "reading.html", view=look(one, text[:ANSWER_CHARS]))
    raise Refused(404, "There is no such item on this sheet.")


def _take(site: Site, visit: Visit, sheet: Sheet, sent: Sent) -> Response:
    """Whatever happens, what was typed comes back on the page."""
    shown = Shown(typed=typed_of(sheet, sent.answers))
    seconds = site.rates.wait("submit" if sent.counts else "reading", visit.person)
    if seconds:
        return show_sheet(
            site, visit, sheet, _stopped(shown, f"That was very fast. Try again in {span(seconds)}.", 429)
        )
    if not shown.typed:
        return show_sheet(site, visit, sheet, _stopped(shown, "No answer has been written yet.", 422))
    if not (sent.counts and sent.insists):
        shown = _checked(sheet, sent, shown)
        if shown.faults or not sent.counts:
            return show_sheet(site, visit, sheet, shown)
    try:
        attempt = make_attempt(site, sheet, visit, sent.answers, sent.file)
    except Late as late:
        return show_sheet(site, visit, sheet, _stopped(shown, late.sentence, 409))
    return RedirectResponse(f"/attempts/{attempt.id}", 303)


def _checked(sheet: Sheet, sent: Sent, shown: Shown) -> Shown:
    """How everything is read, and what cannot be."""
    readings = look_at(sheet, sent.answers)
    unread = [
        Fault(f"{one.label}: {readings[one.name].refusal}", one.id)
        for one in sheet.fields
        if one.name in readings and readings[one.name].refusal
    ]
    faults = [*(Fault(doubt) for doubt in sent.doubts), *unread]
    count = len(shown.typed)
    insistable = "Submit them as they are" if faults and sent.file is None else ""
    return replace(
        shown,
        readings=readings,
        faults=faults,
        fault_title="Nothing was counted: look at this first." if faults else shown.fault_title,
        checked=f"Nothing was counted. {'One answer was' if count == 1 else f'{count} answers were'} looked at; how each is read stands below it.",
        insistable=insistable,
        status=422 if faults and sent.counts else 200,
    )


def _stopped(shown: Shown, sentence: str, status: int) -> Shown:
    return replace(shown, faults=(Fault(sentence),), status=status)
