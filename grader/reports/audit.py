"""The audit of a class: what it got wrong, and how.  The door to the other ``audit_…`` files of this room."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from grader.errors import UsageError
from grader.problem import Rubric
from grader.reports.audit_gather import Gathered, gather
from grader.reports.audit_ideas import idea_courses
from grader.reports.audit_lines import read_lines
from grader.reports.audit_page import audit_html, prepare
from grader.reports.audit_places import RUBRIC, kept_rubric
from grader.reports.audit_records import Audit
from grader.reports.audit_workbook import audit_xlsx
from grader.reports.explained import read_explanations


def audit(results_dirs: Sequence[Path]) -> Audit:
    """Gather the figures of one or several results folders, in the order given.

    Raises
    ------
    UsageError
        If a folder holds no marks, or none is given.
    """
    if not results_dirs:
        raise UsageError("No results folder was given; name at least one that 'grader grade' wrote.")
    named = zip(_names(results_dirs, _rubrics(results_dirs)), results_dirs, strict=True)
    return audit_of({name: gather(read_lines(folder), read_explanations(folder)) for name, folder in named})


def kept_rubrics(results_dirs: Sequence[Path]) -> dict[str, Rubric]:
    """The rubrics that the marks of the folders follow, by the names of the folders; those that are there."""
    rubrics = _rubrics(results_dirs)
    kept = zip(_names(results_dirs, rubrics), rubrics, strict=True)
    return {name: rubric for name, rubric in kept if rubric is not None}


def _rubrics(folders: Sequence[Path]) -> list[Rubric | None]:
    return [kept_rubric(folder) for folder in folders]


def audit_of(gathered: Mapping[str, Gathered]) -> Audit:
    """The figures of one or several classes, by name, in the order given."""
    classes = tuple(one.figures(name) for name, one in gathered.items())
    return Audit(classes=classes, courses=idea_courses(classes) if len(classes) > 1 else ())


def _names(folders: Sequence[Path], rubrics: Sequence[Rubric | None]) -> tuple[str, ...]:
    """What folders are called: by the titles of their rubrics, where they are several, else by their own names.

    Where two titles are the same the folder stands behind, where two folders are, the one above in front.
    """
    short = [folder.resolve().name for folder in folders]
    own = [
        name if short.count(name) == 1 else f"{folder.resolve().parent.name}/{name}"
        for name, folder in zip(short, folders, strict=True)
    ]
    titles = [rubric.title if rubric is not None else "" for rubric in rubrics]
    if len(folders) == 1:
        return tuple(own)
    return tuple(
        name if not title else title if titles.count(title) == 1 else f"{title} ({name})"
        for name, title in zip(own, titles, strict=True)
    )


__all__ = ["RUBRIC", "Gathered", "audit", "audit_html", "audit_of", "audit_xlsx", "gather", "kept_rubrics", "prepare"]
