"""Answers in words: one of several options, or a damping type."""

import re
from typing import NamedTuple

from grader.reading.damping import DAMPING, are_damping, with_types_named
from grader.reading.factors import by_factor
from grader.reading.meaning import agrees_at_length, is_denied, is_judged, is_of_another, is_turned, meant, stands_alone
from grader.reading.options import (
    around,
    begun,
    ended,
    held,
    in_one_alphabet,
    is_mathematical,
    is_worked_with,
    listed,
    loosely,
    squeezed,
    written_out,
)
from grader.reading.parted import FRAME, parts, says_nothing
from grader.reading.refusals import CannotRead
from grader.reading.spelled import spelled, table, tokens
from grader.reading.tokens.units import SHORTEST_WORD, one_letter_apart
from grader.reading.tree import Choice
from grader.regex import regex

APART = "; "
"""What stands between several options."""

_EITHER = regex(r"\b(?:or|oder)\b", re.IGNORECASE)


_MINUS = regex(r"\b(?:minus|moins|menos|meno)\s+(?=[0-9])", re.IGNORECASE)


_DOUBTS = {"not", "would", "correction", "taken back", "false"}


class Chosen(NamedTuple):
    """The option that an answer names first, notes on how it was found, and further options that it names as well."""

    choice: Choice
    notes: tuple[str, ...] = ()
    others: tuple[Choice, ...] = ()


def choose(text: str, options: tuple[str, ...], asked: frozenset[str] = frozenset()) -> Chosen:
    """The option that an answer names (of none the damping type), and notes on how it was found; ``asked``: of what.

    Raises
    ------
    CannotRead
        If it names none of the options, or several.
    """
    known = options or DAMPING
    typed = text.strip()
    text = _MINUS.sub("-", typed)
    written = written_out(text, known)
    if written is not None and not is_judged(text, known):
        return Chosen(Choice(written, 0))
    either = [written_out(one, known) for one in _EITHER.split(text)]
    if len(either) > 1 and None not in either:
        first, *others = (Choice(option or "", 0) for option in dict.fromkeys(either))
        return Chosen(first, (f"'{typed}' was read as {first.option}.",), tuple(others))
    if set(known) <= {"true", "false"} and agrees_at_length(text, asked):
        raise CannotRead("choice-several", None, listed(known))
    text = with_types_named(text) if are_damping(known) else text
    found, slip = _found(text, known, asked, lettered=bool(options))
    if not set(known) <= {"true", "false"} and is_of_another(text, known, asked):
        raise CannotRead("choice-unknown", None, listed(known))
    differs = "≠" in in_one_alphabet(text) and "≠" not in in_one_alphabet(found)
    differs |= _is_the_opposite(text, found, known)
    if differs or is_turned(text, found, known):
        raise CannotRead("choice-negated", None, typed)
    return Chosen(Choice(found, 0), (f"'{typed}' was read as {found}{slip}.",))


def _found(text: str, options: tuple[str, ...], asked: frozenset[str], *, lettered: bool) -> tuple[str, str]:
    """The option that a text names, and whether with a slip of the pen.

    Raises
    ------
    CannotRead
        If it names none of the options, or several.
    """
    scaled = by_factor(text, options)
    if scaled is not None:
        return scaled, ""
    whole, rest = held(text, options)
    if _is_sure(text, whole, options):
        return whole[0], ""
    said = meant(text, options, asked, lettered=lettered)
    denied = said.denies or is_denied(text, options)
    if not (said.options or denied) and any(one.kind for one in tokens(spelled(rest), "or")):
        raise CannotRead("choice-several", None, listed(options))
    plain = [] if said.says or (denied and whole) else whole or _begun(text, options)
    named = list(said.options) or plain
    if len(named) == 1:
        if is_judged(text, options) and _is_none_beside(whole):
            raise CannotRead("choice-negated", None, text)  # R1 is wrong, none of them is right
        return named[0], ""
    if len(whole) > 1 or (named and not denied):
        raise CannotRead("choice-several", None, listed(whole if len(whole) > 1 else named))
    return _nearly_named(text, options, told=bool(said.says), denied=denied)


