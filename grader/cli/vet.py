"""``grader vet``: whether a rubric is sound, and the hand-worked key right."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from grader.problem import Rubric
    from grader.rubric.soundness import Remark

SUMMARY = "Check a rubric: every fault in it, and the hand-worked key against the solver."


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric."""
    parser.add_argument("rubric", metavar="RUBRIC", type=Path, help="rubric file (TOML)")
    parser.add_argument("--mistakes", action="store_true", help="list the mistakes that lead to a right answer, too")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write the remarks as a page with the drawings, too")
    parser.add_argument(
        "--watch",
        action="store_true",
        help="with --html: write the page anew at every save of the rubric, and show it at an address of this machine",
    )
    parser.add_argument("--strict", action="store_true", help="end with status 1 where something is worth a look")


def run(options: argparse.Namespace) -> int:
    """Print what is wrong, then what is worth a look; 0 if sound, 2 if something is wrong."""
    from grader.errors import UsageError
    from grader.reports.vetted import vetted_html
    from grader.reports.workbook import save
    from grader.rubric.files import load_rubric

    if options.watch:
        from grader.cli.watching import watched

        if options.html is None:
            raise UsageError("--watch shows a page; name its file, too: --html FILE --watch.")
        return watched(options.rubric, lambda: _page_or_faults(options), options.html)
    rubric = load_rubric(options.rubric)
    found = _vetted(rubric, mistakes=options.mistakes)
    for title, some in found.sections.items():
        print("\n".join([title, *(f"  {remark}" for remark in some)]))
    if found.hidden:
        print(found.hidden)
    print(found.summary)
    if options.html is not None:
        save(vetted_html(rubric, found.sections, found.summary), options.html)
    if found.wrong:
        return 2
    return 1 if found.remarks and options.strict else 0


class _Vetted(NamedTuple):
    """Remarks by heading, a word on what the items cannot show, and the last line."""

    sections: dict[str, list[Remark]]
    hidden: str
    summary: str
    wrong: int
    remarks: int


def _vetted(rubric: Rubric, *, mistakes: bool) -> _Vetted:
    from grader.marking.key import build_key
    from grader.marking.vetting import check_keys, hidden_mistakes, ideas_not_told_apart
    from grader.rubric.soundness import soundness

    key = build_key(rubric)
    remarks = [*soundness(rubric), *check_keys(key)]
    wrong = [remark for remark in remarks if remark.wrong]
    sections = {
        "Wrong:": wrong,
        "Worth a look:": [remark for remark in remarks if not remark.wrong],
    }
    hidden = hidden_mistakes(key)
    if mistakes:
        sections[
            "These ideas lead to the same wrong answers everywhere, so that nobody's sheet can tell which it was:"
        ] = [*ideas_not_told_apart(key)]
        sections["These common mistakes lead to the right answer, too, so that the item cannot show them:"] = [*hidden]
    items = "item" if len(hidden) == 1 else "items"
    told = f"{len(hidden)} {items} cannot show a common mistake that leads to the right answer, too; --mistakes lists them."
    return _Vetted(
        sections={title: some for title, some in sections.items() if some},
        hidden=told if hidden and not mistakes else "",
        summary=f"{rubric.name}: {_counted(rubric)}; {'sound' if not wrong else f'{len(wrong)} to mend'}.",
        wrong=len(wrong),
        remarks=len(remarks),
    )


def _page_or_faults(options: argparse.Namespace) -> str:
    from grader.errors import GraderError
    from grader.reports.vetted import faults_html, vetted_html
    from grader.rubric.files import load_rubric

    try:
        rubric = load_rubric(options.rubric)
        found = _vetted(rubric, mistakes=options.mistakes)
        return vetted_html(rubric, found.sections, found.summary)
    except GraderError as error:
        return faults_html(options.rubric.name, str(error).splitlines())


def _counted(rubric: Rubric) -> str:
    """``2 problems, 12 items, 24 points, 3 keys``."""
    items = [item for problem in rubric.problems for item in problem.items]
    keyed = sum(item.key is not None for item in items)
    points = sum(item.points for item in items)
    counts = ((len(rubric.problems), "problem"), (len(items), "item"), (points, "point"), (keyed, "key"))
    return ", ".join(f"{count:g} {word}{'' if count == 1 else 's'}" for count, word in counts)
