"""``grader vet``: whether a rubric is sound, and the hand-worked key right."""

import argparse
from typing import NamedTuple

from grader.cli.watching import watched
from grader.marking.ends import check_ends
from grader.marking.key import build_key
from grader.marking.vetting import check_keys, hidden_mistakes, ideas_not_told_apart
from grader.problem import Rubric
from grader.reports.vetted import vetted_html
from grader.reports.workbook import save
from grader.rubric.files import load_rubric
from grader.rubric.soundness import Remark, soundness


def run(options: argparse.Namespace) -> int:
    """Print what is wrong, then what is worth a look; 0 if sound, 2 if something is wrong."""
    if options.watch:
        return watched(options, lambda: _page(_vetted(options)))
    found = _vetted(options)
    for title, some in found.sections.items():
        print("\n".join([title, *(f"  {remark}" for remark in some)]))
    if found.hidden:
        print(found.hidden)
    print(found.summary)
    if options.html is not None:
        save(_page(found), options.html)
    if found.wrong:
        return 2
    return 1 if found.remarks and options.strict else 0


class _Vetted(NamedTuple):
    """The rubric, remarks by heading, a word on what the items cannot show, and the last line."""

    rubric: Rubric
    sections: dict[str, list[Remark]]
    hidden: str
    summary: str
    wrong: int
    remarks: int


def _vetted(options: argparse.Namespace) -> _Vetted:
    rubric = load_rubric(options.rubric)
    key = build_key(rubric)
    remarks = [*soundness(rubric), *check_keys(key), *check_ends(key)]
    wrong = [remark for remark in remarks if remark.wrong]
    sections = {
        "Wrong:": wrong,
        "Worth a look:": [remark for remark in remarks if not remark.wrong],
    }
    hidden = hidden_mistakes(key)
    if options.mistakes:
        sections[
            "Two students who hold two of these ideas write the same wrong answers, so that no sheet tells which idea it was:"
        ] = [*ideas_not_told_apart(key)]
        sections[
            "Whoever makes one of these common mistakes still gets this item right, so that it does not show the mistake:"
        ] = [*hidden]
    told = (
        "A common mistake leads to the right answer here, so that a right answer does not show whether it was made: "
        f"{', '.join(one.where for one in hidden)} (--mistakes says which)."
    )
    return _Vetted(
        rubric=rubric,
        sections={title: some for title, some in sections.items() if some},
        hidden=told if hidden and not options.mistakes else "",
        summary=f"{rubric.name}: {_counted(rubric)}; {'sound' if not wrong else f'{len(wrong)} to mend'}.",
        wrong=len(wrong),
        remarks=len(remarks),
    )


def _page(found: _Vetted) -> str:
    return vetted_html(found.rubric, found.sections, found.summary)


def _counted(rubric: Rubric) -> str:
    """``2 problems, 12 items, 24 points, 3 keys``."""
    items = [item for problem in rubric.problems for item in problem.items]
    keyed = sum(item.key is not None for item in items)
    points = sum(item.points for item in items)
    counts = ((len(rubric.problems), "problem"), (len(items), "item"), (points, "point"), (keyed, "key"))
    return ", ".join(f"{count:g} {word}{'' if count == 1 else 's'}" for count, word in counts)
