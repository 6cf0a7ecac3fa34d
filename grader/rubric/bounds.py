"""How long a rubric may take to be solved and vetted, and what is said where it takes longer.

The bound is kept by a timer of the operating system, in the main thread, unless somebody's timer is running already
(a run bounds each upload by its own); where there are no such timers, the sizes in this room are all that bounds the time.
"""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from grader.errors import RubricError

MAX_SECONDS = 20.0
"""For a whole file; a key of twelve items takes less than one."""

MAX_ACTIONS = 40
"""Most instants at which a circuit changes: each opens an interval of its own."""

MAX_SYMBOLS = 16
"""Most letters in one problem: an answer's length grows quicker than any power of their number."""

MAX_SYMBOLIC_TEXT = 80
"""Longest formula of letters for an element's value, in characters."""

MAX_SYMBOLIC_POWER = 4
"""Highest power in one."""

MAX_KEY_PARTS = 20
"""Most parts of a dotted key: the reader of the format takes their number squared."""

_place: ContextVar[str] = ContextVar("_place", default="")


def working_on(where: str) -> None:
    """Note what is being worked out, for the sentence that says what took too long."""
    _place.set(where)


@contextmanager
def bounded_time(seconds: float = MAX_SECONDS) -> Iterator[None]:
    """Give what is done inside a bound.

    Raises
    ------
    RubricError
        With one sentence that names the item at work when the time was over.
    """

    def over(*_: object) -> None:
        raise RubricError(
            (
                f"{_place.get()}: working this out takes longer than {seconds:g} s; ask for less, or give numbers for letters.",
            )
        )

    free = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if not free or signal.getitimer(signal.ITIMER_REAL)[0] > 0:
        yield
        return
    before = signal.signal(signal.SIGALRM, over)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
