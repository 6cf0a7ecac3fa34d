"""Self-contained pages: one template, one style sheet inside it, no scripts, nothing fetched from anywhere."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from grader.reports.mathematics import safe_mathml
from grader.reports.wording import awaits_person, points_text, said
from grader.uploads.escaping import visible

if TYPE_CHECKING:
    import jinja2

TEMPLATES = Path(__file__).parent / "templates"


@cache
def _environment() -> jinja2.Environment:
    import jinja2
    from markupsafe import Markup

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    style = (TEMPLATES / "page.css").read_text(encoding="utf-8")
    environment.globals["style"] = Markup(style)  # noqa: S704 - our own file
    environment.globals["policy"] = policy(style)
    environment.filters["svg"] = Markup  # drawings made by this room, which escape what they take in
    environment.filters["mathml"] = safe_mathml
    environment.filters["points"] = points_text
    environment.filters["share"] = "{:.3g}".format
    environment.filters["said"] = said
    environment.filters["visible"] = visible
    environment.tests["open"] = awaits_person
    return environment


def policy(style: str) -> str:
    """A content security policy that lets nothing act or load but this very style sheet."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def page(template: str, **context: Any) -> str:
    """Render a page; whatever comes from people is escaped by the templates.

    Parameters
    ----------
    template : str
        A file of ``templates``.
    **context
        What it shows.
    """
    return _environment().get_template(template).render(**context)
