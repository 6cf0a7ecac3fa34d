"""Practice: other values for the same circuit, solved on the spot, never counted and never kept."""

import secrets
from collections.abc import Mapping
from functools import partial

from starlette.responses import RedirectResponse, Response

from grader.marking.marks import Marked
from grader.reports.feedback import rows_by_problem
from grader.rubric.variation import SEEDS, can_vary
from grader.run.storage.serialization import decoded
from grader.web.pages import outcome
from grader.web.pages.render import render
from grader.web.received import answers_of_form
from grader.web.sheets import Looked, SheetView
from grader.web.site import AppState
from grader.web.visit import Refused, RequestContext
from grader.web.work import Count, Counted, Look, Which


def page(site: AppState, visit: RequestContext) -> Response:
    """Show a set of values; without a number, draw one."""
    sheet = _sheet(site, visit)
    if "set" not in visit.query:
        return RedirectResponse(f"{_here(sheet, visit)}?set={_new_seed()}", 303)
    return _show(site, visit, sheet, _set(site, visit, sheet), {}, {})


def answer(site: AppState, visit: RequestContext) -> Response:
    """Check the reading of practice answers, or mark them."""
    sheet = _sheet(site, visit)
    practised = _set(site, visit, sheet)
    answers = answers_of_form(practised.fields, visit.person, visit.form).answers
    typed = {one.name: visit.form.text(one.name) for one in practised.fields}
    which = _which(site, visit, sheet)
    readings: Mapping[str, Looked] = site.workers.do(Look(which, answers))
    marked = None
    if visit.form.text("do") != "check" and answers:
        counted: Counted = site.workers.do(Count(which, visit.person, answers, "", insists=True))
        marked = decoded(counted.marks, Marked)
    return _show(site, visit, sheet, practised, typed, readings, marked)


def _sheet(site: AppState, visit: RequestContext) -> SheetView:
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    original = next((p for p in sheet.key.rubric.problems if p.id == visit.path["problem"]), None)
    if original is None or not can_vary(original):
        raise Refused(404, "There is no such problem to practise.")
    return sheet


def _set(site: AppState, visit: RequestContext, sheet: SheetView) -> SheetView:
    text = visit.query.get("set", "")
    if not (text.isascii() and text.isdigit() and int(text[:9]) < SEEDS and len(text) <= 6):
        raise Refused(404, f"Sets are numbered from 0 to {SEEDS - 1}.")

    turn = partial(site.take_turn, "practice", visit.person, "Each new set takes some work here.")
    return site.practice_set(_which(site, visit, sheet), turn)


def _which(site: AppState, visit: RequestContext, sheet: SheetView) -> Which:
    """The set that the address names, for the workers."""
    owner = site.which(sheet.name, visit.person).owner
    return Which(sheet.name, owner, visit.path["problem"], int(visit.query["set"]))


def _show(
    site: AppState,
    visit: RequestContext,
    sheet: SheetView,
    practised: SheetView,
    typed: Mapping[str, str],
    readings: Mapping[str, Looked],
    marked: Marked | None = None,
) -> Response:
    (problem,) = practised.problems
    kept = {one.item for one in problem.fields}
    left_out = [f"“{one.label}”" for one in sheet.fields if one.problem == problem.paper.id and one.item not in kept]
    return render(
        site, visit, "practice.html", sheet=sheet, problem=problem, seed=visit.query["set"], next_seed=_new_seed(),
        here=_here(sheet, visit), typed=typed, readings=readings,  result=outcome.result_text(marked) if marked else "",
        marked=rows_by_problem(practised.paper, marked) if marked else (),
        left_out=f"Left out, because the answer would be the sheet's own or does not follow the values: {'; '.join(left_out)}." if left_out else "",
    )  # fmt: skip


def _here(sheet: SheetView, visit: RequestContext) -> str:
    return f"/sheets/{sheet.name}/practice/{visit.path['problem']}"


def _new_seed() -> int:
    return secrets.randbelow(SEEDS)
