"""The instructor's pages: sheets, students, closing and reopening."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.responses import RedirectResponse, Response

from grader.reports.feedback import rows_by_problem
from grader.web.data.records import Decided
from grader.web.pages import outcome
from grader.web.pages.render import render
from grader.web.rules import CLOSED, OPEN, accepting, counting
from grader.web.site import AppState, Result
from grader.web.visit import Refused, RequestContext


def dashboard(site: AppState, visit: RequestContext) -> Response:
    """List the sheets."""
    rows = []
    for sheet in site.sheets.values():
        results = all_results(site, sheet.name)
        rows.append(
            {
                "sheet": sheet,
                "state": _state_text(site, sheet.name, visit),
                "students": len(results),
                "attempts": sum(len(own) for own in results.values()),
                "review": sum(len(to_review(site, own)) for own in results.values()),
            }
        )
    return render(site, visit, "instructor_desk.html", rows=rows)


def sheet_page(site: AppState, visit: RequestContext) -> Response:
    """One sheet: its state, its students, what can be had of it."""
    sheet = site.sheet(visit.path["sheet"])
    results = all_results(site, sheet.name)
    students = []
    for student in site.roster.students:
        own = results.get(student.id, ())
        kept = counting(site.rules, own)
        students.append(
            {
                "student": student,
                "attempts": len(own),
                "points": outcome.result_text(kept.marked) if kept else "–",
                "review": len(to_review(site, own)),
            }
        )
    said = site.store.state(sheet.name)
    return render(
        site, visit, "instructor_sheet.html",
        sheet=sheet,
        students=students,
        said=said,
        state=_state_text(site, sheet.name, visit),
        open=accepting(site.rules, said, visit.at),
        rules=outcome.rules_text(site.rules, site.local_time),
        review=sum(len(to_review(site, own)) for own in results.values()),
    )  # fmt: skip


def set_state(site: AppState, visit: RequestContext) -> Response:
    """Close or reopen a sheet, or leave it to the due time."""
    sheet = site.sheet(visit.path["sheet"])
    state = visit.form.text("state")
    if state not in {OPEN, CLOSED, ""}:
        raise Refused(422, "A sheet can be closed, reopened, or left to its due time.")
    site.store.set_state(sheet.name, state)
    return RedirectResponse(f"/instructor/sheets/{sheet.name}", 303)


def student_page(site: AppState, visit: RequestContext) -> Response:
    """All attempts of one student."""
    student = site.students.get(visit.path["student"])
    if student is None:
        raise Refused(404, "The roster has no such student.")
    sheet = site.sheet_of(visit.path["sheet"], student.id)
    results = site.results_of(sheet.name, student.id)
    kept = counting(site.rules, results)
    attempts = [
        {
            "number": result.attempt.number,
            "at": result.at,
            "file": result.attempt.file,
            "result": outcome.result_text(result.marked),
            "counts": result is kept,
            "problems": rows_by_problem(sheet.paper, result.marked),
        }
        for result in results
    ]
    return render(site, visit, "instructor_student.html", sheet=sheet, student=student, attempts=attempts)


def all_results(site: AppState, sheet: str) -> Mapping[str, tuple[Result, ...]]:
    """All attempts at a sheet with their marks, by student (those of the roster), oldest first."""
    decisions: dict[str, list[Decided]] = {}
    for decision in site.store.decisions(sheet):
        decisions.setdefault(decision.student, []).append(decision)
    found: dict[str, tuple[Result, ...]] = {}
    for attempt in site.store.all_attempts(sheet):
        if attempt.student in site.students:
            own = site.results([attempt], decisions.get(attempt.student, ()))
            found[attempt.student] = (*found.get(attempt.student, ()), *own)
    return found


def counting_results(site: AppState, sheet: str) -> dict[str, Result]:
    """The attempt that counts, by student in order of id."""
    results = all_results(site, sheet)
    kept = {student: counting(site.rules, results[student]) for student in sorted(results)}
    return {student: one for student, one in kept.items() if one is not None}


def to_review(site: AppState, results: tuple[Result, ...]) -> tuple[tuple[Result, int], ...]:
    """The answers of one student that wait for a person: each result with the place of the mark in it.

    Where the best attempt counts, a decision may make any of them the best; where the last counts, it alone matters.
    An answer given again in a later attempt is listed once.
    """
    looked_at = results if site.rules.keep == "best" else results[-1:]
    found: dict[tuple[str, str, str], tuple[Result, int]] = {}
    for result in looked_at:
        for place, mark in enumerate(result.marked.marks):
            if mark.review and not mark.decision:
                found[mark.problem, mark.item, mark.answer] = (result, place)
    return tuple(found.values())


def _state_text(site: AppState, sheet: str, visit: RequestContext) -> str:
    said = site.store.state(sheet)
    words = {OPEN: "Open, as you said.", CLOSED: "Closed, as you said."}
    taking = accepting(site.rules, said, visit.at)
    return words.get(said, "Open." if taking else "Closed: the due time has passed.")
