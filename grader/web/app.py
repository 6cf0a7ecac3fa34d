"""The routes, and what every request passes before a page sees it.

In this order: session, who is asking, how often, how much is announced and in hand, the body while it arrives, form,
origin and token of a change.  The pages themselves are functions from a visit to a response: plain ones run in threads, those that
a whole class sends at once are coroutines and hold no thread while a worker is busy.
"""

import asyncio
import inspect
import logging
import secrets
import traceback
from collections.abc import Awaitable, Callable
from contextlib import nullcontext
from pathlib import Path
from typing import TypeAlias, cast
from urllib.parse import quote, urlencode

import anyio
import anyio.to_thread
from msgspec.structs import replace
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from grader.reports.pages import FONTS
from grader.uploads.limits import FILE_BYTES
from grader.web.access.headers import WHO, SecurityHeaders
from grader.web.access.limits import BODY_SECONDS, FORM_BYTES, STRANGER_SECONDS, TooLarge, TooMany, TooSlow, read_body
from grader.web.access.sessions import COOKIE, Session, tag
from grader.web.data.records import new_id
from grader.web.data.store import Damaged, Unavailable
from grader.web.pages import downloads, handing_in, instructor, login, practice, review, student
from grader.web.pages.render import error_page, signed_out_page
from grader.web.received import Unusable
from grader.web.site import AppState
from grader.web.visit import Form, Refused, RequestContext, parse_form
from grader.web.work import Unpack
from grader.web.workers import JobFailed

Waiting: TypeAlias = Callable[[AppState, RequestContext], Awaitable[Response]]
Handler: TypeAlias = Callable[[AppState, RequestContext], Response] | Waiting

ANYBODY, STUDENT, INSTRUCTOR = "anybody", "student", "instructor"

LIGHT_THREADS = 4
HEAVY_THREADS = 2
"""Requests worked on at the same time."""

ANSWERED = "answered"
"""Names, in an address, the page that a form was answered with."""

IN_HAND = 16
"""Typed answers begun and not yet ended: enough to keep the workers and the disk busy.  What arrives with them waits
for its turn, so that the first of a class need not wait for the last."""

SMALL_FORM = 64 * 1024
"""Bytes of a form that is taken apart in a millisecond or two."""

NOT_NOW = "The database cannot be reached just now, so nothing was saved. Wait a moment, then try again."

ILLEGIBLE = "What was kept here can no longer be read. Tell the instructor: the server's log says what to do."

log = logging.getLogger("grader.web")


def build_app(site: AppState) -> Starlette:
    """The application over a site."""
    # Work in Python takes turns anyway: few threads at a time serve in order of arrival, and what takes long has its
    # own, so that nobody's answer waits for somebody's practice set.
    light, heavy = anyio.CapacityLimiter(LIGHT_THREADS), anyio.CapacityLimiter(HEAVY_THREADS)
    turns = asyncio.Semaphore(IN_HAND)

    def page(handler: Handler, *, long: bool) -> Waiting:
        if inspect.iscoroutinefunction(handler):
            return handler if long else _in_turn(handler, turns)
        return _in_thread(cast("Callable[[AppState, RequestContext], Response]", handler), heavy if long else light)

    def get(path: str, handler: Handler, who: str, *, long: bool = False) -> Route:
        return Route(path, _endpoint(site, page(handler, long=long), who, FORM_BYTES), methods=["GET"])

    def post(
        path: str, handler: Handler, who: str, *, at: str = "", long: bool = False, most: int = FORM_BYTES
    ) -> Route:
        return Route(path, _endpoint(site, page(handler, long=long), who, most, at or path), methods=["POST"])

    upload = FILE_BYTES + FORM_BYTES
    sheet = "/sheets/{sheet}"
    desk = "/instructor/sheets/{sheet}"
    routes = [
        Mount("/fonts", StaticFiles(directory=FONTS)),
        Mount("/static", StaticFiles(directory=Path(__file__).parent / "static")),
        get("/enter", login.enter_page, ANYBODY),
        post("/enter", login.enter, ANYBODY, long=True),
        post("/leave", login.leave, ANYBODY, at="/enter"),
        get("/", student.home, STUDENT),
        get(sheet, student.sheet_page, STUDENT),
        post(sheet, handing_in.answer, STUDENT),
        post(f"{sheet}/file", handing_in.hand_in_file, STUDENT, at=sheet, long=True, most=upload),
        post(f"{sheet}/reading", handing_in.reading, STUDENT),
        get(f"{sheet}/answers", student.answers_page, STUDENT, long=True),
        get("/attempts/{attempt}", student.attempt_page, STUDENT),
        post("/attempts/{attempt}/again", student.look_again, STUDENT, at="/attempts/{attempt}"),
        get(f"{sheet}/practice/{{problem}}", practice.page, STUDENT, long=True),
        post(f"{sheet}/practice/{{problem}}", practice.answer, STUDENT, long=True),
        get("/instructor/enter", login.instructor_page, ANYBODY),
        post("/instructor/enter", login.instructor_enter, ANYBODY, long=True),
        post("/instructor/leave", login.instructor_leave, ANYBODY, at="/instructor/enter"),
        get("/instructor", instructor.dashboard, INSTRUCTOR),
        get(desk, instructor.sheet_page, INSTRUCTOR, long=True),
        post(f"{desk}/state", instructor.set_state, INSTRUCTOR, at=desk),
        get(f"{desk}/review", review.review_page, INSTRUCTOR),
        post(f"{desk}/review", review.decide, INSTRUCTOR),
        get(f"{desk}/students/{{student:path}}", instructor.student_page, INSTRUCTOR),
        post(f"{desk}/students/{{student:path}}", review.decide_one, INSTRUCTOR),
        get(f"{desk}/attempts/{{attempt}}/{{student:path}}", downloads.handed_in, INSTRUCTOR),
        get(f"{desk}/audit", downloads.audit, INSTRUCTOR, long=True),
        get(f"{desk}/files/{{file}}", downloads.download, INSTRUCTOR, long=True),
    ]
    app = Starlette(routes=routes, exception_handlers={HTTPException: _http_error(site)})
    app.router.redirect_slashes = False  # a redirection would lead to whatever host the sender named
    app.add_middleware(SecurityHeaders, tls=site.tls)
    return app


