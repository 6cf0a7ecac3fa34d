"""Entering with a personal code, the instructor's passphrase, and leaving."""

import asyncio
from collections.abc import Callable
from typing import TypeVar

import anyio.to_thread
from starlette.responses import RedirectResponse, Response

from grader.web.access.codes import NAME_LENGTH, matches, owner, tidy
from grader.web.access.limits import TRIES_AT_ONCE, TooMany
from grader.web.access.sessions import Session, tag
from grader.web.pages.render import render
from grader.web.site import AppState
from grader.web.visit import RequestContext

T = TypeVar("T")

INSTRUCTOR = "the instructor"
"""Stands for the passphrase where failures are counted: no code's name has this length."""

WRONG_SECONDS = 0.5
"""What a wrong code waits at least, so that guessing is slow where nobody's code is aimed at."""

MANY = "Too many attempts at this are being checked. Wait a few seconds, then try again."


def enter_page(site: AppState, visit: RequestContext) -> Response:
    """Ask for the code."""
    if visit.student is not None:
        return RedirectResponse("/", 303)
    return render(site, visit, "enter.html", fault="")


async def enter(site: AppState, visit: RequestContext) -> Response:
    """Check a code, and open a session for the student it belongs to."""
    code = tidy(visit.form.text("code"))
    if code is None:
        fault = "A code has sixteen letters and digits, in four groups, without 0, 1, I and O. Copy it from your slip."
        return render(site, visit, "enter.html", 422, fault=fault)
    try:
        records = site.codes_by_name()
        name = code[:NAME_LENGTH]
        record = await _guarded(site, name, name, lambda: owner(code, records))
    except TooMany:
        return render(site, visit, "enter.html", 429, fault=MANY)
    if record is None or record.student not in site.students:
        await asyncio.sleep(WRONG_SECONDS)
        fault = "This code is not known here. Compare it with your slip, letter by letter."
        return render(site, visit, "enter.html", 403, fault=fault)
    response = RedirectResponse("/", 303)
    site.remember(response, visit.session.entered(student=record.student, tag=tag(record.hash)))
    return response


def leave(site: AppState, visit: RequestContext) -> Response:
    """End the student's session; the instructor's, if there is one in the same browser, stays."""
    site.end(visit.session)
    response = RedirectResponse("/enter", 303)
    site.remember(response, Session(instructor_tag=visit.session.instructor_tag))
    return response


def instructor_page(site: AppState, visit: RequestContext) -> Response:
    """Ask for the passphrase."""
    if visit.instructor:
        return RedirectResponse("/instructor", 303)
    return render(site, visit, "instructor_enter.html", fault="")


async def instructor_enter(site: AppState, visit: RequestContext) -> Response:
    """Check the passphrase."""
    given = visit.form.text("passphrase")
    try:
        right = await _guarded(
            site, INSTRUCTOR, f"{INSTRUCTOR} {visit.address}", lambda: matches(given, site.passphrase)
        )
    except TooMany:
        return render(site, visit, "instructor_enter.html", 429, fault=MANY)
    if not right:
        return render(site, visit, "instructor_enter.html", 403, fault="That is not the passphrase.")
    response = RedirectResponse("/instructor", 303)
    site.remember(response, visit.session.instructing(tag(site.passphrase)))
    return response


async def _guarded(site: AppState, name: str, place: str, check: Callable[[], T]) -> T:
    """The outcome of a check of a secret, slower after wrong tries at that name, in a thread for such work.

    Wrong tries delay the next ones and never refuse a right one: a class behind one address is the normal case, and
    nobody can lock out another.

    Raises
    ------
    TooMany
        If too many tries are in hand at this place.
    """
    with site.in_hand.one_of(TRIES_AT_ONCE, f"try {place}"):
        await asyncio.sleep(site.failures.delay(name))
        found = await anyio.to_thread.run_sync(check, limiter=site.hashing)
    if found:
        site.failures.cleared(name)
    else:
        site.failures.failed(name)
    return found


def instructor_leave(site: AppState, visit: RequestContext) -> Response:
    """End the instructor's session."""
    site.end(visit.session)
    response = RedirectResponse("/instructor/enter", 303)
    site.remember(response, Session(student=visit.session.student, student_tag=visit.session.student_tag))
    return response
