"""The audit as one self-contained page."""

from collections.abc import Mapping

from grader.marking.credit import percent
from grader.problem import Rubric
from grader.reports.audit_mistakes import MISTAKES_SHOWN
from grader.reports.audit_places import circuit, places
from grader.reports.audit_records import (
    LOST_TO,
    NO_IDEA,
    Audit,
    ClassAudit,
    IdeaFigures,
    ItemFigures,
    LostPoints,
    MistakeFigures,
)
from grader.reports.pages import environment, page, policy, sheet_of_styles
from grader.reports.wording import SAYS, in_points, points_text
from grader.values.text import listed

LOST_FILLS = dict(
    zip(LOST_TO, ("empty", "full", "slanted", "dotted", "crossed", "column", "warm", "barred"), strict=True)
)
"""How the parts of `LostPoints` are filled."""

SLOPES = 6
"""Ideas that the slope lines show; the table holds all."""


def prepare() -> None:
    """Do beforehand what takes longest of the first page."""
    for template in ("audit.html", "audit_charts.html"):
        environment().get_template(template)


def audit_html(audit: Audit, rubrics: Mapping[str, Rubric] | None = None) -> str:
    """Render the audit: HTML without scripts and without anything to fetch; students' text is escaped.

    Parameters
    ----------
    rubrics : mapping, optional
        By class, for the circuits and for the items in words; without them items stand by their ids.
    """
    known = rubrics or {}
    words = {name: places(rubric) for name, rubric in known.items()}
    style = sheet_of_styles("audit.css")
    return page(
        "audit.html",
        audit=audit,
        style=style,
        policy=policy(style),
        fills={verdict: said.fill for verdict, said in SAYS.items()},
        verdict_parts=verdict_parts,
        lost_parts=lost_parts,
        slope_rows=slope_rows(audit),
        opening=opening,
        place=lambda of_class, key: words.get(of_class.name, {}).get(key, key),
        circuit=lambda of_class, idea: _circuit(of_class, idea, known),
        no_idea=NO_IDEA,
        columns=_columns,
        grid=mistakes_by_item,
        reasons=reasons,
    )


_FIGURES = {
    "difficulty": ("difficulty of", "Diffi&shy;culty"),
    "discrimination": ("discrimination of", "Discrimi&shy;nation"),
    "point_biserial": ("point-biserial of", "Point-<br>biserial"),
    "item_rest": ("item-rest correlation of", "Item-<br>rest"),
    "alpha_without": ("alpha without", "Alpha<br>without"),
}
"""Of an item: in a sentence, before its name; as the heading of a column."""


def _columns(of_class: ClassAudit) -> list[tuple[str, str]]:
    """The figures of items that any of a class has, with their headings; of a class of one most have no meaning."""
    known = (name for name in _FIGURES if any(getattr(item, name).value is not None for item in of_class.items))
    return [(name, _FIGURES[name][1]) for name in known]


Part = tuple[str, str, float, object]
"""Of a bar: what it stands for, how it is filled, its share of the width, and how much it is."""


def verdict_parts(item: ItemFigures, students: int) -> list[Part]:
    """The share of each verdict."""
    counts = dict(item.verdicts)
    shown = ((verdict, said.fill, counts[verdict]) for verdict, said in SAYS.items() if counts[verdict])
    return [(verdict, fill, count / max(students, 1), count) for verdict, fill, count in shown]


def lost_parts(lost: LostPoints) -> list[Part]:
    """Where the points went."""
    parts = ((name, points) for name, points in lost._asdict().items() if points > 0)
    return [(LOST_TO[name], LOST_FILLS[name], points / lost.total, points_text(points)) for name, points in parts]


def slope_rows(audit: Audit) -> list[tuple[str, list[float]]]:
    """The share that holds each idea, from folder to folder; of the first few that every class would have shown.

    Those of the same shares are one line.
    """
    rows = [(row.title, [rate.held / rate.of for rate in row.rates if rate is not None]) for row in audit.courses]
    lines: dict[tuple[float, ...], list[str]] = {}
    for title, shares in [row for row in rows if len(row[1]) == len(audit.classes)][:SLOPES]:
        lines.setdefault(tuple(shares), []).append(title)
    return [("; ".join(titles), [*shares]) for shares, titles in lines.items()]


def mistakes_by_item(of_class: ClassAudit) -> tuple[tuple[MistakeFigures, ...], list[str], int]:
    """The mistakes shown, the items in which they were named, and how many students the largest number counts."""
    shown = of_class.mistakes[:MISTAKES_SHOWN]
    named = {key for figures in shown for key, _ in figures.items}
    largest = max((count for figures in shown for _, count in figures.items), default=1)
    return shown, [item.key for item in of_class.items if item.key in named], largest


def opening(of_class: ClassAudit) -> str:
    """Where the points went, in a sentence: the largest share first."""
    lost = of_class.lost
    parts = sorted(lost._asdict().items(), key=lambda part: (-part[1], part[0]))
    shares = [
        f"{percent(round(points / lost.total, 2))} to {LOST_TO[name]}"
        for name, points in parts
        if points > 0.005 * lost.total
    ]
    whole = of_class.possible * of_class.students
    return f"Of {in_points(whole)} {points_text(lost.total)} were lost: {listed(shares)}."


def _circuit(of_class: ClassAudit, idea: IdeaFigures, rubrics: Mapping[str, Rubric]) -> tuple[str, tuple[str, ...]]:
    """The circuit in which an idea showed most, "" where it is not known; the elements framed in it."""
    if of_class.name not in rubrics:
        return "", ()
    return circuit(idea, rubrics[of_class.name], f"{of_class.name}-{idea.id}".replace(" ", "-"))


def reasons(of_class: ClassAudit) -> tuple[str, ...]:
    """Why figures are missing, in words that stand below the tables."""
    figures = [
        ("alpha over items", of_class.alpha_items),
        ("alpha over problems", of_class.alpha_problems),
        ("standard error (items)", of_class.error_items),
        ("standard error (problems)", of_class.error_problems),
    ]
    for item in of_class.items:
        figures += [(f"{words} {item.key}", getattr(item, name)) for name, (words, _) in _FIGURES.items()]
    by_reason: dict[str, list[str]] = {}
    for what, figure in figures:
        if figure.value is None:
            by_reason.setdefault(figure.reason, []).append(what)
    return tuple(f"{_listed(what)}: {reason}." for reason, what in by_reason.items())


def _listed(words: list[str], most: int = 6) -> str:
    shown = ", ".join(words[:most]) + (f" and {len(words) - most} more" if len(words) > most else "")
    return shown[:1].upper() + shown[1:]
