"""How much, how many and how often: bodies counted while they arrive, rates, and wrong guesses that slow down."""

import asyncio
import threading
from collections import Counter, OrderedDict
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from typing import NamedTuple

import anyio

FORM_BYTES = 256 * 1024
"""Largest typed form: a hundred answers of 2,000 characters."""

FORM_FIELDS = 500
"""Most fields in a form: ten times a long sheet's."""

BODY_SECONDS = 30.0
"""A body that takes longer to arrive is given up; a phone on a slow line needs some seconds."""

STRANGER_SECONDS = 10.0
"""The same for who has not logged in and sends a code at most."""

BODIES_EACH = 8
"""Bodies of one person at once: a page reads some answers while one types."""

LARGE_AT_ONCE = 4
"""Bodies larger than a form in hand at once; each takes some five times its size until it has been read."""


class Rate(NamedTuple):
    """So many at once, and so many again every so many seconds."""

    burst: int
    every: float


RATES: dict[str, Rate] = {
    "request": Rate(
        600, 0.02
    ),  # per person; per address for who has not logged in: a class behind one comes in at once
    "again": Rate(10, 60.0),  # per student: marks asked about
    "submit": Rate(6, 10.0),  # per student
    "reading": Rate(60, 0.5),  # per student: one look for each pause in typing
    "practice": Rate(10, 6.0),  # per student: each new set is solved on the spot
    "export": Rate(10, 5.0),  # the instructor
}

FREE_TRIES = 5
"""Wrong secrets of one code, or wrong passphrases, that cost no time."""

MAX_DELAY = 8.0
"""Seconds that a try waits at most, after wrong ones: the right one, too, so that nobody is ever locked out."""

FORGOTTEN_SECONDS = 900.0
"""After the last wrong try, until it is forgotten."""

TRIES_AT_ONCE = 16
"""Tries in hand for one code, or for the passphrase from one address."""

MAX_KEPT = 20_000
"""Buckets and failures remembered; the oldest go first."""


class TooLarge(Exception):
    """A body is larger than the limit."""


class TooSlow(Exception):
    """A body did not arrive in time."""


class TooMany(Exception):
    """There are too many of one's own in hand."""


async def read_body(
    stream: AsyncIterator[bytes], announced: str | None, most: int, seconds: float = BODY_SECONDS
) -> bytes:
    """Read a body, and stop as soon as it is too large.

    Parameters
    ----------
    stream : async iterator of bytes
        The body as it arrives.
    announced : str or None
        The Content-Length header, if there was one: too large a number is refused without reading.
    most : int
        The limit in bytes.
    seconds : float
        How long it may take.

    Raises
    ------
    TooLarge
        If it is larger, by what is announced or by what has come.
    TooSlow
        If it takes longer.
    """
    if announced is not None and announced.isdecimal() and int(announced[:20]) > most:
        raise TooLarge
    body = bytearray()
    try:
        with anyio.fail_after(seconds):
            async for chunk in stream:
                body += chunk
                if len(body) > most:
                    raise TooLarge
    except TimeoutError:
        raise TooSlow from None
    return bytes(body)


class Rates:
    """Token buckets, one for each thing done and who does it; ``clock`` gives monotonic seconds."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._buckets: OrderedDict[tuple[str, str], tuple[float, float]] = OrderedDict()

    def wait(self, what: str, who: str) -> float:
        """Take one turn; 0 if it was there, else the seconds until the next."""
        rate = RATES[what]
        now = self._clock()
        with self._lock:
            tokens, since = self._buckets.get((what, who), (float(rate.burst), now))
            tokens = min(rate.burst, tokens + (now - since) / rate.every)
            enough = tokens >= 1
            self._buckets[what, who] = (tokens - enough, now)
            self._buckets.move_to_end((what, who))
            while len(self._buckets) > MAX_KEPT:
                self._buckets.popitem(last=False)
        return 0.0 if enough else (1 - tokens) * rate.every


class Failures:
    """Counts wrong guesses by name; each makes the next try wait longer, and none locks."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._last: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def delay(self, name: str) -> float:
        """Seconds that a try must wait: none after few failures, then more and more, never above `MAX_DELAY`."""
        count = self._count(name)
        return 0.0 if count < FREE_TRIES else min(2.0 ** min(count - FREE_TRIES, 10), MAX_DELAY)

    def failed(self, name: str) -> None:
        """Count a failure."""
        self._last[name] = (self._count(name) + 1, self._clock())
        self._last.move_to_end(name)
        while len(self._last) > MAX_KEPT:
            self._last.popitem(last=False)

    def cleared(self, name: str) -> None:
        """Forget the failures of a name."""
        self._last.pop(name, None)

    def _count(self, name: str) -> int:
        count, at = self._last.get(name, (0, 0.0))
        return count if self._clock() < at + FORGOTTEN_SECONDS else 0


class InHand:
    """Counts what each person has in hand, and lets few large bodies in at once; the others wait before they are read."""

    def __init__(self) -> None:
        self._of: Counter[str] = Counter()
        self._large = asyncio.Semaphore(LARGE_AT_ONCE)

    @contextmanager
    def one_of(self, most: int, who: str) -> Iterator[None]:
        """While one more of somebody's is in hand.

        Raises
        ------
        TooMany
            If there are `most` already.
        """
        if self._of[who] >= most:
            raise TooMany
        self._of[who] += 1
        try:
            yield
        finally:
            self._of[who] -= 1
            if not self._of[who]:
                del self._of[who]

    @asynccontextmanager
    async def body_of(self, who: str, *, large: bool) -> AsyncIterator[None]:
        """While a body is read and worked on.

        Raises
        ------
        TooMany
            If a person sends too many at once, or a second large one.
        """
        with self.one_of(BODIES_EACH, f"body {who}"):
            if not large:
                yield
                return
            with self.one_of(1, f"large body {who}"):
                async with self._large:
                    yield
