"""``grader vary``: other values for a problem, written as a rubric."""

import argparse
import sys
from collections.abc import Iterator, Sequence

from grader.authoring.draws import FEW
from grader.authoring.vary import Proposal, proposals
from grader.authoring.written import left_in_texts, sizes_of, written_rubric
from grader.cli.lines import wrapped
from grader.cli.solve import chosen
from grader.errors import UsageError
from grader.problem import Problem
from grader.reports.workbook import save
from grader.rubric.files import load_rubric, load_tables
from grader.rubric.variation import STATED
from grader.rubric.wording import follows_values, unsaid


def run(options: argparse.Namespace) -> int:
    """Write the proposals, and print each with its answers; 2 where there is none."""
    rubric = load_rubric(options.rubric)
    (problem,) = chosen(rubric, options.problem).problems
    if options.output.suffix.lower() != ".toml" or options.output.resolve() == options.rubric.resolve():
        raise UsageError("-o FILE: name a new file that ends in .toml; the rubric itself is left as it is.")
    tables = load_tables(options.rubric)
    print(f"Looking for values for problem '{problem.id}'; this takes some seconds.", file=sys.stderr)
    found = proposals(
        rubric, tables, problem.id, _ranges(options.range), count=options.count, seed=options.seed, tell=_sound
    )
    save(written_rubric(tables, [one.tables for one in found]), options.output)
    print("\n".join(_lines(found)))
    print("".join(f"\n{said}\n" for said in _kept(problem, found)), end="")
    if len(found) < options.count:
        print(
            "\nWith the other values that were looked at the problem is less sound, or common mistakes lead to each other's "
            "answers, so that they could not be told; wider ranges (--range) or another --seed may give more."
        )
    print(
        f"\n{options.output}: {len(found)} of {options.count} asked. Look at the texts of the problems, then run: grader vet {options.output}"
    )
    return 0


def _kept(problem: Problem, found: Sequence[Proposal]) -> Iterator[str]:
    """What does not follow the values and is kept as it is, and what was left out."""
    if stale := dict.fromkeys(left for one in found for left in left_in_texts(problem, one.problem, one.tables)):
        yield f"Still with a value of the old problem: {', '.join(f'{where} ({size})' for where, size in stale)}."
    if kept := [item.id for item in problem.items if unsaid(problem, item)]:
        yield (
            f"A level or an instant that no text names is kept as it is; look whether it is still meant: {', '.join(kept)}."
        )
    own = [item for item in problem.items if item.find in STATED and item.key]
    if stated := [item.id for item in own if not follows_values(problem, str(item.key))]:
        yield (
            f"Keys that you state yourself are kept as they are; look whether they are still true: {', '.join(stated)}."
        )
    left_out = [item.id for item in problem.items if (item.known_wrong or item.accept) and item.find not in STATED]
    if left_out:
        yield f"Answers in known_wrong or accept hold for the old values and were left out: {', '.join(left_out)}."


def _sound(count: int) -> None:
    print(f"Sound sets of values so far: {count}.", file=sys.stderr)


def _ranges(given: Sequence[str]) -> dict[str, str]:
    parts = [one.partition("=") for one in given]
    if any(not sep or not name.strip() or not text.strip() for name, sep, text in parts):
        raise UsageError('--range: write the element and its range, as in --range "R1=1 kohm … 10 kohm, E6".')
    return {name.strip(): text.strip() for name, _, text in parts}


def _lines(found: Sequence[Proposal]) -> Iterator[str]:
    for one in found:
        sizes = ", ".join(
            f"{element['name']} = {', then '.join(sizes)}"
            for element in one.tables["element"]
            if (sizes := sizes_of(element))
        )
        yield from wrapped(sizes, f"{one.problem.id}: ", hanging=4)
        width = max(len(item) for item, _ in one.answers)
        yield from (f"    {item:<{width}}  {text}" for item, text in one.answers)
        if not one.clean:
            yield f"    Not clean: within these ranges some answer needs more than {FEW} significant digits."
