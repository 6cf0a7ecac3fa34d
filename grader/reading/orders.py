"""Options that are the same names in different orders: an answer chooses by the order in which it names all of them."""

import re
from collections.abc import Iterator
from functools import lru_cache

from grader.reading.claims import Clause, claimed
from grader.reading.options import listed
from grader.reading.parted import says_nothing
from grader.reading.refusals import CannotRead
from grader.reading.spelled import Token, spelled, tokens
from grader.regex import regex

_LABELLED = regex(
    r"^\W*(?:(?:option|answer|choice)\s+)?\(?[a-h](?:\)|\s*[:,.]|\s*$)|\b(?:so|hence|thus|therefore)\s+\(?[a-h]\)?\W*$",
    re.IGNORECASE,
)
"""``a``, ``option b: …``, ``… so (c)``"""
_BETWEEN = {*",;<>→-", "then", "and"}


def in_order(text: str, options: tuple[str, ...]) -> str | None:
    """The option in whose order an answer names all: ``first Y, then X, Z comes last``.

    None where options are no orders, and where an answer names none or has the label of an option, which goes before.

    Raises
    ------
    CannotRead
        If it names some, or some again, or says more of them than which comes next.
    """
    orders = _orders(options)
    if not orders or _LABELLED.search(text):
        return None
    claims = _claims(text, options)
    words = tokens(tuple(part for one in claims for word in one.words for part in word.text.split()), "in order")
    names = tuple(word.text for word in words if word.text in orders[0])
    if not names:
        return None
    signs = {*"<>"} & {*text}
    more = any(word.text not in orders[0] and not _tells_order(word) for word in words)
    denied = any(word.kind == "not" for one in claims for word in one.words)
    if more or denied or not all(sign in option for sign in signs for option in options) or names not in orders:
        raise CannotRead("choice-unknown", None, listed(options))
    return options[orders.index(names)]


def _tells_order(one: Token) -> bool:
    """Whether a word or sign says no more than that something comes next, or nothing."""
    return one.kind != "" or one.text in _BETWEEN or says_nothing(one)


def _claims(text: str, options: tuple[str, ...]) -> list[Clause]:
    """The clauses of an answer behind its last correction, reasons left out."""
    clauses = claimed(text, options, lettered=False, whole=False)
    start = max((one.part for one in clauses if one.opens == "correction"), default=0)
    return [one for one in clauses if one.part >= start and one.opens not in {"reason", "aside"}]


@lru_cache(maxsize=256)
def _orders(options: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The names of each option in its order, where all have the same, three or more, each once, and nothing else."""
    found = tuple(tuple(_names(option)) for option in options)
    alike = {frozenset(one) for one in found}
    names = len({*found[0]}) if found else 0
    whole = len(alike) == 1 and len({*found}) == len(found) > 1
    return found if whole and names > 2 and all(len(one) == names for one in found) else ()


def _names(option: str) -> Iterator[str]:
    return (word for word in spelled(option) if word not in _BETWEEN)
