"""``grader vary``: other values for a problem, written as a rubric."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from grader.authoring.vary import Proposal

SUMMARY = "Propose other values for a problem, with clean answers, and mistakes further apart than the tolerance; written as a rubric."


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the problem, the ranges, how many, and where to write."""
    parser.add_argument("rubric", metavar="RUBRIC", type=Path, help="rubric file (TOML)")
    parser.add_argument("problem", metavar="PROBLEM", help="id of the problem")
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path, required=True, help="the rubric to be written (.toml)"
    )
    parser.add_argument(
        "--range",
        metavar="NAME=RANGE",
        action="append",
        default=[],
        help='values that an element may take, as in "R1=1 kohm … 10 kohm, E6" or "Vs=12 V … 48 V, step 4 V"; '
        "preferred values from half to twice its own unless given; may be repeated",
    )
    parser.add_argument(
        "--count",
        metavar="N",
        type=int,
        choices=range(1, 21),
        default=3,
        help="how many proposals (default: %(default)s)",
    )
    parser.add_argument("--seed", metavar="N", type=int, default=0, help="another number gives other proposals")


def run(options: argparse.Namespace) -> int:
    """Write the proposals, and print each with its answers; 2 where there is none."""
    from grader.authoring.vary import proposals
    from grader.authoring.written import written_rubric
    from grader.cli.solve import chosen
    from grader.errors import UsageError
    from grader.reports.workbook import save
    from grader.rubric.files import load_rubric, load_tables

    rubric = load_rubric(options.rubric)
    (problem,) = chosen(rubric, options.problem).problems
    if options.output.suffix.lower() != ".toml" or options.output.resolve() == options.rubric.resolve():
        raise UsageError("-o FILE: name a new file that ends in .toml; the rubric itself is left as it is.")
    tables = load_tables(options.rubric)
    found = proposals(rubric, tables, problem.id, _ranges(options.range), count=options.count, seed=options.seed)
    if not found:
        raise UsageError(
            f"No values were found with which problem '{problem.id}' is as sound as it is; give wider ranges "
            "(--range), or another --seed."
        )
    save(written_rubric(tables, [one.tables for one in found]), options.output)
    print("\n".join(_lines(found)))
    print(
        f"\n{options.output}: {len(found)} of {options.count} asked. Look at the texts of the problems, then run: grader vet {options.output}"
    )
    return 0


def _ranges(given: Sequence[str]) -> dict[str, str]:
    from grader.errors import UsageError

    parts = [one.partition("=") for one in given]
    if any(not sep or not name.strip() or not text.strip() for name, sep, text in parts):
        raise UsageError('--range: write the element and its range, as in --range "R1=1 kohm … 10 kohm, E6".')
    return {name.strip(): text.strip() for name, _, text in parts}


def _lines(found: Sequence[Proposal]) -> Iterator[str]:
    from grader.authoring.written import size_of
    from grader.cli.lines import wrapped

    for one in found:
        sizes = ", ".join(
            f"{element['name']} = {size}" for element in one.tables["element"] if (size := size_of(element))
        )
        yield from wrapped(sizes, f"{one.problem.id}: ", hanging=4)
        width = max(len(item) for item, _ in one.answers)
        yield from (f"    {item:<{width}}  {text}" for item, text in one.answers)
