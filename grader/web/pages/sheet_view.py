"""The page of a sheet: empty, typed on, checked, or sent back with what is wrong."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from msgspec import Struct, field
from starlette.responses import HTMLResponse

from grader.uploads.limits import FILE_BYTES
from grader.uploads.upload import Written
from grader.web.data.records import new_id
from grader.web.data.store import Unavailable
from grader.web.pages import outcome
from grader.web.pages.render import render
from grader.web.rules import OPEN, AttemptStatus, standing
from grader.web.sheets import Looked, SheetView
from grader.web.site import AppState
from grader.web.visit import RequestContext


class Fault(NamedTuple):
    """A line of the list of faults on top of a page; ``field`` is the id of the field it is about, or ""."""

    sentence: str
    field: str = ""


class KeptFile(NamedTuple):
    """A file that was read and need not be chosen again: under which number it is kept, and what it is called."""

    number: str
    name: str


class Shown(Struct, frozen=True, kw_only=True):
    """What the page shows besides the sheet."""

    typed: Mapping[str, str] = field(default_factory=dict)
    """Answers by the names of their fields."""
    readings: Mapping[str, Looked] = field(default_factory=dict)
    """How they are read, likewise."""
    fault_title: str = "Nothing was counted."
    faults: Sequence[Fault] = ()
    """What is wrong, below `fault_title`; every fault names its field where it has one."""
    checked: str = ""
    """What was done, where nothing is wrong."""
    insistable: str = ""
    """Label of the button that submits in spite of the faults; "" where there is no such thing."""
    status: int = 200
    sent: bool = False
    """The answers shown were sent just now, typed or in a file: no draft of this browser replaces them."""
    file: KeptFile | None = None
    """The file that the answers came in."""
    named: str = ""
    """The student whom the file's name speaks of, where that is another than who is signed in."""
    form: str = ""
    """The random mark of the form, where it must stay the same: what may have been kept is not to be kept twice."""


def show_sheet(site: AppState, visit: RequestContext, sheet: SheetView, shown: Shown) -> HTMLResponse:
    """Render a sheet for its student."""
    rules = site.rules_for(visit.person)
    try:
        results, state = site.results_of(sheet.name, visit.person), site.store.state(sheet.name)
        status = standing(rules, state, visit.at, results)
        made = outcome.made_text(site.rules, len(results), over=bool(status.refusal))
    except Unavailable:  # then at least what was typed is shown
        results, state, status, made = (), "", AttemptStatus(refusal="", left=None), ""
    answers_shown = bool(made) and site.answers_shown(sheet.name, visit.at)
    number = f" attempt {len(results) + 1}" if made else ""
    limit = f" of {site.rules.attempts}" if made and site.rules.attempts is not None else ""
    return render(
        site, visit, "sheet.html", shown.status,
        sheet=sheet,
        shown=shown,
        history=outcome.history(site.rules, results),
        rules=outcome.rules_text(rules, site.local_time),
        made=made,
        refusal=status.refusal,
        over=status.over,
        answers_come=_answers_come(site, state) if status.over and not answers_shown else "",
        next=len(results) + 1 if made else "",
        submit_label=f"Submit{number}{limit}",
        answers_shown=answers_shown,
        form_id=shown.form or new_id(),
        file_mib=FILE_BYTES // 2**20,
    )  # fmt: skip


def _answers_come(site: AppState, state: str) -> str:
    """When the reference answers can be seen, in a sentence."""
    last = site.last_due()
    if last is None or state == OPEN:
        return "The reference answers can be seen once your instructor has closed the sheet."
    return f"The reference answers can be seen from {site.local_time(last)} on."


def last_sent(site: AppState, visit: RequestContext, sheet: SheetView) -> Shown:
    """The answers of the last attempt, to go on from."""
    past = site.store.attempts(sheet.name, visit.person)
    return Shown(typed=typed_of(sheet, past[-1].answers) if past else {})


def typed_of(sheet: SheetView, answers: Sequence[Written]) -> dict[str, str]:
    """Answers by the names of their fields, a unit from its own cell behind the number; a field of one line has no others."""
    fields = {one.place: one for one in sheet.fields}
    return {
        fields[answer.place].name: ("\n" if fields[answer.place].long else "; ").join(answer.as_written.splitlines())
        for answer in answers
        if answer.place in fields and (answer.text or answer.unit)
    }
