"""Pictures of the audit as inline SVG: told by position, hatching and printed numbers, so colour may be missing."""

from collections.abc import Sequence
from html import escape

from grader.marking.credit import percent
from grader.reports.audit_mistakes import MISTAKES_SHOWN
from grader.reports.audit_records import LOST_TO, Audit, ClassAudit, ItemFigures, LostPoints
from grader.reports.wording import SAYS, points_text


def verdict_bar(item: ItemFigures, students: int) -> str:
    """One bar of full width: the share of each verdict."""
    width, height, x = 220.0, 16, 0.0
    parts = []
    for verdict, said in SAYS.items():
        count = dict(item.verdicts)[verdict]
        if count:
            piece = width * count / max(students, 1)
            parts.append(
                f'<rect x="{x:.2f}" y="0.5" width="{piece:.2f}" height="{height - 1}" '
                f'class="{said.fill} edge"><title>{escape(verdict)}: {count}</title></rect>'
            )
            x += piece
    spoken = ", ".join(f"{verdict} {count}" for verdict, count in item.verdicts if count)
    return (
        f'<svg class="bar" viewBox="0 0 {width:.0f} {height}" role="img" aria-label="{escape(spoken)}">'
        f"{''.join(parts)}</svg>"
    )


LOST_FILLS = {
    "blank": "empty",
    "ideas": "full",
    "slips": "slanted",
    "unit_and_sign": "dotted",
    "unexplained": "crossed",
    "unread": "barred",
}
"""How the parts of `LostPoints` are filled."""


def lost_bar(lost: LostPoints) -> str:
    """One bar: where the points went, each part with its words and points below."""
    width, x, parts, told = 640.0, 0.0, [], []
    for name, points in lost._asdict().items():
        if points <= 0:
            continue
        piece = width * points / lost.total
        parts.append(
            f'<rect x="{x:.2f}" y="0.5" width="{piece:.2f}" height="25" class="{LOST_FILLS[name]} edge">'
            f"<title>{LOST_TO[name]}: {points_text(points)}</title></rect>"
        )
        told.append(f"<span>{_square(LOST_FILLS[name])}{LOST_TO[name]}: {points_text(points)}</span>")
        x += piece
    spoken = ", ".join(
        f"{LOST_TO[name]} {points_text(points)}" for name, points in lost._asdict().items() if points > 0
    )
    return (
        f'<svg class="lost" viewBox="0 0 {width:.0f} 26" role="img" aria-label="Points lost: {spoken}">'
        f'{"".join(parts)}</svg><div class="key">{"".join(told)}</div>'
    )


def difficulty_plot(of_class: ClassAudit) -> str:
    """Items by difficulty (across) and correlation with the rest of the paper (up); "" where there are none."""
    shown = [item for item in of_class.items if item.difficulty.value is not None and item.item_rest.value is not None]
    if not shown:
        return ""
    left, top, wide, tall = 46, 10, 480, 240
    lowest = min([-0.2, *(item.item_rest.value or 0.0 for item in shown)])

    def across(value: float) -> float:
        return left + wide * value

    def up(value: float) -> float:
        return top + tall * (1 - value) / (1 - lowest)

    parts = [
        f'<line x1="{left}" y1="{up(0):.1f}" x2="{left + wide}" y2="{up(0):.1f}" class="axis"/>',
        f'<line x1="{left}" y1="{top}" x2="{left}" y2="{top + tall}" class="axis"/>',
    ]
    parts += [
        f'<text x="{across(tenth / 10):.1f}" y="{top + tall + 18}" class="middle small">{10 * tenth} %</text>'
        for tenth in range(0, 11, 2)
    ]
    parts += [
        f'<text x="{left - 8}" y="{up(value) + 4:.1f}" class="end small">{value:.1f}</text>'
        for value in (0.0, 0.5, 1.0)
    ]
    free: list[tuple[float, float]] = []
    for item in sorted(shown, key=lambda item: (item.difficulty.value or 0.0, item.key)):
        x, y = across(item.difficulty.value or 0.0), up(item.item_rest.value or 0.0)
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" class="disc"><title>{escape(item.key)}</title></circle>')
        if all(abs(x - other) > 70 or abs(y - beside) > 13 for other, beside in free):
            near_edge = x > left + 0.8 * wide
            parts.append(
                f'<text x="{x - 7 if near_edge else x + 7:.1f}" y="{y + 4:.1f}" class="small{" end" if near_edge else ""}">'
                f"{escape(item.key)}</text>"
            )
            free.append((x, y))
    spoken = "; ".join(f"{item.key} {item.difficulty.value:.2f}, {item.item_rest.value:.2f}" for item in shown)
    return (
        f'<svg class="histogram" viewBox="0 0 {left + wide + 14} {top + tall + 26}" role="img" '
        f'aria-label="Difficulty and item-rest correlation: {escape(spoken)}">{"".join(parts)}</svg>'
        '<p class="small soft">Every item by the share of its points that the class earned (across; right is easy) and '
        "by its correlation with the rest of the paper (up).</p>"
    )


SLOPES = 6
"""Ideas that the slope lines show; the table holds all."""


def slopes(audit: Audit) -> str:
    """The share that holds each idea, from folder to folder."""
    shown = [row for row in audit.courses if any(rate is not None for rate in row.rates)][:SLOPES]
    if not shown:
        return ""
    left, top, wide, tall = 60, 14, 150 * max(len(audit.classes) - 1, 1), 200
    values = [[0.0 if rate is None else rate.held / rate.of for rate in row.rates] for row in shown]
    highest = max([0.05, *(value for own in values for value in own)])
    ends: list[float] = []
    parts = []
    for row, own in zip(shown, values, strict=True):
        points = [
            (left + wide * place / max(len(own) - 1, 1), top + tall * (1 - value / highest))
            for place, value in enumerate(own)
        ]
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        parts.append(f'<polyline points="{path}" class="slope"/>')
        parts += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" class="disc"/>' for x, y in points]
        y = points[-1][1]
        while any(abs(y - other) < 15 for other in ends):
            y += 15
        ends.append(y)
        parts.append(
            f'<text x="{left + wide + 10}" y="{y + 4:.1f}" class="small">{percent(round(own[-1], 2))} {escape(row.title)}</text>'
        )
        parts.append(
            f'<text x="{left - 10}" y="{points[0][1] + 4:.1f}" class="end small">{percent(round(own[0], 2))}</text>'
        )
    below = max([top + tall, *ends])
    names = "".join(
        f'<text x="{left + wide * place / max(len(audit.classes) - 1, 1):.1f}" y="{below + 24:.1f}" class="middle small">'
        f"{escape(of_class.name)}</text>"
        for place, of_class in enumerate(audit.classes)
    )
    return (
        f'<svg class="histogram" viewBox="0 0 {left + wide + 330} {below + 34:.0f}" role="img" '
        f'aria-label="Share of students who hold each idea, by folder; the table below holds the numbers">'
        f"{''.join(parts)}{names}</svg>"
    )


def _square(fill: str) -> str:
    return f'<svg class="swatch" viewBox="0 0 14 14" aria-hidden="true"><rect x="0.5" y="0.5" width="13" height="13" class="{fill} edge"/></svg>'


def key_swatch(verdict: str) -> str:
    """The small square that explains a filling."""
    return _square(SAYS[verdict].fill)


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
