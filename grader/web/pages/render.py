"""Renders templates; what comes from people is escaped, and mathematics passes the reports' list of what may stand in it."""

import math
from pathlib import Path
from typing import Any

from markupsafe import escape
from starlette.responses import HTMLResponse, Response

from grader.reports.pages import environment
from grader.web.access.headers import policy_for
from grader.web.site import AppState
from grader.web.visit import Form, Refused, RequestContext

TEMPLATES = Path(__file__).parents[1] / "templates"


def render(
    site: AppState, visit: RequestContext | None, template: str, status: int = 200, **context: Any
) -> HTMLResponse:
    """A page; every template knows the visit (None where there is none) and its token."""
    page = (
        environment(TEMPLATES)
        .get_template(template)
        .render(
            visit=visit,
            token=visit.token if visit else "",
            course=site.course,
            local=site.local_time,
            **context,
        )
    )
    return HTMLResponse(page, status)


def report_page(page: str, address: str, title: str) -> HTMLResponse:
    """A self-contained report as a page of the site: with a way back, and its own style allowed."""
    back = f'<body>\n<nav class="back" aria-label="Pages"><a href="{escape(address)}">← {escape(title)}</a></nav>'
    return HTMLResponse(page.replace("<body>", back, 1), headers={"Content-Security-Policy": policy_for(page)})


TYPED = ("answer:", "sentence", "reason")
"""What the names of fields begin with that a person has written into."""


def error_page(
    site: AppState,
    visit: RequestContext | None,
    refused: Refused,
    form: Form | None = None,
    *,
    title: str = "",
    link: tuple[str, str] = ("/", "Back to the sheets"),
) -> Response:
    """One sentence on a page of its own, and below it what was typed into the form, to copy it: nothing is lost."""
    fields = form.fields.items() if form is not None else ()
    typed = [(name.removeprefix("answer:"), text) for name, text in fields if name.startswith(TYPED) and text]
    named = "Nothing here" if refused.status == 404 else "Not done"
    response = render(
        site,
        visit,
        "error.html",
        refused.status,
        refused=refused,
        typed=typed,
        title=title or named,
        link=link,
        answers=any(name.startswith(TYPED[0]) for name, _ in fields),
    )
    if refused.retry_after:
        response.headers["Retry-After"] = str(math.ceil(refused.retry_after))
    return response


def signed_out_page(site: AppState, visit: RequestContext, form: Form, instructor: bool) -> Response:
    """Who was signed out while typing gets back what was typed."""
    refused = Refused(403, "Nothing was counted. Enter again, then send it once more.")
    link = ("/instructor/enter" if instructor else "/enter", "Enter again")
    return error_page(site, visit, refused, form, title="You have been signed out", link=link)
