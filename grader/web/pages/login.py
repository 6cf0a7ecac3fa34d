"""Entering with a personal code, the instructor's passphrase, and leaving."""

from __future__ import annotations

from starlette.responses import RedirectResponse, Response

from grader.web.access.codes import NAME_LENGTH, matches, owner, tidy
from grader.web.access.sessions import Session, tag
from grader.web.pages.render import render
from grader.web.rules import span
from grader.web.site import AppState
from grader.web.visit import Refused, RequestContext

INSTRUCTOR = "the instructor"
"""The name of the lock on the passphrase: no code's name has this length."""


def enter_page(site: AppState, visit: RequestContext) -> Response:
    """Ask for the code."""
    if visit.student is not None:
        return RedirectResponse("/", 303)
    return render(site, visit, "enter.html", fault="")


def enter(site: AppState, visit: RequestContext) -> Response:
    """Check a code, and open a session for the student it belongs to."""
    _refuse_if_hasty(site, visit, "enter", take=True)
    _refuse_if_hasty(site, visit, "wrong code", take=False)
    code = tidy(visit.form.text("code"))
    if code is None:
        fault = "A code has sixteen letters and digits, in four groups, without 0, 1, I and O. Copy it from your slip."
        return render(site, visit, "enter.html", 422, fault=fault)
    name = code[:NAME_LENGTH]
    locked = site.locks.seconds(name)
    if locked:
        fault = f"This code is locked after several wrong tries. Try again in {span(locked)}, or ask the instructor."
        return render(site, visit, "enter.html", 429, fault=fault)
    record = owner(code, site.codes_by_name())
    if record is None or record.student not in site.students:
        site.rates.wait("wrong code", visit.address)
        site.locks.failed(name)
        fault = "This code is not known here. Compare it with your slip, letter by letter."
        return render(site, visit, "enter.html", 403, fault=fault)
    site.locks.cleared(name)
    response = RedirectResponse("/", 303)
    site.remember(response, visit.session.entered(student=record.student, tag=tag(record.hash)))
    return response


def leave(site: AppState, visit: RequestContext) -> Response:
    """End the student's session; the instructor's, if there is one in the same browser, stays."""
    response = RedirectResponse("/enter", 303)
    site.remember(response, Session(instructor_tag=visit.session.instructor_tag))
    return response


def instructor_page(site: AppState, visit: RequestContext) -> Response:
    """Ask for the passphrase."""
    if visit.instructor:
        return RedirectResponse("/instructor", 303)
    return render(site, visit, "instructor_enter.html", fault="")


def instructor_enter(site: AppState, visit: RequestContext) -> Response:
    """Check the passphrase."""
    _refuse_if_hasty(site, visit, "passphrase", take=False)
    lock = f"{INSTRUCTOR} {visit.address}"
    locked = site.locks.seconds(lock)
    if locked:
        fault = f"Locked after several wrong tries. Try again in {span(locked)}."
        return render(site, visit, "instructor_enter.html", 429, fault=fault)
    right = matches(visit.form.text("passphrase"), site.passphrase)
    if not right:
        site.rates.wait("passphrase", visit.address)
        site.locks.failed(lock)
        return render(site, visit, "instructor_enter.html", 403, fault="That is not the passphrase.")
    site.locks.cleared(lock)
    response = RedirectResponse("/instructor", 303)
    site.remember(response, visit.session.instructing(tag(site.passphrase)))
    return response


def instructor_leave(site: AppState, visit: RequestContext) -> Response:
    """End the instructor's session."""
    response = RedirectResponse("/instructor/enter", 303)
    site.remember(response, Session(student=visit.session.student, student_tag=visit.session.student_tag))
    return response


def _refuse_if_hasty(site: AppState, visit: RequestContext, what: str, *, take: bool) -> None:
    turn = site.rates.wait if take else site.rates.exhausted
    seconds = turn(what, visit.address)
    if seconds:
        raise Refused(429, f"There were too many tries from your address. Try again in {span(seconds)}.", seconds)