def _endpoint(
    site: AppState, answer: Waiting, who: str, most: int, at: str = ""
) -> Callable[[Request], Awaitable[Response]]:
    """`at` is the address under which a browser finds what a form was answered with."""

    async def changed(request: Request, visit: RequestContext, most: int, *, allowed: bool) -> Response:
        announced = request.headers.get("content-length")
        large = most > FORM_BYTES and not (announced and announced.isdecimal() and int(announced[:20]) <= FORM_BYTES)
        async with site.in_hand.body_of(request.scope[WHO], large=large) if visit.known else nullcontext():
            seconds = BODY_SECONDS if visit.known else STRANGER_SECONDS
            body = await read_body(request.stream(), announced, most, seconds)
            arrived = site.now()
            form = await _form(site, request.headers.get("content-type", ""), body)
            request.state.form = form
            del body
            if not allowed:
                return signed_out_page(site, visit, form, who == INSTRUCTOR)
            _check_origin(site, request, visit.session, form)
            return await answer(site, replace(visit, form=form, at=arrived))

    async def endpoint(request: Request) -> Response:
        visit = _visit(site, request)
        request.scope[WHO] = visit.student.id if visit.student else "instructor" if visit.instructor else "-"
        try:
            _check_rate(site, visit)
            _check_path(visit)
            allowed = _allowed(visit, who)
            answered = site.answered.known((visit.session.nonce, visit.query.get(ANSWERED)))
            if answered is not None and request.method == "GET":
                return HTMLResponse(answered.body, answered.status_code)
            if not allowed and request.method == "GET":
                return RedirectResponse("/instructor/enter" if who == INSTRUCTOR else "/enter", 303)
            if request.method == "POST":
                # Who may not change anything sends a form at most: what was typed is shown back, not lost.
                response = await changed(request, visit, most if allowed else FORM_BYTES, allowed=allowed)
            else:
                response = await answer(site, visit)
        except ClientDisconnect:
            response = Response(status_code=400)
        except Exception as error:  # noqa: BLE001 - whatever it is, it is said in one sentence
            refused = _refusal(error, most)
            link = ("/instructor" if who == INSTRUCTOR else "/", "Back to the sheets")
            response = error_page(site, visit, refused, getattr(request.state, "form", None), link=link)
            if isinstance(error, TooLarge | TooSlow | TooMany):
                response.headers["Connection"] = "close"  # the rest of the body is not waited for
        if request.method == "POST" and "Connection" not in response.headers:
            response = _found_again(site, request, visit.session, response, at)
        if request.cookies.get(COOKIE) is None and "set-cookie" not in response.headers:
            site.remember(response, visit.session)
        return response

    return endpoint


