"""How near marking comes to markers: four shares over a folder of papers, and every difference by itself."""

import argparse
import csv
from collections import Counter
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from grader.marking.key import Key, build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import Mark
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written

HERE = Path(__file__).parent
SETS = tuple(sorted(path.parent.name for path in HERE.glob("*/answers.csv")))
NEAR = 1 / 8
"""Points by which two markings may differ and still agree."""

AS_MARKED, TO_A_PERSON, LOWER, HIGHER = "as marked", "to a person", "decided lower", "decided higher"


class Row(NamedTuple):
    """One answer with the points of both markings."""

    paper: str
    item: str
    answer: str
    points: float
    second: float
    note: str

    @property
    def agreed(self) -> bool:
        """Whether both markings give the same, so that there is something to measure against."""
        return abs(self.points - self.second) <= NEAR


class Outcome(NamedTuple):
    """What became of one answer."""

    row: Row
    mark: Mark
    fate: str

    @property
    def marked_down_unseen(self) -> bool:
        """Whether both markers gave all points, the program fewer, and nobody is told to look."""
        whole = min(self.row.points, self.row.second) >= self.mark.possible
        return whole and self.fate == LOWER


def rows(folder: Path) -> list[Row]:
    """The answers of a folder; one marking stands for both where there is no second."""
    with (folder / "answers.csv").open(encoding="utf-8", newline="") as file:
        return [
            Row(
                row["paper"], row["item"], row["answer"], float(row["points"]),
                float(row.get("second") or row["points"]), row.get("note") or "",
            )
            for row in csv.DictReader(file)
        ]  # fmt: skip


def outcomes(folder: Path) -> Iterator[Outcome]:
    """Mark every paper of a folder; only the rows where both markings agree."""
    key = build_key(load_rubric(folder / "rubric.toml"))
    for paper, group in groupby(rows(folder), lambda row: row.paper):
        yield from _of_paper(key, paper, list(group))


def _of_paper(key: Key, paper: str, chain: list[Row]) -> Iterator[Outcome]:
    written = tuple(
        Written(problem=problem, item=item, text=row.answer)
        for row in chain
        for problem, _, item in [row.item.partition(".")]
    )
    marked = mark_upload(key, Upload(file=paper, digest="", student=paper, answers=written))
    marks = {f"{mark.problem}.{mark.item}": mark for mark in marked.marks}
    for row in chain:
        if row.agreed:
            mark = marks[row.item]
            yield Outcome(row, mark, _fate(row, mark))


def _fate(row: Row, mark: Mark) -> str:
    if mark.review:
        return TO_A_PERSON
    low, high = sorted((row.points, row.second))
    if mark.awarded < low - NEAR:
        return LOWER
    return HIGHER if mark.awarded > high + NEAR else AS_MARKED


class Shares(NamedTuple):
    """The measure in percent of the rows where both markings agree; ``unseen`` of those wholly right."""

    count: int
    as_marked: float
    to_a_person: float
    lower: float
    higher: float
    whole: int
    unseen: float

    def __str__(self) -> str:
        return (
            f"{self.count} answers: {self.as_marked:.1f} % as marked, {self.to_a_person:.1f} % to a person, "
            f"{self.lower:.1f} % lower, {self.higher:.1f} % higher; "
            f"of {self.whole} wholly right {self.unseen:.1f} % marked down unseen"
        )


def shares(found: list[Outcome]) -> Shares:
    """The shares of some outcomes."""
    fates = Counter(one.fate for one in found)
    whole = [one for one in found if min(one.row.points, one.row.second) >= one.mark.possible]
    percent = [100 * fates[fate] / len(found) for fate in (AS_MARKED, TO_A_PERSON, LOWER, HIGHER)]
    unseen = 100 * sum(one.marked_down_unseen for one in whole) / max(len(whole), 1)
    return Shares(len(found), *percent, len(whole), unseen)


def difference(one: Outcome) -> str:
    """One line on an answer that was not decided as marked."""
    row, mark = one.row, one.mark
    return (
        f"{one.fate:14} {row.paper} {row.item:12} {row.answer!r}: {row.points:g}/{row.second:g} by hand, "
        f"{mark.awarded:g} here, read {mark.reading!r}; {' '.join(mark.reasons)}"
    )


def main() -> None:
    """Print the shares of the folders named, and the differences if they are wanted."""
    parser = argparse.ArgumentParser(description="How near marking comes to markers.")
    parser.add_argument("folders", nargs="*", default=SETS, help="names of folders beside this file, or paths")
    parser.add_argument("--list", action="store_true", help="list every difference")
    wanted = parser.parse_args()
    for name in wanted.folders:
        found = list(outcomes(HERE / name))
        for one in sorted(found, key=lambda o: o.fate) if wanted.list else ():
            if one.fate != AS_MARKED:
                print(difference(one))
        print(f"{name}: {shares(found)}")


if __name__ == "__main__":
    main()
