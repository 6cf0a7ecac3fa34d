"""The review list: answers that a person must look at, decided here with a reason."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias
from urllib.parse import quote

from msgspec import Struct
from starlette.responses import RedirectResponse, Response

from grader.marking.classmates import TO_EVERY_DIGIT
from grader.marking.marks import Mark
from grader.quantities.records import PERSON
from grader.quantities.rules import Rule
from grader.reports.paper import PaperItem
from grader.reports.wording import as_said, points_text
from grader.uploads.content.numbers import finite
from grader.web.data.records import Decided, OnAnswer
from grader.web.pages.instructor import all_results, student_page, to_review
from grader.web.pages.render import render
from grader.web.rules import counting
from grader.web.site import AppState, Result
from grader.web.visit import RequestContext

REASON_CHARS = 500


class ReviewEntry(Struct, frozen=True, kw_only=True):
    """An answer that waits; ``attempt`` and ``number`` are of the attempt it stands in, ``sentence`` why to look again.

    ``beside`` are the marks of its neighbours and of what it follows from; ``counts`` says what counts in place of its attempt,
    "" where that does.
    """

    student: str
    attempt: str
    number: int
    working: str
    reference: str
    item: PaperItem
    mark: Mark
    beside: tuple[Mark, ...]
    sentence: str
    counts: str

    @property
    def said(self) -> tuple[object, ...]:
        """What answers have in common that are decided together: they were read and marked alike, and are asked alike."""
        mark = self.mark
        came_out = (mark.awarded, mark.possible, mark.verdict, mark.reasons, mark.notes)
        return (
            mark.problem,
            mark.item,
            as_said(mark.verdict, mark.reading or mark.answer),
            came_out,
            self.reference,
            self.sentence,
        )


Entries: TypeAlias = tuple[ReviewEntry, ...]
"""Answers that are shown as one, and decided together."""


def review_page(site: AppState, visit: RequestContext) -> Response:
    """The answers that wait, and the decisions made."""
    return _show(site, visit, saved="The decision is kept." if visit.query.get("saved") else "")


def decide(site: AppState, visit: RequestContext) -> Response:
    """Keep a decision on one answer, and on all that were read and marked alike."""
    sheet = site.sheet(visit.path["sheet"])
    student = visit.form.text("student")
    mark, fault, status = _decision_on(site, visit, student)
    if mark is None or fault:
        return _show(site, visit, fault=fault, status=status)
    named = (student, mark.problem, mark.item, mark.answer)
    waiting = _waiting(site, all_results(site, sheet.name))
    alike = next((found for group in waiting if named in (found := [_place(one) for one in group])), [named])
    _keep(site, visit, alike)
    return RedirectResponse(f"/instructor/sheets/{sheet.name}/review?saved=1", 303)


def decide_one(site: AppState, visit: RequestContext) -> Response:
    """Keep, change or take back a decision on one answer of one student, whether it waits or not."""
    sheet, student = visit.path["sheet"], visit.path["student"]
    mark, fault, status = _decision_on(site, visit, student)
    if mark is None or fault:
        return student_page(site, visit, fault=fault, status=status)
    if _takes_back(visit):
        on = OnAnswer(
            sheet=sheet, student=student, problem=mark.problem, item=mark.item, answer=mark.answer, at=visit.at
        )
        site.store.take_back(on)
    else:
        _keep(site, visit, [(student, mark.problem, mark.item, mark.answer)])
    return RedirectResponse(f"/instructor/sheets/{sheet}/students/{quote(student)}?saved=1", 303)


def _takes_back(visit: RequestContext) -> bool:
    return visit.form.text("do") == "back"


def _decision_on(site: AppState, visit: RequestContext, student: str) -> tuple[Mark | None, str, int]:
    """The mark that a form decides on; what is wrong with the decision, in a sentence, with the status to answer with."""
    form, mark = visit.form, _mark_meant(site, visit, student)
    if mark is None:
        return None, "That answer is not there any more; nothing was decided.", 409
    points = finite(form.text("points").replace(",", "."))
    if _takes_back(visit):
        return mark, "", 200
    if points is None or not 0 <= points <= mark.possible:
        return mark, f"Points must be a number from 0 to {points_text(mark.possible)}; nothing was decided.", 422
    return mark, "" if form.text("reason") else "A decision needs a reason; nothing was decided.", 422


def _keep(site: AppState, visit: RequestContext, on: Iterable[tuple[str, str, str, str]]) -> None:
    points, reason = float(visit.form.text("points").replace(",", ".")), visit.form.text("reason")[:REASON_CHARS]
    site.store.decide(
        *(
            Decided(
                sheet=visit.path["sheet"], student=student, problem=problem, item=item, answer=answer,
                points=points, reason=reason, at=visit.at,
            )
            for student, problem, item, answer in on
        )
    )  # fmt: skip


def _place(entry: ReviewEntry) -> tuple[str, str, str, str]:
    return entry.student, entry.mark.problem, entry.mark.item, entry.mark.answer


def _mark_meant(site: AppState, visit: RequestContext, student: str) -> Mark | None:
    """The mark of a student that a form names by attempt, problem and item."""
    form = visit.form
    attempt = site.store.attempt(form.text("attempt"), student)
    if attempt is None or attempt.sheet != visit.path["sheet"]:
        return None
    (result,) = site.results([attempt], ())
    named = (form.text("problem"), form.text("item"))
    return next((mark for mark in result.marked.marks if mark.place == named), None)


def _show(site: AppState, visit: RequestContext, *, fault: str = "", saved: str = "", status: int = 200) -> Response:
    sheet = site.sheet(visit.path["sheet"])
    results = all_results(site, sheet.name)
    return render(
        site, visit, "instructor_review.html", status, sheet=sheet, waiting=_waiting(site, results), fault=fault,
        saved=saved, typed=visit.form if fault else None, decided=site.store.decisions(sheet.name),
        elsewhere=list(_elsewhere(results)),
    )  # fmt: skip


def _waiting(site: AppState, results: Mapping[str, Sequence[Result]]) -> list[Entries]:
    """The answers that wait, those together that were read and marked alike."""
    alike: dict[tuple[object, ...], list[ReviewEntry]] = {}
    for student in sorted(results):
        for result, place in to_review(site, tuple(results[student])):
            entry = _entry(site, result, result.marked.marks[place], counting(site.rules, results[student]))
            alike.setdefault(entry.said, []).append(entry)
    return [tuple(entries) for entries in alike.values()]


def _elsewhere(results: Mapping[str, Sequence[Result]]) -> Iterator[tuple[Result, Mark, str]]:
    """Answers that are right with values which are not the student's own, each with its note."""
    for student in sorted(results):
        for result in results[student]:
            for mark in result.marked.marks:
                yield from ((result, mark, note) for note in mark.notes if note.startswith(TO_EVERY_DIGIT))


