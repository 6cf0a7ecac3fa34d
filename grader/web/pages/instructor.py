"""The instructor's pages: sheets, students, closing and reopening."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from starlette.responses import RedirectResponse, Response

from grader.ideas.explain import explained
from grader.marking.beliefs import observations_of, predictions_of
from grader.reports.audit import audit_of, gather
from grader.reports.audit_places import places
from grader.reports.audit_records import Audit, AuditLine
from grader.reports.feedback import rows_by_problem
from grader.reports.wording import awaits_person
from grader.rubric.personal import personal_problems
from grader.run.given import without_layout
from grader.uploads.upload import Student
from grader.web.data.records import Decided, Request
from grader.web.pages import outcome
from grader.web.pages.render import render
from grader.web.rules import CLOSED, OPEN, accepting, counting
from grader.web.sheets import SheetView
from grader.web.site import AppState, Result
from grader.web.visit import Refused, RequestContext

SHOWN = {"": "all", "none": "nothing handed in", "open": "not done", "review": "waiting for you"}
"""Which students a sheet's page lists, by the word in the address."""


class Standing(NamedTuple):
    """Where a student stands at a sheet.

    ``done``: everything is right, or no attempt is left; ``waiting`` counts answers that wait for a person, ``asked``
    those among them that the student asks to look at again; ``late``: something was sent too late to count.
    """

    student: Student
    attempts: int
    kept: Result | None
    done: bool
    waiting: int
    asked: int
    late: bool

    @property
    def share(self) -> float:
        """Points earned of those possible."""
        return self.kept.total / self.kept.marked.possible if self.kept and self.kept.marked.possible else 0.0


def _standings(site: AppState, sheet: str) -> list[Standing]:
    results, found = all_results(site, sheet), []
    late = {one.student for one in site.store.late(sheet)}
    for student in site.roster.students:
        own = results.get(student.id, ())
        kept = counting(site.rules, own)
        all_right = kept is not None and kept.total >= kept.marked.possible
        used_up = site.rules.attempts is not None and len(own) >= site.rules.attempts
        waiting = to_review(site, own)
        asked = sum(
            (result.marked.marks[place].problem, result.marked.marks[place].item) in result.open
            for result, place in waiting
        )
        found.append(Standing(student, len(own), kept, all_right or used_up, len(waiting), asked, student.id in late))
    return found


def _counts(standings: Sequence[Standing]) -> dict[str, int]:
    """How many have handed in, are done, and what waits."""
    return {
        "students": len(standings),
        "handed_in": sum(one.attempts > 0 for one in standings),
        "done": sum(one.done for one in standings),
        "waiting": sum(one.waiting for one in standings),
        "asked": sum(one.asked for one in standings),
        "late": sum(one.late for one in standings),
    }


def dashboard(site: AppState, visit: RequestContext) -> Response:
    """List the sheets, with how far the class is."""
    rows = [
        {"sheet": sheet, "state": _state_text(site, sheet.name, visit), **_counts(_standings(site, sheet.name))}
        for sheet in site.sheets.values()
    ]
    return render(site, visit, "instructor_desk.html", rows=rows)


def sheet_page(site: AppState, visit: RequestContext) -> Response:
    """One sheet: its state, how far the class is and what it has not got, its students, what can be had of it."""
    sheet = site.sheet(visit.path["sheet"])
    standings = _standings(site, sheet.name)
    wanted = visit.query.get("show", "")
    tests: dict[str, Callable[[Standing], object]] = {
        "none": lambda one: not one.attempts, "open": lambda one: not one.done, "review": lambda one: one.waiting,
    }  # fmt: skip
    keep = tests.get(wanted)
    said = site.store.state(sheet.name)
    audit = class_audit(site, sheet)
    tenths = Counter(min(9, int(10 * one.share)) for one in standings if one.kept)
    return render(
        site, visit, "instructor_sheet.html",
        sheet=sheet,
        students=[one for one in standings if keep is None or keep(one)],
        wanted=wanted if keep else "",
        shown=SHOWN,
        own_dues=any(one.due for one in site.roster.students),
        counts=_counts(standings),
        tenths=[(f"{10 * tenth} to {10 * tenth + 10} %", tenths[tenth]) for tenth in range(10)],
        topics=audit.classes[0].cards if audit else (),
        asked=places(sheet.key.rubric),
        said=said,
        state=_state_text(site, sheet.name, visit),
        open=accepting(site.rules, said, visit.at),
        later=_later(site, sheet.name, visit),
        rules=outcome.rules_text(site.rules, site.local_time),
        reopen=visit.query.get("reopen", ""),
        late=_late(site, sheet.name, visit),
    )  # fmt: skip


def class_audit(site: AppState, sheet: SheetView) -> Audit | None:
    """The audit over the attempts that count now; None where there is none."""
    personal = personal_problems(sheet.key.rubric)
    by_student = {student: result.marked.marks for student, result in counting_results(site, sheet.name).items()}
    lines = [
        AuditLine(student, site.students[student].section, mark, personal=mark.problem in personal)
        for student, marks in by_student.items()
        for mark in marks
    ]
    if not lines:
        return None
    observations = {student: observations_of(marks) for student, marks in by_student.items()}
    return audit_of(
        {sheet.title: gather(lines, explained(observations, observations.__getitem__, predictions_of(sheet.key)))}
    )


