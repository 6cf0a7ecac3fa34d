"""A fixed lot of answers with all that marking says of each, as it was when last recorded.

Nobody worked these out: that marks are right is held by the tables worked out by hand (`tests/marking/test_rules.py`, `tests/papers`).
What is recorded tells that something changed, and where.  ``python -m tests.recorded.marks`` marks every answer again and
writes the tables anew; their diff is then read line by line.  An answer is added as a row with its first three columns.
"""

import csv
import hashlib
import tomllib
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from msgspec.structs import replace

from grader.marking.beliefs import observations_of, with_own_explanation
from grader.marking.key import Key, build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import Mark
from grader.problem import Rubric
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
TABLES = tuple(sorted(path.stem for path in (HERE / "marks").glob("*.csv")))
GIVEN = ("upload", "item", "answer")
COLUMNS = (*GIVEN, "points", "verdict", "parts", "mistakes", "follows", "review", "said", "rest")
SOURCES = tomllib.loads((HERE / "rubrics.toml").read_text(encoding="utf-8"))


def rubric_of(table: str) -> Rubric:
    """The rubric that a table's answers are marked by, with the settings of its own."""
    source = SOURCES[table]
    rubric = load_rubric(ROOT / source["rubric"])
    settings = source.get("marking", {})
    return replace(
        rubric,
        problems=tuple(
            replace(
                problem,
                items=tuple(replace(item, marking=replace(item.marking, **settings)) for item in problem.items),
            )
            for problem in rubric.problems
        ),
    )


def rows_of(table: str) -> list[dict[str, str]]:
    """A table as recorded."""
    with (HERE / "marks" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def uploads_of(rows: list[dict[str, str]]) -> Iterator[list[dict[str, str]]]:
    """The rows of each upload."""
    for _, group in groupby(rows, lambda row: row["upload"]):
        yield list(group)


def marked_anew(key: Key, rows: list[dict[str, str]]) -> list[dict[str, str]]:
    """The rows of one upload with what is said of them now."""
    written = []
    for row in rows:
        problem, _, item = row["item"].partition(".")
        written.append(Written(problem=problem, item=item, text=row["answer"]))
    name = rows[0]["upload"]
    marked = mark_upload(key, Upload(file=name, digest="", student=name, answers=tuple(written)))
    explained = with_own_explanation(key, marked)
    by_item = {f"{mark.problem}.{mark.item}": mark for mark in explained.marks}
    return [{name: row[name] for name in GIVEN} | _said(by_item[row["item"]]) for row in rows]


def _said(mark: Mark) -> dict[str, str]:
    """All that a mark says; what is long and told elsewhere as a digest."""
    observed = [(one.outcome, one.exact) for one in observations_of([mark])]
    value = None if mark.reading_value is None else f"{mark.reading_value:.6g}"
    rest = repr((mark.reading, mark.reading_mathml, value, mark.to_the_digit, mark.nudges, mark.notes, observed))
    return {
        "points": f"{mark.awarded:g}/{mark.possible:g}",
        "verdict": mark.verdict,
        "parts": "; ".join(f"{part.name} {part.awarded:.4g}/{part.possible:.4g} {part.verdict}" for part in mark.parts),
        "mistakes": " ".join([*mark.mistakes, str(mark.tied)]) if mark.mistakes else "",
        "follows": " ".join(mark.follows_from),
        "review": "look" if mark.review else "",
        "said": " ".join(mark.reasons),
        "rest": hashlib.sha256(rest.encode()).hexdigest()[:8],
    }


def write(table: str, rows: list[dict[str, str]]) -> None:
    """Write a table."""
    with (HERE / "marks" / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def main() -> None:
    """Record every table anew."""
    for table in TABLES:
        key = build_key(rubric_of(table))
        write(table, [row for upload in uploads_of(rows_of(table)) for row in marked_anew(key, upload)])


if __name__ == "__main__":
    main()
