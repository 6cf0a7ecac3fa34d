"""The student's pages: the sheets, what came out of an attempt, and at last the reference answers."""

from starlette.responses import RedirectResponse, Response

from grader.reports.feedback import look_at_first, rows_by_problem
from grader.reports.worked import own_solution
from grader.web.data.records import Request
from grader.web.pages import outcome
from grader.web.pages.render import render, report_page
from grader.web.pages.sheet_view import last_sent, show_sheet
from grader.web.rules import counting, standing
from grader.web.sheets import SheetView
from grader.web.site import AppState, Result
from grader.web.visit import Refused, RequestContext

SENTENCE_CHARS = 300
"""Longest reason for looking again."""


def home(site: AppState, visit: RequestContext) -> Response:
    """List the sheets; where there is but one, go there."""
    if len(site.sheets) == 1:
        return RedirectResponse(f"/sheets/{next(iter(site.sheets))}", 303)
    rules = site.rules_for(visit.person)
    rows = [
        {
            "sheet": sheet,
            "made": outcome.made_text(rules, len(results), over=now.over),
            "decided": outcome.decided_text(results),
            "refusal": now.refusal,
        }
        for name, sheet in site.sheets.items()
        for results in [site.results_of(name, visit.person)]
        for now in [standing(rules, site.store.state(name), visit.at, results)]
    ]
    return render(site, visit, "home.html", rows=rows, rules=outcome.rules_text(rules, site.local_time))


def sheet_page(site: AppState, visit: RequestContext) -> Response:
    """Show a sheet, with the answers of the last attempt to go on from."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    return show_sheet(site, visit, sheet, last_sent(site, visit, sheet))


def attempt_page(site: AppState, visit: RequestContext) -> Response:
    """What came out of one of the student's own attempts."""
    sheet, results, result = _own_result(site, visit)
    kept = counting(site.rules, results)
    before = next((one for one in reversed(results) if one.attempt.number < result.attempt.number), None)
    rules = site.rules_for(visit.person)
    refusal = standing(rules, site.store.state(sheet.name), visit.at, results).refusal
    return render(
        site, visit, "attempt.html",
        sheet=sheet,
        result=result,
        points=outcome.result_text(result.marked),
        made=outcome.made_text(rules, len(results), over=bool(refusal)),
        counts=outcome.counts_text(result.attempt, kept.attempt if kept else None),
        may_ask=kept is result,
        refusal=refusal,
        problems=rows_by_problem(sheet.paper, result.marked),
        first=look_at_first(result.marked),
        labels={one.place: one.label for one in sheet.fields},
        changes=outcome.changes(result.marked, before.marked) if before else {},
        before=before.attempt.number if before else 0,
    )  # fmt: skip


def look_again(site: AppState, visit: RequestContext) -> Response:
    """Take a student's request to look again at one answer of the attempt that counts."""
    sheet, results, result = _own_result(site, visit)
    place = (visit.form.text("problem"), visit.form.text("item"))
    mark = next((mark for mark in result.marked.marks if mark.place == place), None)
    if mark is None or mark.awarded >= mark.possible or place in result.asked:
        raise Refused(409, "This mark cannot be asked about, or you have asked about it already.")
    if counting(site.rules, results) is not result:
        raise Refused(409, "Only an attempt that counts can be asked about.")
    sentence = visit.form.text("sentence")
    if not 0 < len(sentence) <= SENTENCE_CHARS:
        raise Refused(422, f"Say why the mark is wrong, in one sentence of at most {SENTENCE_CHARS} characters.")
    site.take_turn("again", visit.person, "You have asked several times just now.")
    site.store.ask(
        Request(
            sheet=sheet.name, student=visit.person, problem=mark.problem, item=mark.item, answer=mark.answer,
            sentence=sentence, at=visit.at,
        )
    )  # fmt: skip
    return RedirectResponse(f"/attempts/{result.attempt.id}", 303)


def _own_result(site: AppState, visit: RequestContext) -> tuple[SheetView, tuple[Result, ...], Result]:
    """The sheet, all results of the student at it, and the one that the address names."""
    attempt = site.store.attempt(visit.path["attempt"], visit.person)
    if attempt is None or attempt.sheet not in site.sheets:
        raise Refused(404, "You have made no such attempt.")
    results = site.results_of(attempt.sheet, visit.person)
    named = next(result for result in results if result.attempt.id == attempt.id)
    return site.sheet_of(attempt.sheet, visit.person), results, named


def answers_page(site: AppState, visit: RequestContext) -> Response:
    """Reference answers and worked solution, once nobody can make an attempt any more."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    if not site.answers_shown(sheet.name, visit.at):
        raise Refused(403, "The reference answers are shown when the sheet is closed and its due time has passed.")
    kept = counting(site.rules, site.results_of(sheet.name, visit.person))
    about, marks = (kept.attempt.id, kept.marked.marks) if kept else ("", ())
    page = site.solutions.made(
        f"{sheet.digest} {visit.person} {about}", lambda: own_solution(sheet.key, visit.person, marks)
    )
    return report_page(page, f"/sheets/{sheet.name}", sheet.title)
