"""How the server listens: uvicorn with its own limits, and with the two that it lacks.

uvicorn closes idle connections and bounds how many there are, but waits without end for the headers of a request, and
lets one visitor take every connection.  Here headers have a time limit, and of the connections that only wait, each
address without a login and each person has a number of their own: beyond it the oldest goes, so that who comes to say
something always gets in.
"""

import asyncio
from typing import Any

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from grader.web.access.headers import HEADER_BYTES, WHO

BACKLOG = 1024
"""Connections that may wait to be taken: a class that comes in at once."""

HEADER_SECONDS = 10.0
"""Headers that take longer are given up; a browser sends them in one piece."""

IDLE_SECONDS = 15
"""Between two requests on one connection."""

MAX_CONNECTIONS = 500
"""More are answered with 503."""

MAX_WAITING = 350
"""Connections that have nothing in hand, of all visitors: the rest is kept for requests."""

MAX_WAITING_ADDRESS = 200
"""The same for one address, of those without a login: a class behind it opens some four each and then has logged in."""

MAX_WAITING_PERSON = 20
"""The same for one person who has logged in: three browsers."""


class PatientProtocol(H11Protocol):
    """One connection; ``proxy`` is the address whose connections are many visitors'."""

    proxy = ""
    since = 0.0
    _timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the connection, and send the oldest idle one away if there are too many."""
        super().connection_made(transport)
        self.since = self.loop.time()
        self._timer = self.loop.call_later(HEADER_SECONDS, self.give_up)
        self._make_room()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        self._stop_timer()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Pass on what came; headers that are not whole yet run against their time."""
        super().data_received(data)
        if not self._between_requests:
            self._stop_timer()
        elif self._timer is None:
            self._timer = self.loop.call_later(HEADER_SECONDS, self.give_up)

    def on_response_complete(self) -> None:
        """From here on it is idle."""
        self.since = self.loop.time()
        super().on_response_complete()
        self._make_room()

    @property
    def _between_requests(self) -> bool:
        return self.cycle is None or self.cycle.response_complete

    @property
    def visitor(self) -> tuple[str, int]:
        """Who is on the other side, by login or else by address, and how many connections such a one may keep waiting."""
        who = str(self.scope.get(WHO, "-")) if self.scope is not None else "-"
        if who != "-":
            return who, MAX_WAITING_PERSON
        address = self.client[0] if self.client else ""
        return f"from {address}", MAX_WAITING if address == self.proxy else MAX_WAITING_ADDRESS

    @property
    def waits(self) -> bool:
        """Whether nothing would be lost with it: no request, or the body of a stranger's that does not come."""
        return self._between_requests or (self.cycle.more_body and self.visitor[1] != MAX_WAITING_PERSON)

    def _make_room(self) -> None:
        if len(self.connections) <= MAX_WAITING_PERSON:
            return
        own, most = self.visitor
        waiting = [one for one in self.connections if isinstance(one, PatientProtocol) and one.waits]
        waiting.sort(key=lambda one: one.since)
        mine = [one for one in waiting if one.visitor[0] == own]
        for group, bound in ((mine, most), (waiting, MAX_WAITING)):
            for one in group[: max(0, len(group) - bound)]:
                one.give_up()

    def give_up(self) -> None:
        """Cut it off."""
        self._stop_timer()
        if not self.transport.is_closing():
            self.transport.abort()

    def _stop_timer(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None


def server_for(app: ASGIApp, proxy: str = "") -> uvicorn.Server:
    """A server for an application; `proxy` is the address of the reverse proxy whose headers are believed."""
    protocol: type[Any] = type("Protocol", (PatientProtocol,), {"proxy": proxy})
    config = uvicorn.Config(
        app,
        http=protocol,
        h11_max_incomplete_event_size=2 * HEADER_BYTES,
        ws="none",
        lifespan="off",
        log_config=None,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=bool(proxy),
        forwarded_allow_ips=proxy,
        backlog=BACKLOG,
        timeout_keep_alive=IDLE_SECONDS,
        limit_concurrency=MAX_CONNECTIONS,
        timeout_graceful_shutdown=10,
    )
    return uvicorn.Server(config)
