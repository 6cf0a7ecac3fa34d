"""What a student sends: answers typed or in a file, to have their reading checked or to be counted."""

from __future__ import annotations

from dataclasses import dataclass, replace

from starlette.responses import RedirectResponse, Response

from grader.web.attempts import Late, make_attempt
from grader.web.pages.render import render
from grader.web.pages.sheet_view import Fault, Shown, show_sheet, typed_of
from grader.web.received import Received, Unusable, answers_of_file, answers_of_form
from grader.web.rules import span
from grader.web.sheets import Sheet, look, look_at
from grader.web.site import Site
from grader.web.visit import ANSWER_CHARS, Refused, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is to be done: count it as an attempt, or only read it; and even if something in it cannot be read."""

    counts: bool
    insists: bool


def answer(site: Site, visit: Visit) -> Response:
    """Check the reading of a typed sheet, or take it as an attempt."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    do = visit.form.text("do")
    received = answers_of_form(sheet.fields, visit.person, visit.form)
    return _take(site, visit, sheet, received, Wish(counts=do in {"submit", "insist"}, insists=do == "insist"))


def hand_in_file(site: Site, visit: Visit) -> Response:
    """Check the reading of a file, or take it as an attempt."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    if visit.form.file is None:
        return show_sheet(site, visit, sheet, _stopped(Shown(), "Choose your answer sheet, then send it.", 422))
    try:
        received = answers_of_file(sheet, visit.person, visit.form.file, site.roster)
    except Unusable as unusable:
        return show_sheet(site, visit, sheet, _stopped(Shown(), unusable.sentence, 422))
    wish = Wish(counts=visit.form.text("do") == "submit", insists=visit.form.text("insist") == "yes")
    return _take(site, visit, sheet, received, wish)


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


def _take(site: Site, visit: Visit, sheet: Sheet, received: Received, wish: Wish) -> Response:
    """Whatever happens, what was typed comes back on the page."""
    shown = Shown(typed=typed_of(sheet, received.answers))
    seconds = site.rates.wait("submit" if wish.counts else "reading", visit.person)
    if seconds:
        return show_sheet(
            site, visit, sheet, _stopped(shown, f"That was very fast. Try again in {span(seconds)}.", 429)
        )
    if not shown.typed:
        return show_sheet(site, visit, sheet, _stopped(shown, "No answer has been written yet.", 422))
    if not (wish.counts and wish.insists):
        shown = _checked(sheet, received, wish, shown)
        if shown.faults or not wish.counts:
            return show_sheet(site, visit, sheet, shown)
    try:
        attempt = make_attempt(site, sheet, visit, received)
    except Late as late:
        return show_sheet(site, visit, sheet, _stopped(shown, late.sentence, 409))
    return RedirectResponse(f"/attempts/{attempt}", 303)


def _checked(sheet: Sheet, received: Received, wish: Wish, shown: Shown) -> Shown:
    """How everything is read, and what cannot be."""
    readings = look_at(sheet, received.answers)
    unread = [
        Fault(f"{one.label}: {readings[one.name].refusal}", one.id)
        for one in sheet.fields
        if one.name in readings and readings[one.name].refusal
    ]
    faults = [*(Fault(doubt) for doubt in received.doubts), *unread]
    count = len(shown.typed)
    insistable = "Submit them as they are" if faults and not received.file else ""
    return replace(
        shown,
        readings=readings,
        faults=faults,
        fault_title="Nothing was counted: look at this first." if faults else shown.fault_title,
        checked=f"Nothing was counted. {'One answer was' if count == 1 else f'{count} answers were'} looked at; how each is read stands below it.",
        insistable=insistable,
        status=422 if faults and wish.counts else 200,
    )


def _stopped(shown: Shown, sentence: str, status: int) -> Shown:
    return replace(shown, faults=(Fault(sentence),), status=status)