def _entry(site: AppState, result: Result, mark: Mark, kept: Result | None) -> ReviewEntry:
    attempt = result.attempt
    sheet = site.sheet_of(attempt.sheet, attempt.student)
    items = {(problem.id, item.id): item for problem in sheet.paper.problems for item in problem.items}
    place = mark.place
    reference = sheet.key.item(*place).reference
    return ReviewEntry(
        student=attempt.student,
        attempt=attempt.id,
        number=attempt.number,
        working=next((one.working for one in attempt.answers if one.place == place), ""),
        reference="" if reference.kind == PERSON else reference.text,
        item=items[place],
        mark=mark,
        beside=_beside(result, place, reference.rules),
        sentence=result.asked[place].sentence if place in result.open else "",
        counts="" if kept is None or kept is result else _counts(result, kept),
    )


def _counts(result: Result, kept: Result) -> str:
    """What counts at present in place of an attempt."""
    own, other = points_text(result.total), points_text(kept.total)
    return f"Attempt {kept.attempt.number} counts, with {other} points; attempt {result.attempt.number} has {own}."


def _beside(result: Result, place: tuple[str, str], rules: tuple[Rule, ...]) -> tuple[Mark, ...]:
    """The answered items of the same problem that tell more: its neighbours, in case a row slipped, and what it follows from."""
    own = [mark for mark in result.marked.marks if mark.problem == place[0]]
    index = next(number for number, mark in enumerate(own) if mark.item == place[1])
    leads = rules[0].items if rules else ()
    return tuple(
        mark
        for number, mark in enumerate(own)
        if mark.answer and (abs(number - index) == 1 or (mark.item in leads and number != index))
    )
