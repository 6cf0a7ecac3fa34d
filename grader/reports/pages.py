"""Self-contained pages: one template, one style sheet inside it, no scripts, nothing fetched from anywhere."""

import base64
import hashlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from grader.marking.credit import percent
from grader.reading.render.typeset import equation_mathml
from grader.reports.drawing.symbols import format_coordinate
from grader.reports.mathematics import safe_mathml
from grader.reports.wording import (
    awaits_person,
    in_points,
    points_text,
    read_as_written,
    reasons_told,
    said,
    with_titles,
)
from grader.uploads.escaping import visible

if TYPE_CHECKING:
    import jinja2

TEMPLATES = Path(__file__).parent / "templates"
FONTS = Path(__file__).parent / "fonts"


@cache
def environment(*others: Path) -> "jinja2.Environment":
    """The templates of this room, and those of other folders before them, with what all of them use."""
    import jinja2
    from markupsafe import Markup

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader([*others, TEMPLATES]),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        optimized=False,  # there is next to nothing in them to be worked out beforehand, and looking for it takes time
    )
    style, font = sheet_of_styles("page.css"), _font_face()
    environment.globals["style"] = Markup(style)  # noqa: S704 - our own file
    environment.globals["font"] = Markup(font)  # noqa: S704 - our own file
    environment.globals["policy"] = policy(style, font)
    environment.filters["svg"] = (
        Markup  # drawings, headings and styles made by this room, which escape what they take in
    )
    environment.filters["xy"] = format_coordinate
    environment.filters["mathml"] = safe_mathml
    environment.filters["equation"] = lambda sides: equation_mathml([side.tree for side in sides])
    environment.filters["points"] = points_text
    environment.filters["percent"] = lambda share: percent(round(share, 2))
    environment.filters["in_points"] = in_points
    environment.filters["share"] = "{:.3g}".format
    environment.filters["said"] = said
    environment.filters["visible"] = visible
    environment.filters["with_titles"] = with_titles
    environment.filters["reasons_told"] = reasons_told
    environment.tests["awaiting_person"] = awaits_person
    environment.tests["read_as_written"] = read_as_written
    return environment


def _font_face() -> str:
    """The mathematics font within a style sheet, for a page that is read where no such font may be installed."""
    data = base64.b64encode((FONTS / "mathematics.woff2").read_bytes()).decode()
    source = f"url(data:font/woff2;base64,{data}) format('woff2')"
    return f"@font-face {{ font-family: 'Board Mathematics'; src: {source}; }}"


def sheet_of_styles(name: str) -> str:
    """A style sheet of ``templates``, to stand within a page."""
    return (TEMPLATES / name).read_text(encoding="utf-8")


def policy(*styles: str) -> str:
    """A content security policy that lets nothing act or load but these very style sheets and the fonts in them."""
    digests = (base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() for style in styles)
    allowed = " ".join(f"'sha256-{digest}'" for digest in digests)
    return f"default-src 'none'; style-src {allowed}; font-src data:; base-uri 'none'; form-action 'none'"


def page(template: str, **context: Any) -> str:
    """Render a file of ``templates``; whatever comes from people is escaped there."""
    return environment().get_template(template).render(**context)
