"""``grader solve``: the reference answers of a rubric, with the worked solution."""

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from grader.circuit.response import solve
from grader.cli.lines import fitted
from grader.cli.sheet import made_folder, own_rubrics
from grader.cli.watching import watched
from grader.errors import UsageError
from grader.problem import Problem, Rubric
from grader.reports.drawing.labels import tidy
from grader.reports.solution_steps import solution_steps
from grader.reports.vetted import faults_html
from grader.reports.workbook import save
from grader.reports.worked import worked_html
from grader.rubric.files import load_rubric
from grader.rubric.personal import personal_rubric, ranges
from grader.rubric.references import Reference, Unanswered, answered, references
from grader.rubric.table import nearest
from grader.run.personal import secret_for
from grader.run.storage.folder import file_name
from grader.solution import prose_text
from grader.uploads.roster import load_roster
from grader.values.waveform import Waveform, number_of


def run(options: argparse.Namespace) -> int:
    """Print the answers; 2 where something has none."""
    if (options.roster is None) != (options.output is None):
        raise UsageError(
            "--roster FILE and -o FOLDER go together: the students, and where their solutions are written."
        )
    if options.roster is not None:
        return _solutions(load_rubric(options.rubric), options.roster, options.output, options.secret)
    if options.watch:
        return watched(options, lambda: _watched_page(options))
    rubric = _asked(options)
    found, missing = answered(rubric)
    if options.html is not None:
        save(_page(rubric, found, missing), options.html)
    if options.json:
        print(json.dumps(as_json(rubric, found, missing), ensure_ascii=False, indent=2))
    else:
        lines = as_text(rubric, found, missing, options.student)
        print("\n".join(fitted(lines) if sys.stdout.isatty() else lines))
    return 2 if missing else 0


def _solutions(rubric: Rubric, roster: Path, folder: Path, secret_file: Path | None) -> int:
    """Write every student's worked solution, with their own values."""
    students = [student.id for student in load_roster(roster).students]
    rubrics = own_rubrics(rubric, students, secret_for(rubric, secret_file))
    made_folder(folder)
    for student, own in rubrics.items():
        save(worked_html(own, references(own), student), folder / f"{file_name(student)}.html")
    print(f"{folder}: {len(students)} worked solutions (.html), not for students before the due time.")
    return 0


def _asked(options: argparse.Namespace) -> Rubric:
    """The rubric, with one student's values and cut down to one problem where these are named."""
    return chosen(_own(load_rubric(options.rubric), options.student, options.secret), options.problem)


def _page(rubric: Rubric, found: Sequence[Reference], missing: Sequence[Unanswered]) -> str:
    """The worked solution of the problems that have one."""
    whole = {one.problem for one in missing if not one.item}
    return worked_html(replace(rubric, problems=tuple(p for p in rubric.problems if p.id not in whole)), found)


def _watched_page(options: argparse.Namespace) -> str:
    """The page of the rubric as it is now, where every item has an answer; else what is in the way."""
    rubric = _asked(options)
    found, missing = answered(rubric)
    if missing:
        return faults_html(options.rubric.name, [f"{one.problem}.{one.item}: {one.sentence}" for one in missing])
    return _page(rubric, found, missing)


def _own(rubric: Rubric, student: str | None, secret_file: Path | None) -> Rubric:
    """The rubric with one student's values, where one is named."""
    if student is None:
        if secret_file is not None:
            raise UsageError("--secret is for one student's values; add --student ID, as it stands on the roster.")
        return rubric
    secret = secret_for(rubric, secret_file)
    return rubric if secret is None else personal_rubric(rubric, student, secret)


def chosen(rubric: Rubric, id: str | None) -> Rubric:
    """The rubric, cut down to one problem where one is named."""
    if id is None:
        return rubric
    chosen = tuple(problem for problem in rubric.problems if problem.id == id)
    if not chosen:
        hint = nearest(id, [problem.id for problem in rubric.problems])
        raise UsageError(f"{rubric.name} has no problem '{id}'{hint}.")
    return replace(rubric, problems=chosen)


def as_json(rubric: Rubric, found: Sequence[Reference], missing: Sequence[Unanswered] = ()) -> dict[str, Any]:
    """The answers as plain data: values in SI base units without prefix, None where the answer is no single number.

    Where there is no answer, ``error`` says why.
    """
    by_item = {reference.place: _item_json(reference) for reference in found}
    whole = {one.problem: one.sentence for one in missing if not one.item}
    none = {(one.problem, one.item): {"id": one.item, "error": one.sentence} for one in missing}
    return {
        "problems": [
            {"id": problem.id, "error": whole[problem.id], "items": []}
            if problem.id in whole
            else {"id": problem.id, "items": [(by_item | none)[problem.id, item.id] for item in problem.items]}
            for problem in rubric.problems
        ]
    }


def _item_json(reference: Reference) -> dict[str, Any]:
    return {
        "id": reference.item,
        "find": reference.find,
        "value": _value(reference),
        "unit": reference.unit.removesuffix("%"),
        "text": reference.text,
        "exact": reference.exact,
    }


def _value(reference: Reference) -> float | None:
    answer = reference.answer
    if reference.kind != "value" or not isinstance(answer, Waveform) or answer.is_symbolic:
        return None
    return float(number_of(answer))


def as_text(
    rubric: Rubric, found: Sequence[Reference], missing: Sequence[Unanswered] = (), student: str | None = None
) -> Iterator[str]:
    """The answers problem by problem, each line as on the answer sheet, then how they are found.

    Where there is no answer its place says why; where a student is named, the values that the answers are for stand
    above them.
    """
    by_item = {reference.place: reference for reference in found}
    why = {(one.problem, one.item): one.sentence for one in missing}

    yield f"{rubric.title}{f' ({rubric.course})' if rubric.course else ''}"
    for problem in rubric.problems:
        yield ""
        yield f"{problem.id}: {problem.title}" if problem.title else problem.id
        if ranges(problem):
            yield "  Values are personal; these answers are for the middle ones (--student ID shows a student's own)."
        elif student is not None and problem.values:
            yield f"  {student}: {', '.join(f'{name} = {tidy(text)}' for name, text in problem.values)}"
        if (problem.id, "") in why:
            yield f"  Not solved: {why[problem.id, '']}"
            continue
        width = max(len(item.id) for item in problem.items)
        for item in problem.items:
            yield f"  {item.id:<{width}}  {item.text}"
            if (problem.id, item.id) in why:
                yield f"  {'':<{width}}  No answer: {why[problem.id, item.id]}"
                continue
            reference = by_item[problem.id, item.id]
            note = f"    ({reference.note})" if reference.note else ""
            yield f"  {'':<{width}}  = {reference.text}{note}"
        yield from _worked(problem, found)


def _worked(problem: Problem, found: Sequence[Reference]) -> Iterator[str]:
    """The worked solution of a problem."""
    steps = solution_steps(problem, None if problem.circuit is None else solve(problem.circuit), found)
    for number, step in enumerate(steps, start=1):
        yield ""
        yield f"  {number}. {prose_text(step.heading)}"
        yield from (f"     {prose_text(sentence)}" for sentence in step.sentences)
        for line in step.lines:
            equation = " = ".join(side.text for side in line.chain)
            yield f"       {f'{line.label}: ' if line.label else ''}{equation}"
        if step.conclusion:
            yield f"     {prose_text(step.conclusion)}"