def _found_again(site: AppState, request: Request, session: Session, response: Response, at: str) -> Response:
    """A page that answers a form, under an address of its own: coming back to it or loading it again sends nothing twice.

    Where the browser keeps no cookie, or what asks is no browser but a script, the page itself.
    """
    wants_page = isinstance(response, HTMLResponse) and "text/html" in request.headers.get("accept", "")
    if not wants_page or site.session(request.cookies.get(COOKIE)) != session:
        return response
    number = new_id()
    site.answered.made((session.nonce, number), lambda: response)
    query = urlencode({**request.query_params, ANSWERED: number})
    path = "/".join(quote(request.path_params.get(part.strip("{}"), part), safe="") for part in at.split("/"))
    return RedirectResponse(f"{path}?{query}", 303)


async def _form(site: AppState, content_type: str, body: bytes) -> Form:
    """The form in a body; a large one is taken apart by a worker, so that nobody else waits for it."""
    if len(body) <= SMALL_FORM:
        return await parse_form(content_type, body)
    found: Form | Refused = await site.workers.done(Unpack(content_type, body), long=True)
    if isinstance(found, Refused):
        raise found
    return found


def _in_thread(handler: Callable[[AppState, RequestContext], Response], threads: anyio.CapacityLimiter) -> Waiting:
    async def page(site: AppState, visit: RequestContext) -> Response:
        return await anyio.to_thread.run_sync(handler, site, visit, limiter=threads)

    return page


def _in_turn(handler: Waiting, turns: asyncio.Semaphore) -> Waiting:
    async def page(site: AppState, visit: RequestContext) -> Response:
        async with turns:
            return await handler(site, visit)

    return page


def _visit(site: AppState, request: Request) -> RequestContext:
    session = site.session(request.cookies.get(COOKIE))
    record = site.code_of(session.student or "")
    student_known = record is not None and tag(record.hash) == session.student_tag
    return RequestContext(
        at=site.now(),
        address=request.client.host if request.client else "-",
        session=session,
        token=site.signer.token(session),
        student=site.students.get(session.student or "") if student_known else None,
        instructor=session.instructor_tag != "" and session.instructor_tag == tag(site.passphrase),
        path=dict(request.path_params),
        query=dict(request.query_params),
    )


def _allowed(visit: RequestContext, who: str) -> bool:
    return who == ANYBODY or (visit.student is not None if who == STUDENT else visit.instructor)


def _check_path(visit: RequestContext) -> None:
    if not all(part.isprintable() for part in visit.path.values()):
        raise Refused(404, "There is no such page.")


def _check_rate(site: AppState, visit: RequestContext) -> None:
    seconds = site.rates.wait("request", visit.student.id if visit.student else visit.address)
    if seconds:
        raise Refused(429, "That were too many requests in a short time. Please wait a moment.", seconds)


def _check_origin(site: AppState, request: Request, session: Session, form: Form) -> None:
    """A change must come from a page of ours: the browser says so, and the form carries the session's token."""
    if request.headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        raise Refused(403, "This form was sent from a page of another site, so nothing was changed.")
    if not site.signer.is_token(session, form.text("token")):
        raise Refused(
            403,
            "The page was too old, or your browser keeps no cookies for it, so nothing was changed. "
            "Allow cookies for this site, load the page again and repeat.",
        )


def _refusal(error: Exception, most: int) -> Refused:
    """What is said of a request that was not done; `most` is the number of bytes that its body may have."""
    if isinstance(error, Refused):
        return error
    if isinstance(error, TooLarge):
        return Refused(413, f"That is too large: at most {most // 1024} KiB can be sent here.")
    if isinstance(error, TooSlow):
        return Refused(408, "The form took too long to arrive. Please send it again.")
    if isinstance(error, TooMany):
        return Refused(429, "Others of yours are still being taken in. Wait until they are done.", 2.0)
    if isinstance(error, Unusable):
        return Refused(413, error.sentence)
    if isinstance(error, JobFailed):
        return Refused(503, f"This could not be worked out: {error.why}.")
    if isinstance(error, Unavailable):
        return Refused(503, NOT_NOW, 5.0)
    if isinstance(error, Damaged):
        log.error("%s", error)
        return Refused(503, ILLEGIBLE)
    return _own_fault(error)


def _own_fault(error: Exception) -> Refused:
    """Log where the program failed, never with what data, and tell the person a number to quote."""
    number = secrets.token_hex(4)
    frames = traceback.extract_tb(error.__traceback__)[-8:]
    places = " < ".join(f"{Path(frame.filename).name}:{frame.lineno}" for frame in reversed(frames))
    log.error("fault %s: %s at %s", number, type(error).__name__, places)
    return Refused(500, f"The program failed here, which is not your fault. Tell the instructor this number: {number}.")


def _http_error(site: AppState) -> Callable[[Request, Exception], Response]:
    sentences = {404: "There is no such page.", 405: "That cannot be done on this page."}

    def handler(_request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        refused = Refused(status, sentences.get(status, "That did not work."))
        return error_page(site, None, refused)

    return handler
