"""Finds the answers in wide tables: a row per student, a column per item."""

from collections.abc import Iterator, Mapping

from grader.uploads.content.document import Table
from grader.uploads.content.found import Collector, Parsed
from grader.uploads.content.grid import Grid
from grader.uploads.content.headings import Column, student_columns, wide_columns
from grader.uploads.content.items import Items


def students_in(tables: tuple[Table, ...], items: Items) -> Iterator[Parsed]:
    """One `Parsed` for every row under a heading that has a student column and columns of items."""
    for table in tables:
        grid = Grid(table)
        students: tuple[tuple[int, int], ...] = ()
        answers: tuple[Column, ...] = ()
        unknown: Mapping[int, str] = {}
        told: tuple[str, ...] = ()
        for row in grid.order:
            texts = grid.texts(row)
            who = student_columns(texts)
            named, untaken = wide_columns(texts, items) if who else ((), {})
            if named or untaken:
                students, answers = tuple((row, column) for column in who), named
                known = {one.column for one in named} | untaken.keys()
                unknown = {at: text for at, text in texts.items() if at not in known and _means_an_item(text, items)}
                told = tuple(f"{table.where(row, at)}: {fault}" for at, fault in untaken.items() if fault)
            elif students:
                yield _one(grid, row, students, answers, unknown, items, told)
                told = ()  # of the heading, not of a row: the first one's says it


def _means_an_item(text: str, items: Items) -> bool:
    """Whether a heading tries to name an item but names none, or one that several problems have."""
    problem, point, _ = text.partition(".")
    ambiguous = len(items.names.get(text.strip(), ())) > 1
    return items.find(text) is None and (ambiguous or (bool(point) and items.problem(problem) is not None))


def _one(
    grid: Grid,
    row: int,
    students: tuple[tuple[int, int], ...],
    answers: tuple[Column, ...],
    unknown: Mapping[int, str],
    items: Items,
    told: tuple[str, ...],
) -> Parsed:
    gathering = Collector(items, faults=[*told])
    for column, pair, unit, _ in answers:
        cell = grid.at(row, column)
        gathering.add(pair, cell, where=grid.table.where(row, column), unit=unit if cell.text.strip() else "")
    if row in grid.table.parted:
        for _, pair, _, _ in answers:
            gathering.leave_open(pair)
        gathering.faults.append(
            f"row {row + 1}: it holds more cells than the heading, so its answers may stand under the wrong items"
        )
    for column, name in unknown.items():
        gathering.unknown(name, grid.at(row, column), grid.table.where(row, column))
    named = (grid.under(row, heading).text.strip() for heading in students)
    return gathering.found(labelled=tuple(filter(None, named)), where=f"{grid.table.name} row {row + 1}".strip())
