"""Options that are the same names in different orders: an answer chooses by the order in which it names all of them."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

from grader.reading.claims import Clause, claimed
from grader.reading.options import listed
from grader.reading.refusals import CannotRead
from grader.reading.spelled import phrase_at, spelled

_BETWEEN = {*",;<>→-", "then", "and"}


def in_order(text: str, options: tuple[str, ...]) -> str | None:
    """The option in whose order an answer names all: ``first Y, then X, Z comes last``; None where options are no orders, or it names none.

    Raises
    ------
    CannotRead
        If it names some, or some again, or names two of which the first comes after the second.
    """
    orders = _orders(options)
    claims = _claims(text, options) if orders else []
    words = spelled(" , ".join(word.text for one in claims for word in one.words))
    told = [(place, word) for place, word in enumerate(words) if orders and word in orders[0]]
    if not told:
        return None
    names = tuple(word for _, word in told)
    turned = any(_says_after(words[one + 1 : other]) for (one, _), (other, _) in pairwise(told))
    denied = any(word.kind == "not" for one in claims for word in one.words)
    if turned or denied or names not in orders:
        raise CannotRead("choice-unknown", None, listed(options))
    return options[orders.index(names)]


def _claims(text: str, options: tuple[str, ...]) -> list[Clause]:
    """The clauses of an answer behind its last correction, reasons left out."""
    clauses = claimed(text, options, lettered=False, whole=False)
    start = max((one.part for one in clauses if one.opens == "correction"), default=0)
    return [one for one in clauses if one.part >= start and one.opens not in {"reason", "aside"}]


def _says_after(between: tuple[str, ...]) -> bool:
    """Whether words put what stands before them behind what follows: ``X after Y``, ``X > Y``; not ``X, after that Y``."""
    told = [phrase_at(between, place, "after")[0] for place in range(len(between)) if between[place] != ","]
    return ">" in between or told[-1:] == ["after"]


@lru_cache(maxsize=256)
def _orders(options: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """The names of each option in its order, where all have the same, three or more, each once, and nothing else."""
    found = tuple(tuple(_names(option)) for option in options)
    alike = {frozenset(one) for one in found}
    whole = len(alike) == 1 and len({*found}) == len(found) > 1
    return found if whole and min(map(len, found)) == len(*alike) > 2 else ()


def _names(option: str) -> Iterator[str]:
    return (word for word in spelled(option) if word not in _BETWEEN)
