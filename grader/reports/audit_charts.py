"""Pictures of the audit as inline SVG: told by position, hatching and printed numbers, so colour may be missing."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from grader.marking.marks import BLANK, CORRECT, FOLLOWED, INCORRECT, NOT_DECIDED, PARTLY, UNREADABLE
from grader.reports.audit_mistakes import MISTAKES_SHOWN
from grader.reports.audit_records import ClassAudit, ItemFigures

FILLS = {
    CORRECT: "full",
    FOLLOWED: "dotted",
    PARTLY: "slanted",
    INCORRECT: "crossed",
    UNREADABLE: "barred",
    NOT_DECIDED: "barred",
    BLANK: "empty",
}
"""How each verdict is filled, from full to empty: classes of ``audit.css``; `PATTERNS` are defined once in the page."""

PATTERNS = (
    '<svg width="0" height="0" class="defs" aria-hidden="true"><defs>'
    '<pattern id="dots" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<rect width="5" height="5" class="tint"/><circle cx="2.5" cy="2.5" r="1.3" class="dark"/></pattern>'
    '<pattern id="slant" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" class="light"/><rect width="2.2" height="6" class="warm"/></pattern>'
    '<pattern id="cross" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" class="light"/><rect width="1.4" height="6" class="hot"/>'
    '<rect width="6" height="1.4" class="hot"/></pattern>'
    '<pattern id="bars" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<rect width="5" height="5" class="light"/><rect width="1" height="5" class="dark"/></pattern>'
    "</defs></svg>"
)


def verdict_bar(item: ItemFigures, students: int) -> str:
    """One bar of full width: the share of each verdict."""
    width, height, x = 220.0, 16, 0.0
    parts = []
    for verdict, fill in FILLS.items():
        count = dict(item.verdicts)[verdict]
        if count:
            piece = width * count / max(students, 1)
            parts.append(
                f'<rect x="{x:.2f}" y="0.5" width="{piece:.2f}" height="{height - 1}" '
                f'class="{fill} edge"><title>{escape(verdict)}: {count}</title></rect>'
            )
            x += piece
    spoken = ", ".join(f"{verdict} {count}" for verdict, count in item.verdicts if count)
    return (
        f'<svg class="bar" viewBox="0 0 {width:.0f} {height}" role="img" aria-label="{escape(spoken)}">'
        f"{''.join(parts)}</svg>"
    )


def key_swatch(verdict: str) -> str:
    """The small square that explains a filling."""
    return f'<svg class="swatch" viewBox="0 0 14 14" aria-hidden="true"><rect x="0.5" y="0.5" width="13" height="13" class="{FILLS[verdict]} edge"/></svg>'


def histogram(bins: Sequence[int]) -> str:
    """Students by tenths of the possible points."""
    left, base, wide, tall = 12, 150, 44, 120
    highest = max([*bins, 1])
    parts = []
    for place, count in enumerate(bins):
        height = tall * count / highest
        x = left + place * wide
        parts.append(
            f'<rect x="{x + 4}" y="{base - height:.1f}" width="{wide - 8}" height="{height:.1f}" class="column"/>'
        )
        if count:
            parts.append(f'<text x="{x + wide / 2}" y="{base - height - 5:.1f}" class="middle">{count}</text>')
    ticks = "".join(
        f'<text x="{left + place * wide}" y="{base + 16}" class="middle small">{10 * place} %</text>'
        for place in range(11)
    )
    spoken = ", ".join(f"{10 * i} to {10 * i + 10} %: {count}" for i, count in enumerate(bins) if count)
    return (
        f'<svg class="histogram" viewBox="-8 0 {2 * left + 10 * wide + 16} {base + 24}" role="img" '
        f'aria-label="Students by share of the points: {escape(spoken)}">{"".join(parts)}'
        f'<line x1="{left}" y1="{base}" x2="{left + 10 * wide}" y2="{base}" class="axis"/>{ticks}</svg>'
    )


def mistakes_by_item(of_class: ClassAudit) -> str:
    """Rows are mistakes, columns are items; a disc and a number say how many students. "" where none was named."""
    shown = of_class.mistakes[:MISTAKES_SHOWN]
    named = {key for figures in shown for key, _ in figures.items}
    keys = [item.key for item in of_class.items if item.key in named]
    if not keys:
        return ""
    left, top, cell = 340, 16 + 6.2 * max(len(key) for key in keys), 38
    largest = max(count for figures in shown for _, count in figures.items)
    parts = []
    for column, key in enumerate(keys):
        x = left + cell * (column + 0.5)
        parts.append(
            f'<text transform="translate({x + 4:.1f} {top - 8:.1f}) rotate(-60)" class="small">{escape(key)}</text>'
        )
    for row, figures in enumerate(shown):
        y = top + cell * (row + 0.5)
        parts.append(
            f'<line x1="0" y1="{y + cell / 2:.1f}" x2="{left + cell * len(keys)}" y2="{y + cell / 2:.1f}" class="rule"/>'
        )
        parts.append(f'<text x="{left - 10}" y="{y + 4:.1f}" class="end">{escape(_shortened(figures.title))}</text>')
        for key, count in figures.items:
            x = left + cell * (keys.index(key) + 0.5)
            radius = 4 + 12 * (count / largest) ** 0.5
            parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" class="disc"/>')
            parts.append(f'<text x="{x:.1f}" y="{y + 4:.1f}" class="middle number">{count}</text>')
    width, height = left + cell * len(keys) + 10 + 3.2 * max(len(key) for key in keys), top + cell * len(shown) + 4
    return (
        f'<svg class="grid" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" height="{height:.0f}" role="img" '
        f'aria-label="Mistakes by item; the workbook holds the same numbers">{"".join(parts)}</svg>'
    )


def _shortened(title: str, most: int = 44) -> str:
    return title if len(title) <= most else title[: most - 1].rstrip() + "…"
