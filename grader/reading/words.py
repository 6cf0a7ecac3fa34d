"""Answers in words: one of several options, or a damping type."""

import re
from typing import NamedTuple

from grader.reading.claims import DOUBTED, UPHELD, Clause, claimed
from grader.reading.damping import DAMPING, are_damping, with_types_named
from grader.reading.factors import by_factor
from grader.reading.meaning import Meant, agrees_at_length, is_of_another, is_turned, meant, settled
from grader.reading.options import (
    begun,
    ended,
    in_one_alphabet,
    is_mathematical,
    listed,
    loosely,
    written_out,
)
from grader.reading.orders import in_order
from grader.reading.parted import CLASSES, INSTANTS, THINGS, says_nothing
from grader.reading.quoted import named, quoted
from grader.reading.refusals import CannotRead
from grader.reading.spelled import spelled, table, tokens
from grader.reading.tokens.units import SHORTEST_WORD, one_letter_apart
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import Choice
from grader.regex import regex

APART = "; "
"""What stands between several options."""

_EITHER = regex(r"\b(?:or|oder)\b", re.IGNORECASE)

_TICKED = regex(r"\[\s*[x✓✔☒☑]\s*\]([^][]++)(?=\[\s*\]|$)", re.IGNORECASE)
_TICKED_BEHIND = regex(r"([^][\n]*[^][\s])\s*\[\s*[x✓✔☒☑]\s*\]", re.IGNORECASE)
"""``[x] true [ ] false``, and ``true [x] false [ ]``."""


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
    text = typed if (ticked := (_TICKED if typed[:1] == "[" else _TICKED_BEHIND).search(typed)) is None else ticked[1]
    written = stands_alone(text, known)
    if written is not None:
        return Chosen(Choice(written, 0))
    either = [written_out(one, known) for one in _EITHER.split(text)]
    if len(either) > 1 and None not in either:
        first, *others = (Choice(option or "", 0) for option in dict.fromkeys(either))
        return Chosen(first, (f"'{typed}' was read as {first.option}.",), tuple(others))
    if set(known) <= {"true", "false"} and agrees_at_length(text, asked):
        raise CannotRead("choice-several", None, listed(known))
    text = with_types_named(text) if are_damping(known) else text
    plain = in_order(text, known) or settled(claimed(text, known, lettered=bool(options)), known)
    if plain is not None:
        return Chosen(Choice(plain, 0), (f"'{typed}' was read as {plain}.",))
    found, slip = _found(text, known, asked, lettered=bool(options))
    if not set(known) <= {"true", "false"} and is_of_another(text, known, asked):
        raise CannotRead("choice-unknown", None, listed(known))
    if any(_compares_with(one, asked) for one in claimed(text, known, "than")) or _differs(text, found, known):
        raise CannotRead("choice-negated", None, typed)
    return Chosen(Choice(found, 0), (f"'{typed}' was read as {found}{slip}.",))


def stands_alone(text: str, options: tuple[str, ...]) -> str | None:
    """The option that a text is, where nothing in it takes that back."""
    written = written_out(text, options)
    taken = written is not None and any(one.stance != UPHELD for one in claimed(text, options))
    return None if taken else written


def _found(text: str, options: tuple[str, ...], asked: frozenset[str], *, lettered: bool) -> tuple[str, str]:
    """The option that a text names, and whether with a slip of the pen.

    Raises
    ------
    CannotRead
        If it names none of the options, or several.
    """
    clauses = claimed(text, options, lettered=lettered)
    scaled = None if any(map(_names_alone, clauses)) else by_factor(text, options)
    if scaled is not None:
        return scaled, ""
    if any(one.stance == DOUBTED or _is_one_of_two(one, options) for one in clauses):
        raise CannotRead("choice-negated", None, text)
    said = _meant(text, options, asked, clauses, lettered=lettered)
    if len(said.options) == 1:
        return said.options[0], ""
    upheld = all(one.stance == UPHELD for one in clauses)
    own = (quoted(clauses, said.options) or named(clauses, options)) if upheld else None
    if own is not None:
        return own, ""
    plain = [] if said.says or said.denies else _begun(text, options)
    if len(plain) == 1:
        return plain[0], ""
    if len(said.places) > 1 or said.options or plain:
        raise CannotRead(
            "choice-several", None, listed([options[place] for place in said.places] or [*said.options] or plain)
        )
    return _nearly_named(text, options, told=said.says, denied=said.denies)


def _meant(
    text: str, options: tuple[str, ...], asked: frozenset[str], clauses: list[Clause], *, lettered: bool
) -> Meant:
    """What a text says of options, those that it names as a whole taken apart where they contradict one another."""
    said = meant(text, options, asked, lettered=lettered)
    if len(said.places) > 1 or any(map(_goes_on_with, clauses)):
        apart = meant(text, options, asked, lettered=lettered, whole=False)
        told = apart.options or len(said.places) > 1
        if told and {options[place] for place in said.places}.isdisjoint(apart.options):
            return apart._replace(places=said.places)
    return said


def _is_one_of_two(clause: Clause, options: tuple[str, ...]) -> bool:
    """Whether an *or* stands beside the only option that a clause names, and not what it says: ``either a or b``."""
    kinds = [one.kind for one in clause.words]
    if kinds.count("place") != 1 or "or" not in kinds or clause.stance != UPHELD:
        return False
    own = options[int(clause.words[kinds.index("place")].text)]
    classes = " ".join(one.text for one in clause.words if one.kind in CLASSES)
    return meant(classes, options, lettered=False).options != (own,)


def _goes_on_with(clause: Clause) -> bool:
    """Whether a clause denies one thing by its name and then an option as a whole: ``neither the flux nor the charge jumps``."""
    nors = [place for place, one in enumerate(clause.words) if (one.text,) in table("nor")]
    places = [place for place, one in enumerate(clause.words) if one.kind == "place"]
    return bool(nors) and len(places) == 1 and places[0] > nors[-1]


def _nearly_named(text: str, options: tuple[str, ...], *, told: bool, denied: bool) -> tuple[str, str]:
    """The one option that a text comes close to, where it says nothing of them otherwise (``told``) and denies nothing."""
    if denied:
        raise CannotRead("choice-negated", None, text)
    close = [] if told else near(text, options)
    if len(close) != 1:
        raise CannotRead("choice-unknown", None, listed(options))
    return close[0], ", with a slip of the pen"


def _names_alone(clause: Clause) -> bool:
    """Whether a clause names an option and says nothing else."""
    return clause.names and all(one.kind == "place" or says_nothing(one) for one in clause.words)


def _compares_with(clause: Clause, asked: frozenset[str]) -> bool:
    """Whether a clause compares something with what is asked, and not the other way round: ``16 V is less than the voltage``."""
    things = [(place, one.kind) for place, one in enumerate(clause.words) if one.kind in {*THINGS} - {*INSTANTS}]
    places = [place for place, kind in things if normalized_name(kind) in asked]
    than = [place for place, one in enumerate(clause.words) if one.kind == "than" and place]
    return bool(places and than) and min(places) > min(than)


def _differs(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether a sign or a word makes of the option found in a text something else."""
    unequal = "≠" in in_one_alphabet(text) and "≠" not in in_one_alphabet(option)
    return unequal or _is_the_opposite(text, option, options) or is_turned(text, option, options)


def _is_the_opposite(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether a text calls an option negative that is, and the one chosen is not: ``5 V, pointing down (negative)``."""
    opposite = loosely(f"-{option}", signs=True)
    named = any(one.kind for one in tokens(spelled(text), "negative"))
    return named and any(loosely(one, signs=True) == opposite for one in options)


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
