"""How much and how often: body sizes counted while they arrive, rates per person and per address, locks."""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import AsyncIterator, Callable
from typing import NamedTuple

import anyio

FORM_BYTES = 256 * 1024
"""Largest typed form: a hundred answers of 2,000 characters."""

FORM_FIELDS = 500
"""Most fields in a form: ten times a long sheet's."""

BODY_SECONDS = 30.0
"""A body that takes longer to arrive is given up; a phone on a slow line needs some seconds."""


class Rate(NamedTuple):
    """So many at once, and so many again every so many seconds."""

    burst: int
    every: float


RATES: dict[str, Rate] = {
    "request": Rate(600, 0.02),  # per address: a class of 50 behind one address, twelve requests each, then 50 a second
    "enter": Rate(120, 1.0),  # per address: a class comes in at once
    "wrong code": Rate(60, 15.0),  # per address, failures alone
    "submit": Rate(6, 10.0),  # per student
    "reading": Rate(60, 0.5),  # per student: one look for each pause in typing
    "practice": Rate(10, 6.0),  # per student: each new set is solved on the spot
    "passphrase": Rate(10, 30.0),  # per address, failures alone
    "export": Rate(10, 5.0),  # the instructor
}

LOCK_AFTER = 5
"""Wrong secrets for one code, or wrong passphrases, after which it is locked."""

LOCK_SECONDS = 60.0
"""First lock; each further one is twice as long, up to `MAX_LOCK`."""

MAX_LOCK = 3600.0

MAX_KEPT = 20_000
"""Buckets and locks remembered; the oldest go first."""


class TooLarge(Exception):
    """A body is larger than the limit."""


class TooSlow(Exception):
    """A body did not arrive in time."""


async def read_body(stream: AsyncIterator[bytes], announced: str | None, most: int) -> bytes:
    """Read a body, and stop as soon as it is too large.

    Parameters
    ----------
    stream : async iterator of bytes
        The body as it arrives.
    announced : str or None
        The Content-Length header, if there was one: too large a number is refused without reading.
    most : int
        The limit in bytes.

    Raises
    ------
    TooLarge
        If it is larger, by what is announced or by what has come.
    TooSlow
        If it takes longer than `BODY_SECONDS`.
    """
    if announced is not None and announced.isdecimal() and int(announced[:20]) > most:
        raise TooLarge
    body = bytearray()
    try:
        with anyio.fail_after(BODY_SECONDS):
            async for chunk in stream:
                body += chunk
                if len(body) > most:
                    raise TooLarge
    except TimeoutError:
        raise TooSlow from None
    return bytes(body)


class Rates:
    """Token buckets, one for each thing done and who does it.

    Parameters
    ----------
    clock : callable
        Monotonic seconds.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._buckets: OrderedDict[tuple[str, str], tuple[float, float]] = OrderedDict()

    def wait(self, what: str, who: str) -> float:
        """Take one turn; 0 if it was there, else the seconds until the next."""
        return self._turn(what, who, take=True)

    def exhausted(self, what: str, who: str) -> float:
        """As `wait`, without taking a turn."""
        return self._turn(what, who, take=False)

    def _turn(self, what: str, who: str, *, take: bool) -> float:
        rate = RATES[what]
        now = self._clock()
        with self._lock:
            tokens, since = self._buckets.get((what, who), (float(rate.burst), now))
            tokens = min(rate.burst, tokens + (now - since) / rate.every)
            enough = tokens >= 1
            self._buckets[what, who] = (tokens - 1 if take and enough else tokens, now)
            self._buckets.move_to_end((what, who))
            while len(self._buckets) > MAX_KEPT:
                self._buckets.popitem(last=False)
        return 0.0 if enough else (1 - tokens) * rate.every


class Locks:
    """Locks a name after repeated failures, each time for longer; a success clears it.

    Parameters
    ----------
    clock : callable
        Monotonic seconds.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._failures: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def seconds(self, name: str) -> int:
        """For how long the name is still locked, in whole seconds; 0 if it is not."""
        with self._lock:
            _, until = self._failures.get(name, (0, 0.0))
        return max(0, math.ceil(until - self._clock()))

    def failed(self, name: str) -> None:
        """Count a failure."""
        now = self._clock()
        with self._lock:
            count, until = self._failures.get(name, (0, 0.0))
            count += 1
            if count % LOCK_AFTER == 0:
                until = now + min(LOCK_SECONDS * 2 ** min(count // LOCK_AFTER - 1, 10), MAX_LOCK)
            self._failures[name] = (count, until)
            self._failures.move_to_end(name)
            while len(self._failures) > MAX_KEPT:
                self._failures.popitem(last=False)

    def cleared(self, name: str) -> None:
        """Forget the failures of a name."""
        with self._lock:
            self._failures.pop(name, None)
