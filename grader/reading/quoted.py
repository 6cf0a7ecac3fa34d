"""Answers that are parts of one option in its own words: ``falls to zero without crossing`` of ``It falls to zero without ever crossing it``."""

from functools import lru_cache
from itertools import chain

from grader.reading.claims import Clause
from grader.reading.parted import FRAME, says_nothing
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.stems import have_one_stem
from grader.regex import regex

_DENIAL = "not"
_TURNS = {"not", "or", "but", "would"}
_NAME = regex(r"[a-z]+[0-9]+")
_SIGN = regex(r"(?!0$)[0-9.,]+|[-+*/^<>=≤≥≠±]")


def quoted(clauses: list[Clause], options: tuple[str, ...]) -> str | None:
    """The option from which an answer quotes, leaving out words; None where another one has all these words as well.

    A clause that has no word of any option explains; one that has words of options and others quotes none, nor does one with
    a figure or a sign, which may make it another one.  An option that speaks of all has words that it does not say.
    """
    signs = (one.text for clause in clauses if clause.opens != "aside" for one in (*clause.words, Token(clause.stop)))
    if any(map(_SIGN.fullmatch, signs)) or any(map(_is_of_all, options)):
        return None
    theirs = [_content(option) for option in options]
    known = [*chain(*theirs)]
    said: list[str] = []
    for clause in clauses:
        words = [*chain(*map(_words, clause.words))] if clause.opens not in {"reason", "aside"} else []
        own = [word for word in words if _is_among(word, known)]
        if own and (len(own) < len(words) or {*own} == {_DENIAL}):
            return None
        said += own
    having = [place for place, option in enumerate(theirs) if all(_is_among(word, option) for word in said)]
    telling = len({*said} - {_DENIAL}) > 1 and len(having) == 1
    return options[having[0]] if telling and _in_order(said, theirs[having[0]]) else None


def named(clauses: list[Clause], options: tuple[str, ...]) -> str | None:
    """The option that alone has the one name that an answer is: ``R1`` of ``R1 gets more``, ``R2 gets more``, ``both get the same``."""
    words = (one for clause in clauses if clause.opens not in {"reason", "aside"} for one in clause.words)
    told = _without_denied([one for one in words if one.kind in _TURNS or not (says_nothing(one) or _is_through(one))])
    if len(told) != 1 or not _NAME.fullmatch(told[0].text):
        return None
    alike = [[word for word in spelled(option) if _NAME.fullmatch(word)] for option in options]
    having = [place for place, names in enumerate(alike) if names == [told[0].text]]
    return options[having[0]] if len(having) == 1 < sum(map(bool, alike)) else None


def _is_through(one: Token) -> bool:
    return (one.text,) in table("through")


def _without_denied(told: list[Token]) -> list[Token]:
    """What is left beside a name that is denied: ``not R2 but R1``, ``R1, not R2``."""
    at = next((k for k, one in enumerate(told) if one.kind == "not"), len(told))
    denied, rest = told[at + 1 : at + 2], told[:at] + told[at + 2 :]
    names = bool(denied) and _NAME.fullmatch(denied[0].text) is not None and denied[0] not in rest
    return [one for one in rest if one.kind != "but"] if names else told


def _is_of_all(option: str) -> bool:
    return any(one.kind in {"all of it", "none", "only"} for one in tokens(spelled(option), *FRAME))


@lru_cache(maxsize=256)
def _content(option: str) -> tuple[str, ...]:
    return tuple(chain(*map(_words, tokens(spelled(option), *FRAME))))


def _words(one: Token) -> tuple[str, ...]:
    """The words of a token that say something, all denials as one."""
    if one.kind == "not" or (one.text,) in table("not"):
        return (_DENIAL,)
    if says_nothing(one) or not one.text[0].isalnum():
        return ()
    return ("zero",) if one.text == "0" else tuple(one.text.split())


def _is_among(word: str, words: tuple[str, ...] | list[str]) -> bool:
    return any(word == other or have_one_stem(word, other) for other in words)


def _in_order(said: list[str], option: tuple[str, ...]) -> bool:
    """Whether an option has words in the order in which they are said."""
    rest = iter(option)
    return all(any(word == other or have_one_stem(word, other) for other in rest) for word in said)
