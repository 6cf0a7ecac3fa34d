"""The audit as a workbook: the page's numbers, with filters, frozen headers and native charts."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from grader.reports.audit_mistakes import MISTAKES_SHOWN
from grader.reports.audit_records import (
    LOST_TO,
    NO_IDEA,
    Audit,
    ClassAudit,
    IdeaFigures,
    ItemFigures,
    MistakeFigures,
    Rate,
)
from grader.reports.statistics import Figure
from grader.reports.workbook import LINE_POINTS, TALLEST, WASH, Book, lines_of, text

NARROWEST, WIDEST = 8, 60
"""Widths of columns, in characters."""

Row = dict[str, Any]


def audit_xlsx(audit: Audit) -> bytes:
    """The audit as a workbook; the same audit gives the same bytes."""
    book = Book("Class audit", ", ".join(of_class.name for of_class in audit.classes))
    sheets = {name: _sheet(book, name, rows) for name, rows in _tables(audit).items() if rows}
    if len(audit.classes) == 1:  # of several, each sheet can be filtered and charted at will
        items, mistakes = len(audit.classes[0].items), len(audit.classes[0].mistakes)
        share, lost = "Difficulty (mean share of the points)", "Points lost by the costliest mistakes"
        _chart(book, sheets, "Distribution", "Students by share of the points", rows=10, values=2, at=(1, 4))
        _chart(book, sheets, "Items", share, rows=items, values=3, at=(items + 3, 1))
        worst = min(mistakes, MISTAKES_SHOWN)
        _chart(book, sheets, "Mistakes", lost, rows=worst, values=2, at=(mistakes + 3, 0), lying=True)
    return book.content()


def _tables(audit: Audit) -> dict[str, list[Row]]:
    several = len(audit.classes) > 1
    tables: dict[str, list[Row]] = defaultdict(list)
    for of_class in audit.classes:
        for name, rows in _class_tables(of_class).items():
            tables[name] += [{"Results": of_class.name, **row} for row in rows] if several else rows
    tables["From week to week"] = [
        {
            "Idea": row.title,
            "What became of it": row.became,
            **{c.name: _rate(rate) for c, rate in zip(audit.classes, row.rates, strict=True)},
        }
        for row in audit.courses
    ]
    if audit.courses:
        tables["From week to week"].append({"Idea": audit.compared})
    return tables


def _idea_row(idea: IdeaFigures) -> Row:
    return {
        "Idea": idea.title,
        "Points lost": round(idea.lost, 4),
        "Students": idea.rate.held,
        "Of how many it would have shown": idea.rate.of,
        "Share": round(idea.rate.held / idea.rate.of, 4),
        "From": round(idea.rate.low, 4),
        "To": round(idea.rate.high, 4),
        "Of them unsure": idea.unsure,
        "Items": _named(idea.items),
        "As written": "\n".join(f"{e.item}: {e.answer} ({e.students})" for e in idea.examples),
        "What is believed": idea.belief,
        "To say": idea.say,
        "To ask": idea.ask,
    }


def _who_rows(ideas: Sequence[IdeaFigures]) -> list[Row]:
    """A row for every student with an idea, a column for every idea: 1 where it seems to be held."""
    return [
        {"Student": student, **{idea.title: int(student in idea.students) for idea in ideas}}
        for student in sorted({student for idea in ideas for student in idea.students})
    ]


def _item_row(item: ItemFigures) -> Row:
    return {
        "Item": item.key,
        "Possible": item.possible,
        "Mean": _number(item.mean),
        "Difficulty": _number(item.difficulty),
        "Discrimination": _number(item.discrimination),
        "Point-biserial": _number(item.point_biserial),
        "Item-rest": _number(item.item_rest),
        "Alpha without": _number(item.alpha_without),
        **{verdict.capitalize(): count for verdict, count in item.verdicts},
        "Wrong": item.wrong,
        "Of them explained": item.explained,
        "For review": item.review,
        "Mistakes": _named(item.mistakes),
        "Second look": "; ".join(item.second_look),
    }


def _mistake_row(m: MistakeFigures) -> Row:
    return {
        "Mistake": m.title,
        "Id": m.id,
        "Points lost": round(m.lost, 4),
        "Students": len(m.students),
        "Of them unsure": m.unsure,
        "Items": _named(m.items),
        "As written": "\n".join(f"{e.item}: {e.answer}" for e in m.examples),
        "Idea": m.idea,
        "Source": m.source,
    }


def _class_tables(of_class: ClassAudit) -> dict[str, list[Row]]:
    totals = of_class.totals
    whole: list[tuple[str, Figure]] = [
        ("Students", Figure(of_class.students)),
        ("Possible points", Figure(of_class.possible)),
        ("Mean", totals.mean),
        ("Median", totals.median),
        ("Standard deviation", totals.deviation),
        ("Lowest", totals.lowest),
        ("Highest", totals.highest),
        ("Alpha over items", of_class.alpha_items),
        ("Standard error (items)", of_class.error_items),
        ("Alpha over problems", of_class.alpha_problems),
        ("Standard error (problems)", of_class.error_problems),
    ]
    return {
        "Ideas": [_idea_row(idea) for idea in of_class.ideas] or [{"Idea": NO_IDEA}],
        "Who": _who_rows(of_class.ideas),
        "Pairs": [
            {"Idea": pair.idea, "Seems to hold it": pair.holder, "Has shown not to": pair.partner}
            for pair in of_class.pairs
        ],
        "Lost points": [
            {"Where": LOST_TO[name], "Points": round(points, 4)} for name, points in of_class.lost._asdict().items()
        ],
        "Class": [{"Figure": name, "Value": _number(f), "Why missing": f.reason} for name, f in whole]
        + [{"Figure": "Caution", "Value": None, "Why missing": caution} for caution in of_class.cautions],
        "Items": [_item_row(item) for item in of_class.items],
        "Mistakes": [_mistake_row(m) for m in of_class.mistakes],
        "Mistakes by item": [
            {"Mistake": m.title, **{item.key: dict(m.items).get(item.key, 0) for item in of_class.items}}
            for m in of_class.mistakes
        ],
        "Distribution": [
            {"From %": 10 * i, "To %": 10 * i + 10, "Students": count} for i, count in enumerate(totals.bins)
        ],
        "Unexplained": [
            {
                "Item": c.item,
                "Answer": c.answer,
                "Students": len(c.students),
                "Who": ", ".join(c.students),
                "For the rubric": c.known_wrong,
            }
            for c in of_class.clusters
        ],
        "Sections": [
            {
                "Section": s.name,
                "Students": s.students,
                "Mean share": _number(s.share),
                "Commonest mistakes": _named(s.mistakes),
            }
            for s in of_class.sections
        ],
        "Identical rare answers": [
            {
                "Students": ", ".join(row.students),
                "Answers": "\n".join(f"{item}: {answer}" for item, answer in row.answers),
                "Caution": "Proves nothing: many innocent ways lead to the same answer.",
            }
            for row in of_class.shared
        ]
        + [
            {"Students": row.student, "Answers": f"{row.item}: {row.answer}", "Caution": row.note}
            for row in of_class.elsewhere
        ],
    }


def _rate(rate: Rate | None) -> str:
    return "not asked" if rate is None else f"{rate.held} of {rate.of}"


def _number(figure: Figure) -> float | None:
    return None if figure.value is None else round(figure.value, 6)


def _named(pairs: Sequence[tuple[str, int]]) -> str:
    return ", ".join(f"{name} ({count})" for name, count in pairs)


def _sheet(book: Book, name: str, rows: Sequence[Row]) -> Any:
    """One table, its columns those of all rows: frozen header and names, filters, widths after the longest line."""
    sheet = book.sheet(name)
    columns = tuple(dict.fromkeys(column for row in rows for column in row))
    head, cell = book.look(bold=True, bottom=2, bg_color=WASH), book.look(text_wrap=True)
    lines = [1] * len(rows)
    for place, column in enumerate(columns):
        text(sheet, 0, place, column, head)
        texts = [row[column] for row in rows if isinstance(row.get(column), str)]
        longest = max((len(line) for value in texts for line in value.split("\n")), default=0)
        width = min(max(NARROWEST, len(column) + 2, longest + 2), WIDEST)
        sheet.set_column(place, place, width)
        for number, row in enumerate(rows, start=1):
            value = row.get(column)
            if isinstance(value, str):
                text(sheet, number, place, value, cell)
                lines[number - 1] = max(lines[number - 1], lines_of(value, width))
            elif value is not None:
                sheet.write_number(number, place, value, cell)
    for number, height in enumerate(lines, start=1):
        sheet.set_row(number, LINE_POINTS * min(height, TALLEST))
    sheet.freeze_panes(1, 1)
    sheet.autofilter(0, 0, len(rows), len(columns) - 1)
    sheet.repeat_rows(0)
    sheet.repeat_columns(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    return sheet


def _chart(
    book: Book,
    sheets: dict[str, Any],
    name: str,
    title: str,
    *,
    rows: int,
    values: int,
    at: tuple[int, int],
    lying: bool = False,
) -> None:
    """Bars of one column of a sheet, labelled by its first one and drawn on that sheet."""
    if rows and name in sheets:
        chart = book.bars(title, lying=lying)
        chart.add_series({"categories": [name, 1, 0, rows, 0], "values": [name, 1, values, rows, values]})
        sheets[name].insert_chart(*at, chart)
