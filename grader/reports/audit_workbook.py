"""The audit as a workbook: the page's numbers, with filters, frozen headers and native charts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from grader.errors import OutputError
from grader.reports.audit_records import Audit, ClassAudit
from grader.reports.statistics import Figure

WIDEST = 60
"""Widest column, in characters."""

Row = dict[str, Any]


def audit_xlsx(audit: Audit, path: Path) -> None:
    """Write the audit as a workbook; the same audit gives the same bytes.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    import pandas as pd

    from grader.reports.audit_stable import stable_save

    frames = {name: pd.DataFrame(rows) for name, rows in _tables(audit).items() if rows}
    try:
        with pd.ExcelWriter(path, engine="openpyxl") as writer:
            for name, frame in frames.items():
                frame.to_excel(writer, sheet_name=name, index=False)
            for sheet in writer.book.worksheets:
                _dress(sheet)
            _draw(writer.book, audit)
        stable_save(path)
    except OSError:
        raise OutputError(f"{path} cannot be written; close it in the spreadsheet program and try again.") from None


def _tables(audit: Audit) -> dict[str, list[Row]]:
    several = len(audit.classes) > 1
    tables: dict[str, list[Row]] = {
        "Next class": [
            {
                "Mistake": m.title,
                "Points lost": round(m.lost, 4),
                "Students": len(m.students),
                "Of them unsure": m.unsure,
                "Items": _named(m.items),
                "As written": "\n".join(f"{e.item}: {e.answer}" for e in m.examples),
                "Idea": m.idea,
            }
            for m in audit.next_class
        ]
        or [{"Mistake": "No wrong answer was explained by a mistake of the catalogue."}],
        "Class": [],
        "Items": [],
        "Mistakes": [],
        "Mistakes by item": [],
        "Distribution": [],
        "Unexplained": [],
        "Sections": [],
        "Identical rare answers": [],
        "Persisting": [
            {"Mistake": row.title, **{c.name: n for c, n in zip(audit.classes, row.students, strict=True)}}
            for row in audit.persisting
        ],
    }
    for of_class in audit.classes:
        for name, rows in _class_tables(of_class).items():
            tables[name] += [{"Results": of_class.name, **row} for row in rows] if several else rows
    return tables


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
        "Class": [{"Figure": name, "Value": _number(f), "Why missing": f.reason} for name, f in whole]
        + [{"Figure": "Caution", "Value": None, "Why missing": caution} for caution in of_class.cautions],
        "Items": [
            {
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
            for item in of_class.items
        ],
        "Mistakes": [
            {
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
            for m in of_class.mistakes
        ],
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


def _number(figure: Figure) -> float | None:
    return None if figure.value is None else round(figure.value, 6)


def _named(pairs: Sequence[tuple[str, int]]) -> str:
    return ", ".join(f"{name} ({count})" for name, count in pairs)


def _dress(sheet: Any) -> None:
    """Filters, frozen headers, widths; every text stays text, whatever it begins with."""
    from openpyxl.styles import Alignment, Border, Font

    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = sheet.dimensions
    for column in sheet.columns:
        width = 8
        for cell in column:
            if isinstance(cell.value, str):
                cell.data_type = "s"
                cell.quotePrefix = cell.value[:1] in "=+-@"
                cell.alignment = Alignment(wrap_text=True, vertical="top")
                width = max(width, *(len(line) + 2 for line in cell.value.split("\n")))
            else:
                cell.alignment = Alignment(vertical="top")
        sheet.column_dimensions[column[0].column_letter].width = min(width, WIDEST)
    for cell in sheet[1]:
        cell.font, cell.border = Font(bold=True), Border()
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


def _draw(book: Any, audit: Audit) -> None:
    """Charts of one class's figures; of several, each sheet can be filtered and charted at will."""
    if len(audit.classes) != 1:
        return
    of_class = audit.classes[0]
    _chart(book, "Distribution", "Students by share of the points", labels=1, values=3, at="E2", heading="Students")
    if of_class.items:
        _chart(
            book, "Items", "Difficulty (mean share of the points)", labels=1, values=4, at=f"B{len(of_class.items) + 4}"
        )
    if of_class.mistakes:
        _chart(book, "Mistakes", "Points lost", labels=1, values=3, at=f"A{len(of_class.mistakes) + 4}")


def _chart(book: Any, name: str, title: str, *, labels: int, values: int, at: str, heading: str = "") -> None:
    from openpyxl.chart import BarChart, Reference

    sheet = book[name]
    chart = BarChart()
    chart.type, chart.style, chart.title, chart.legend = "col", 10, title, None
    chart.y_axis.title = heading or title
    chart.add_data(Reference(sheet, min_col=values, min_row=1, max_row=sheet.max_row), titles_from_data=True)
    chart.set_categories(Reference(sheet, min_col=labels, min_row=2, max_row=sheet.max_row))
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.width, chart.height = 24, 9
    sheet.add_chart(chart, at)