def _nearly_named(text: str, options: tuple[str, ...], *, told: bool, denied: bool) -> tuple[str, str]:
    """The one option that a text comes close to, where it says nothing of them otherwise (``told``) and denies nothing."""
    if denied:
        raise CannotRead("choice-negated", None, text)
    close = [] if told else near(text, options)
    if len(close) != 1:
        raise CannotRead("choice-unknown", None, listed(options))
    return close[0], ", with a slip of the pen"


def _is_sure(text: str, whole: list[str], options: tuple[str, ...]) -> bool:
    """Whether one option stands in a text as a whole, and nothing beside it makes another of it.

    Raises
    ------
    CannotRead
        If options are worked with, and the one that stands there is doubted.
    """
    if len(whole) != 1 or not any(map(is_worked_with, options)):
        return len(whole) == 1 and stands_alone(text, whole[0], options)
    if _is_doubted(text, whole[0], options):
        raise CannotRead("choice-negated", None, text)
    return True


def _is_none_beside(whole: list[str]) -> bool:
    """Whether one of several options is none of the others."""
    return len(whole) > 1 and any(spelled(option) in table("none") for option in whole)


def _is_the_opposite(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether a text calls an option negative that is, and the one chosen is not: ``5 V, pointing down (negative)``."""
    opposite = loosely(f"-{option}", signs=True)
    named = any(one.kind for one in tokens(spelled(text), "negative"))
    return named and any(loosely(one, signs=True) == opposite for one in options)


def _is_doubted(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether something denies or judges an option that stands in a text as a whole, or it stands inside of another one."""
    signs = is_mathematical(options)
    inside = [
        one for one in options if squeezed(option) in squeezed(one) and loosely(one, signs) in loosely(text, signs)
    ]
    before, *behind = around(text, option)
    touching, *further = " ".join(behind).split(",")
    clauses = [
        tokens(spelled(one), *FRAME, "taken back", "false") for one in (before.split(",")[-1], touching, *further)
    ]
    told = clauses[:2] + [one for one in clauses[2:] if all(word.kind or says_nothing(word) for word in one)]
    cut = [[part for part in parts(one) if part[0] not in {"reason", "aside"}] for one in told]
    denied = any(one.kind in _DOUBTS for clause in cut for _, part in clause for one in part)
    return len(inside) > 1 or denied or any(opens in _DOUBTS for clause in cut[1:] for opens, _ in clause)


def _begun(text: str, options: tuple[str, ...]) -> list[str]:
    """The options that begin or end with the text, if that is three letters long or the initial of one: ``T``."""
    signs = is_mathematical(options)
    letters = "" if regex(r"[/*^]").search(text) and not signs else loosely(text, signs)
    begins = [option for option in options if letters and begun(text, option, signs)]
    if any(map(str.isdigit, letters)):
        begins = begins or [option for option in options if ended(text, option, signs)]
    return begins if len(letters) >= 3 or (len(letters) == len(begins) == 1) else []


def lettered(options: tuple[str, ...]) -> str:
    """Options with their letters: ``(a) rises, (b) falls``."""
    return listed([f"({chr(ord('a') + k)}) {option}" for k, option in enumerate(options)])


def near(text: str, options: tuple[str, ...]) -> list[str]:
    """The options that a text is but for a slip of the pen."""
    signs = is_mathematical(options)
    return [option for option in options if _nearly(loosely(text, signs), loosely(option, signs))]


def _nearly(written: str, option: str) -> bool:
    """Whether a word of at least five letters has a slip of the pen, and none in a digit or a sign."""
    signs = [re.sub(r"[^\W\d_]", "", one) for one in (written, option)]
    return len(option) >= SHORTEST_WORD and signs[0] == signs[1] and one_letter_apart(written, option)