def set_state(site: AppState, visit: RequestContext) -> Response:
    """Close or reopen a sheet, or leave it to the due time."""
    sheet = site.sheet(visit.path["sheet"])
    state = visit.form.text("state")
    if state not in {OPEN, CLOSED, ""}:
        raise Refused(422, "A sheet can be closed, reopened, or left to its due time.")
    before = site.store.state(sheet.name)
    reopens = accepting(site.rules, state, visit.at) and not accepting(site.rules, before, visit.at)
    if reopens and _late(site, sheet.name, visit) and visit.form.text("confirmed") != "yes":
        return RedirectResponse(f"/instructor/sheets/{sheet.name}?reopen={state or 'due'}", 303)
    site.store.set_state(sheet.name, state)
    return RedirectResponse(f"/instructor/sheets/{sheet.name}", 303)


def _late(site: AppState, sheet: str, visit: RequestContext) -> str:
    """What speaks against reopening a sheet now, in a sentence; "" where nothing does."""
    if site.answers_shown(sheet, visit.at):
        return "The reference answers can be seen now: whoever has an attempt left could hand in what they read there."
    if site.rules.due is not None and visit.at >= site.rules.due:
        return "The due time has passed: whoever has an attempt left could hand in late."
    return ""


def student_page(site: AppState, visit: RequestContext, *, fault: str = "", status: int = 200) -> Response:
    """All attempts of one student, where any answer may be decided; ``fault`` says why a decision was refused."""
    student = site.students.get(visit.path["student"])
    if student is None:
        raise Refused(404, "The roster has no such student.")
    sheet = site.sheet_of(visit.path["sheet"], student.id)
    results = site.results_of(sheet.name, student.id)
    kept = counting(site.rules, results)
    attempts = [
        {
            "id": result.attempt.id,
            "number": result.attempt.number,
            "at": result.at,
            "file": result.attempt.file,
            "result": outcome.result_text(result.marked),
            "counts": result is kept,
            "problems": rows_by_problem(sheet.paper, result.marked),
        }
        for result in results
    ]
    late = site.store.late(sheet.name, student.id)
    return render(
        site, visit, "instructor_student.html", status, sheet=sheet, student=student, attempts=attempts, late=late,
        fault=fault, typed=visit.form if fault else None, saved=bool(visit.query.get("saved")),
    )  # fmt: skip


def all_results(site: AppState, sheet: str) -> Mapping[str, tuple[Result, ...]]:
    """All attempts at a sheet with their marks, by student (those of the roster), oldest first."""
    decisions: dict[str, list[Decided]] = {}
    for decision in site.store.decisions(sheet):
        decisions.setdefault(decision.student, []).append(decision)
    found: dict[str, tuple[Result, ...]] = {}
    requests: dict[str, list[Request]] = {}
    for request in site.store.requests(sheet):
        requests.setdefault(request.student, []).append(request)
    for attempt in site.store.all_attempts(sheet):
        if attempt.student in site.students:
            own = site.results([attempt], decisions.get(attempt.student, ()), requests.get(attempt.student, ()))
            found[attempt.student] = (*found.get(attempt.student, ()), *own)
    return found


def counting_results(site: AppState, sheet: str) -> dict[str, Result]:
    """The attempt that counts, by student in order of id."""
    results = all_results(site, sheet)
    kept = {student: counting(site.rules, results[student]) for student in sorted(results)}
    return {student: one for student, one in kept.items() if one is not None}


def to_review(site: AppState, results: tuple[Result, ...]) -> tuple[tuple[Result, int], ...]:
    """The answers of one student that wait for a person: each result with the place of the mark in it.

    Where the best attempt counts, those wait that decisions may make the best; where the last counts, it alone matters.
    An answer given again in a later attempt is listed once.
    """
    best = max((result.total for result in results), default=0.0)
    looked_at = results[-1:]
    if site.rules.keep == "best":
        looked_at = tuple(result for result in results if result.open or _at_most(result) >= best)
    found: dict[tuple[str, str, str], tuple[Result, int]] = {}
    for result in looked_at:
        for place, mark in enumerate(result.marked.marks):
            if awaits_person(mark) or mark.place in result.open:
                found[mark.problem, mark.item, without_layout(mark.answer)] = (result, place)
    return tuple(found.values())


def _at_most(result: Result) -> float:
    """Points of an attempt if every answer that waits in it were decided in full."""
    return result.total + sum(mark.possible - mark.awarded for mark in result.marked.marks if awaits_person(mark))


def _later(site: AppState, sheet: str, visit: RequestContext) -> list[datetime]:
    """Students' own due times that are still to come, of a sheet that is over for the others."""
    if site.store.state(sheet) or accepting(site.rules, "", visit.at):
        return []
    return sorted(one.due for one in site.roster.students if one.due is not None and one.due > visit.at)


def _state_text(site: AppState, sheet: str, visit: RequestContext) -> str:
    said, later = site.store.state(sheet), _later(site, sheet, visit)
    if later:
        who = "1 student who has" if len(later) == 1 else f"{len(later)} students who have"
        until = site.local_time(later[-1])
        return f"The due time has passed. Still open for {who} a later due time, until {until}."
    words = {OPEN: "Open, as you said.", CLOSED: "Closed, as you said."}
    taking = accepting(site.rules, said, visit.at)
    return words.get(said, "Open." if taking else "Closed: the due time has passed.")
