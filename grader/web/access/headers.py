"""What every answer carries, and one line of log for each: ids and times, never names, answers or queries.

References
----------
W3C, Content Security Policy Level 3; RFC 6797 (HTTP Strict Transport Security).
"""

import base64
import hashlib
import logging
import re
import time
from functools import reduce

from starlette.datastructures import MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from grader.regex import regex

log = logging.getLogger("grader.web")

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""Nothing inline, nothing from elsewhere, nobody may frame these pages."""

_STYLES = regex("<style>(.*?)</style>", re.DOTALL)


def policy_for(page: str) -> str:
    """The policy of a self-contained report: exactly its own style sheet is allowed, by its hash, and no script at all."""
    hashes = (base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() for style in _STYLES.findall(page))
    allowed = " ".join(f"'sha256-{one}'" for one in hashes)
    own = (
        ("style-src 'self'", f"style-src {allowed}"),
        ("script-src 'self'", "script-src 'none'"),
        ("font-src 'self'", "font-src data:"),
    )
    return reduce(lambda policy, pair: policy.replace(*pair), own, POLICY)


HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    "Cache-Control": "no-store",
}

TARGET_BYTES = 16 * 1024
HEADER_BYTES = 32 * 1024
"""Longest address and headers; a browser's have one or two thousand."""

WHO = "grader.who"
"""Key of the scope under which an endpoint notes the id of who asked, for the log."""


class SecurityHeaders:
    """Adds the headers, unless a page set its own, and logs; with ``tls`` a browser is told to keep coming by https."""

    def __init__(self, app: ASGIApp, tls: bool) -> None:
        self._app = app
        self._headers = dict(HEADERS)
        if tls:
            self._headers["Strict-Transport-Security"] = "max-age=31536000"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and what comes back."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        begin = time.perf_counter()
        scope[WHO] = "-"

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers.setdefault(name, value)
                if scope["path"].startswith(("/static/", "/fonts/")):
                    headers["Cache-Control"] = "max-age=3600"
                spent = (time.perf_counter() - begin) * 1000
                headers["Server-Timing"] = f"server;dur={spent:.1f}"
                log.info("%s %s %s %s %.0f ms", scope[WHO], scope["method"], _place(scope), message["status"], spent)
            await send(message)

        if refused := _refused(scope):
            status, sentence = refused
            await PlainTextResponse(sentence, status, {"Connection": "close"})(scope, receive, guarded)
            return
        await self._app(scope, receive, guarded)


def _refused(scope: Scope) -> tuple[int, str] | None:
    """Status and sentence for a request that no browser sends."""
    headers = scope["headers"]
    if {b"content-length", b"transfer-encoding"} <= {name for name, _ in headers}:
        # Whoever stands in between may take the other length and see two requests where this is one (RFC 9112, 6.3).
        return 400, "A request says how long it is once: by Content-Length or by Transfer-Encoding, not by both."
    if len(scope["raw_path"]) + len(scope["query_string"]) > TARGET_BYTES:
        return 414, "This address is too long."
    if sum(len(name) + len(value) for name, value in headers) > HEADER_BYTES:
        return 431, "The headers of this request are too long."
    return None


def _place(scope: Scope) -> str:
    """The path without its query; control characters cannot come through a path that a route took."""
    path: str = scope["path"]
    return path[:200] if path.isprintable() else "(unprintable)"
