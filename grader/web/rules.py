"""When an attempt may be made, which one counts, and when the reference answers may be seen."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Protocol, TypeVar

from msgspec import Struct

OPEN, CLOSED = "open", "closed"
"""What the instructor may have said of a sheet; "" is nothing: the due time alone decides."""


class Dated(Protocol):
    """An attempt of which the time is known."""

    @property
    def at(self) -> datetime:
        """When it was made."""


class Attempted(Dated, Protocol):
    """An attempt with its points."""

    @property
    def total(self) -> float:
        """Points earned."""


A = TypeVar("A", bound=Attempted)


class Rules(Struct, frozen=True, kw_only=True):
    """The rules of attempts."""

    due: datetime | None = None
    """No attempt counts from this instant on, with its time zone."""
    attempts: int | None = None
    """Most attempts of one student at one sheet; None: as many as they like."""
    keep: str = "best"
    """``"best"`` or ``"last"``: which attempt counts."""
    wait: float = 0.0
    """Seconds that must pass between two attempts."""


class AttemptStatus(Struct, frozen=True, kw_only=True):
    """Whether one student may make an attempt now.

    ``refusal`` says why not, in one sentence ("" if they may); ``left`` counts the attempts that remain
    (None: no limit); ``over``: waiting does not help.
    """

    refusal: str
    left: int | None
    over: bool = False


def accepting(rules: Rules, state: str, now: datetime) -> bool:
    """Whether a sheet takes attempts: as the instructor said, else until the due time."""
    if state:
        return state == OPEN
    return rules.due is None or now < rules.due


def standing(rules: Rules, state: str, now: datetime, past: Sequence[Dated]) -> AttemptStatus:
    """Where a student stands who made the attempts `past`, oldest first."""
    left = None if rules.attempts is None else max(0, rules.attempts - len(past))
    if not accepting(rules, state, now):
        why = "The instructor has closed this sheet." if state == CLOSED else "The due time has passed."
        return AttemptStatus(refusal=f"{why} It takes no more attempts.", left=left, over=True)
    if left == 0:
        made = "The one attempt has" if rules.attempts == 1 else f"All {rules.attempts} attempts have"
        return AttemptStatus(refusal=f"{made} been made.", left=left, over=True)
    if past and rules.wait:
        seconds = (past[-1].at + timedelta(seconds=rules.wait) - now).total_seconds()
        if seconds > 0:
            return AttemptStatus(refusal=f"The next attempt can be made in {span(seconds)}.", left=left)
    return AttemptStatus(refusal="", left=left)


def counting(rules: Rules, attempts: Sequence[A]) -> A | None:
    """The attempt that counts, of one student's at one sheet, oldest first; the later one of equals."""
    if not attempts:
        return None
    if rules.keep == "last":
        return attempts[-1]
    return max(enumerate(attempts), key=lambda pair: (pair[1].total, pair[0]))[1]


def answers_shown(rules: Rules, state: str, now: datetime) -> bool:
    """Whether reference answers may be seen: nobody can make an attempt any more, and the due time has passed.

    An attempt is as old as the end of its body, so that none begun before can still count once these are open.
    """
    return not accepting(rules, state, now) and (rules.due is None or now >= rules.due)


def span(seconds: float) -> str:
    """A time to wait in words: ``"40 seconds"``, ``"2 minutes"``, ``"3 hours"``; rounded up."""
    whole = int(-(-seconds // 1))
    for size, name in ((3600, "hour"), (60, "minute")):
        if whole >= 2 * size or (whole == size and size == 3600):
            count = -(-whole // size)
            return f"{count} {name}{'s' if count > 1 else ''}"
    return f"{whole} second{'s' if whole != 1 else ''}"
