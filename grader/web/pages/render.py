"""Renders templates; what comes from people is escaped, and mathematics passes the reports' list of what may stand in it."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from grader.reports.mathematics import safe_mathml
from grader.reports.wording import awaits_person, points_text, said
from grader.uploads.escaping import visible
from grader.web.site import AppState
from grader.web.visit import Form, Refused, RequestContext

_environment = jinja2.Environment(
    loader=jinja2.FileSystemLoader(Path(__file__).parents[1] / "templates"),
    autoescape=True,
    undefined=jinja2.StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    auto_reload=False,
)

_environment.filters["mathml"] = safe_mathml
_environment.filters["drawing"] = Markup  # schematics are made by reports, which escapes every text in them
_environment.filters["points"] = points_text
_environment.filters["said"] = said
_environment.filters["visible"] = visible
_environment.tests["awaiting_person"] = awaits_person


def render(
    site: AppState, visit: RequestContext | None, template: str, status: int = 200, **context: Any
) -> HTMLResponse:
    """A page; every template knows the visit (None where there is none) and its token."""
    page = _environment.get_template(template).render(
        visit=visit,
        token=visit.token if visit else "",
        course=site.course,
        local=site.local_time,
        **context,
    )
    return HTMLResponse(page, status)


def error_page(site: AppState, visit: RequestContext | None, refused: Refused) -> Response:
    """One sentence on a page of its own."""
    response = render(site, visit, "error.html", refused.status, sentence=refused.sentence)
    if refused.retry_after:
        response.headers["Retry-After"] = str(math.ceil(refused.retry_after))
    return response


def lost_page(site: AppState, visit: RequestContext, form: Form, instructor: bool) -> Response:
    """Who was signed out while typing gets back what was typed, to copy it."""
    typed = [(name, text) for name, text in form.fields.items() if name.startswith("answer:") and text]
    return render(site, visit, "lost.html", 403, typed=typed, instructor=instructor)
