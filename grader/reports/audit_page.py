"""The audit as one self-contained page."""

from collections.abc import Mapping
from pathlib import Path

from grader.marking.credit import percent
from grader.problem import Rubric
from grader.reports import audit_charts
from grader.reports.audit_places import circuit, places
from grader.reports.audit_records import LOST_TO, NO_IDEA, Audit, ClassAudit, IdeaFigures
from grader.reports.pages import policy
from grader.reports.statistics import Figure
from grader.reports.wording import points_text

NO_VALUE = "–"


def audit_html(audit: Audit, rubrics: Mapping[str, Rubric] | None = None) -> str:
    """Render the audit: HTML without scripts and without anything to fetch; students' text is escaped.

    Parameters
    ----------
    rubrics : mapping, optional
        By class, for the circuits and for the items in words; without them items stand by their ids.
    """
    import jinja2
    from markupsafe import Markup

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["figure"] = figure_text
    environment.filters["points"] = points_text
    known = rubrics or {}
    words = {name: places(rubric) for name, rubric in known.items()}
    style = (Path(__file__).parent / "audit.css").read_text(encoding="utf-8")
    page = environment.get_template("audit.html")
    return page.render(
        audit=audit,
        style=Markup(style),  # noqa: S704 - our own file
        policy=policy(style),
        swatch=lambda verdict: _svg(audit_charts.key_swatch(verdict)),
        bar=lambda item, students: _svg(audit_charts.verdict_bar(item, students)),
        histogram=lambda bins: _svg(audit_charts.histogram(bins)),
        lost_bar=lambda lost: _svg(audit_charts.lost_bar(lost)),
        difficulty_plot=lambda of_class: _svg(audit_charts.difficulty_plot(of_class)),
        slopes=lambda audit: _svg(audit_charts.slopes(audit)),
        opening=opening,
        place=lambda of_class, key: words.get(of_class.name, {}).get(key, key),
        circuit=lambda of_class, idea: _circuit(of_class, idea, known),
        no_idea=NO_IDEA,
        columns=_columns,
        grid=lambda of_class: _svg(audit_charts.mistakes_by_item(of_class)),
        reasons=reasons,
    )


_FIGURES = {
    "difficulty": "Diffi&shy;culty",
    "discrimination": "Discrimi&shy;nation",
    "point_biserial": "Point-<br>biserial",
    "item_rest": "Item-<br>rest",
    "alpha_without": "Alpha<br>without",
}


def _columns(of_class: ClassAudit) -> list[tuple[str, object]]:
    """The figures of items that any of a class has, with their headings; of a class of one most have no meaning."""
    known = (name for name in _FIGURES if any(getattr(item, name).value is not None for item in of_class.items))
    return [(name, _svg(_FIGURES[name])) for name in known]


def _svg(text: str) -> object:
    from markupsafe import Markup

    return Markup(text)  # noqa: S704 - made by audit_charts, which escapes every text


def opening(of_class: ClassAudit) -> str:
    """Where the points went, in a sentence: the largest share first."""
    lost = of_class.lost
    parts = sorted(lost._asdict().items(), key=lambda part: (-part[1], part[0]))
    shares = [
        f"{percent(round(points / lost.total, 2))} to {LOST_TO[name]}"
        for name, points in parts
        if points > 0.005 * lost.total
    ]
    listed = shares[0] if len(shares) == 1 else f"{', '.join(shares[:-1])} and {shares[-1]}"
    whole = of_class.possible * of_class.students
    return f"Of {points_text(whole)} points {points_text(lost.total)} were lost: {listed}."


def _circuit(of_class: ClassAudit, idea: IdeaFigures, rubrics: Mapping[str, Rubric]) -> tuple[object, tuple[str, ...]]:
    """The circuit in which an idea showed most, "" where it is not known; the elements framed in it."""
    if of_class.name not in rubrics:
        return "", ()
    figure, framed = circuit(idea, rubrics[of_class.name], f"{of_class.name}-{idea.id}".replace(" ", "-"))
    return _svg(figure), framed


def figure_text(figure: Figure, places: int = 2) -> str:
    """A figure to some places, or a dash."""
    return NO_VALUE if figure.value is None else f"{figure.value + 0.0:.{places}f}".replace("-", "−")


def reasons(of_class: ClassAudit) -> tuple[str, ...]:
    """Why figures are missing, in words that stand below the tables."""
    figures = [
        ("alpha over items", of_class.alpha_items),
        ("alpha over problems", of_class.alpha_problems),
        ("standard error (items)", of_class.error_items),
        ("standard error (problems)", of_class.error_problems),
    ]
    for item in of_class.items:
        figures += [
            (f"difficulty of {item.key}", item.difficulty),
            (f"discrimination of {item.key}", item.discrimination),
            (f"point-biserial of {item.key}", item.point_biserial),
            (f"item-rest correlation of {item.key}", item.item_rest),
            (f"alpha without {item.key}", item.alpha_without),
        ]
    by_reason: dict[str, list[str]] = {}
    for what, figure in figures:
        if figure.value is None:
            by_reason.setdefault(figure.reason, []).append(what)
    return tuple(f"{_listed(what)}: {reason}." for reason, what in by_reason.items())


def _listed(words: list[str], most: int = 6) -> str:
    shown = ", ".join(words[:most]) + (f" and {len(words) - most} more" if len(words) > most else "")
    return shown[:1].upper() + shown[1:]
