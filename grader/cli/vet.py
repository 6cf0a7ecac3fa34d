"""``grader vet``: whether a rubric is sound, and the hand-worked key right."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from grader.problem import Rubric

SUMMARY = "Check a rubric: every fault in it, and the hand-worked key against the solver."


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric."""
    parser.add_argument("rubric", metavar="RUBRIC", type=Path, help="rubric file (TOML)")
    parser.add_argument("--mistakes", action="store_true", help="list the mistakes that lead to a right answer, too")
    parser.add_argument("--strict", action="store_true", help="end with status 1 where something is worth a look")


def run(options: argparse.Namespace) -> int:
    """Print what is wrong, then what is worth a look; 0 if sound, 2 if something is wrong."""
    from grader.marking.key import build_key
    from grader.marking.vetting import check_keys, hidden_mistakes, ideas_not_told_apart
    from grader.rubric.files import load_rubric
    from grader.rubric.soundness import soundness

    rubric = load_rubric(options.rubric)
    key = build_key(rubric)
    remarks = [*soundness(rubric), *check_keys(key)]
    wrong = [remark for remark in remarks if remark.wrong]
    sections = {
        "Wrong:": wrong,
        "Worth a look:": [remark for remark in remarks if not remark.wrong],
    }
    hidden = hidden_mistakes(key)
    if options.mistakes:
        sections[
            "These ideas lead to the same wrong answers everywhere, so that nobody's sheet can tell which it was:"
        ] = [*ideas_not_told_apart(key)]
        sections["These common mistakes lead to the right answer, too, so that the item cannot show them:"] = [*hidden]
    for title, some in sections.items():
        if some:
            print("\n".join([title, *(f"  {remark}" for remark in some)]))
    if hidden and not options.mistakes:
        items = "item" if len(hidden) == 1 else "items"
        print(
            f"{len(hidden)} {items} cannot show a common mistake that leads to the right answer, too; "
            "--mistakes lists them."
        )
    print(f"{rubric.name}: {_counted(rubric)}; {'sound' if not wrong else f'{len(wrong)} to mend'}.")
    if wrong:
        return 2
    return 1 if remarks and options.strict else 0


def _counted(rubric: Rubric) -> str:
    """``2 problems, 12 items, 24 points, 3 keys``."""
    items = [item for problem in rubric.problems for item in problem.items]
    keyed = sum(item.key is not None for item in items)
    points = sum(item.points for item in items)
    counts = ((len(rubric.problems), "problem"), (len(items), "item"), (points, "point"), (keyed, "key"))
    return ", ".join(f"{count:g} {word}{'' if count == 1 else 's'}" for count, word in counts)
