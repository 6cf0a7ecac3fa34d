"""What `vet` says of a fixed lot of keys, right and wrong.

As with `tests/recorded/marks.py`, nobody worked these out; ``python -m tests.recorded.keys`` records them anew.
"""

import csv
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from msgspec.structs import replace

from grader.marking.key import Key, build_key
from grader.marking.vetting import check_keys, hidden_mistakes, ideas_not_told_apart
from tests.recorded.marks import rubric_of

TABLE = Path(__file__).with_name("keys.csv")
COLUMNS = ("rubric", "problem", "item", "key", "said")


def recorded() -> dict[str, list[dict[str, str]]]:
    """The rows of each rubric."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return {name: list(rows) for name, rows in groupby(csv.DictReader(file), lambda row: row["rubric"])}


def said_now(name: str, rows: list[dict[str, str]]) -> Iterator[dict[str, str]]:
    """The rows of one rubric with what is said now; a row without an item is about the whole rubric."""
    key = build_key(rubric_of(name))
    for row in rows:
        remarks = (
            check_keys(_with_key(key, row)) if row["item"] else (*hidden_mistakes(key), *ideas_not_told_apart(key))
        )
        said = " ".join(f"{'WRONG ' if one.wrong else ''}{one.where}: {one.sentence}" for one in remarks)
        yield row | {"said": said}


def _with_key(key: Key, row: dict[str, str]) -> Key:
    """The same with one item's key alone, and that another."""
    problem = key.rubric.problem(row["problem"])
    items = tuple(replace(one, key=row["key"] if one.id == row["item"] else None) for one in problem.items)
    return replace(key, rubric=replace(key.rubric, problems=(replace(problem, items=items),)))


def main() -> None:
    """Record the table anew."""
    rows = [row for name, found in recorded().items() for row in said_now(name, found)]
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
