"""Answers in words: one of several options, or a damping type."""

import re
from functools import lru_cache
from typing import NamedTuple
from unicodedata import combining, normalize

from grader.reading.line.phrases import in_table, opened, phrase_of
from grader.reading.options import (
    begun,
    contradicts,
    figures,
    held,
    is_mathematical,
    listed,
    loosely,
    squeezed,
    written_out,
)
from grader.reading.refusals import CannotRead
from grader.reading.tokens.units import SHORTEST_WORD, one_letter_apart
from grader.reading.tree import Choice
from grader.regex import regex

DAMPING = ("overdamped", "critically damped", "underdamped", "undamped")
"""The damping types, in the trade's words; the options where a question states none."""

_TRUE = [
    "true", "right", "correct", "yes", "y", "wahr", "richtig", "ja", "stimmt", "vrai", "oui", "verdadero", "cierto",
    "si", "vero", "verdadeiro", "sim", "waar", "juist",
]  # fmt: skip
_FALSE = [
    "false", "wrong", "incorrect", "no", "n", "falsch", "nein", "unwahr", "faux", "non", "falso", "onwaar", "onjuist",
    "nee", "untrue",
]  # fmt: skip
_JUDGED = dict.fromkeys(_TRUE, "true") | dict.fromkeys(_FALSE, "false")
"""What people write for true and for false (common practice)."""

APART = "; "
"""What stands between several options."""

_NONE = {"none", "noneofthem", "noneofthese", "keine", "nothing"}
_LEAD = regex(r"^\s*(?:only|just|options?|answers?|nur)\b[:\s]*", re.IGNORECASE)
_SEVERAL_LETTERS = regex(r"[a-z1-9(][a-z1-9()\s,;+&]*\.?", re.IGNORECASE)

_DENIED = regex(
    r"[,;(]?\s*\b(?:(?:(?:[a-z]+n't|not|cannot|neither|nor|never)(?:\s+(?:be|get|have|see))?)\s+(?:an?\s+|the\s+)?[\w-]+|(?:no|without)\s+[^\W\d_]+(?:ing|ion)\b)\s*\)?"
    r"|[^,;.()]*\b(?:would(?:n't)?|wäre|serait|sería)\b[^,;.()]*",
    re.IGNORECASE,
)
_EITHER = regex(r"\b(?:or|oder)\b", re.IGNORECASE)
_LABEL = regex(r"\(?\s*([a-z]|[0-9]{1,2})\s*[).:]?", re.IGNORECASE)
_ORDINAL = regex(
    r"(?:the\s+)?(?P<place>first|1st|second|2nd|third|3rd|last)(?:\s+(?:one|1|option|answer))?[.!]?", re.IGNORECASE
)
_NEGATION = regex(r"\b(?:not|neither|nor|isn't|never)\b|n't\b", re.IGNORECASE)


class Chosen(NamedTuple):
    """The option that an answer names first, notes on how it was found, and further options that it names as well."""

    choice: Choice
    notes: tuple[str, ...] = ()
    others: tuple[Choice, ...] = ()


def choose(text: str, options: tuple[str, ...]) -> Chosen:
    """The option that an answer names (of none the damping type), and notes on how it was found.

    Raises
    ------
    CannotRead
        If it names none of the options, or several.
    """
    known = options or DAMPING
    typed = text.strip()
    text = typed if written_out(typed, known) else _denied_left_out(text, known)
    written = written_out(text, known)
    if written is not None:
        return Chosen(Choice(written, 0))
    judged = _judged(text) if set(known) == set(_JUDGED.values()) else set()
    if len(judged) == 1 and not _NEGATION.search(text):
        (found_true,) = judged
        return Chosen(Choice(found_true, 0), (f"'{typed}' was read as {found_true}.",))
    damping = {squeezed(option) for option in known} <= {squeezed(word) for word in DAMPING}
    found = _named_damping(text, known) or _compared(text) if damping else _named(text, known)
    if found:
        _check_one_affirmed(text, found, known)
        others = tuple(Choice(option, 0) for option in found[1:])
        return Chosen(Choice(found[0], 0), (f"'{typed}' was read as {found[0]}.",), others)
    listed = _by_label(text, options)
    if listed is not None:
        return Chosen(Choice(listed, 0), (f"'{typed}' was read as the option '{listed}'.",))
    meant = _of_the_same_change(typed, known) or _of_the_same_change(text, known)
    if len(meant) == 1:
        return Chosen(Choice(meant[0], 0), (f"'{typed}' was read as {meant[0]}.",))
    return _nearest(typed, text, known, damping)


_CHANGES = ("unchanged", "growing", "shrinking", "doubled", "halved", "inward", "outward")
_IMPLIED = {"doubled": "growing", "halved": "shrinking"}


def _of_the_same_change(text: str, options: tuple[str, ...]) -> list[str]:
    """The options that tell of the change that the answer tells of: ``no change``, where one is *stays the same*."""
    change = "" if _counts(options) else _change(text)
    return [option for option in options if change and _change(option) == change]


def _counts(options: tuple[str, ...]) -> bool:
    """Whether numbers or signs tell options apart; the number of ``C1`` does not."""
    return any(_NUMBERED.search(option) for option in options)


_NUMBERED = regex(r"(?<![^\W_])[0-9]|[-+*/^<>=≤≥≠](?!\w)|[+*/^<>=≤≥≠]")


_DENIES = regex(
    rf"{_NEGATION.pattern}|\b(?:no|without|hardly|nicht|kein\w*|ohne|ne|n'|pas|sans|non|não|sem|nie|bez|sin|senza)\b",
    re.IGNORECASE,
)
_TIME_CONSTANT = regex(r"\b(?:time\s+constants?|constante\s+de\s+t\w+|costante\s+di\s+tempo)", re.IGNORECASE)


def _change(text: str) -> str:
    """The one change that a text tells of; "" where it is none, several, or may be denied."""
    known, phrase, text = opened(*_CHANGES), phrase_of(*_CHANGES), _TIME_CONSTANT.sub(" ", text)
    told = {known[in_table(said[0])] for said in phrase.finditer(text)}
    told -= {_IMPLIED.get(change) for change in told}
    return told.pop() if len(told) == 1 and not _DENIES.search(phrase.sub(" ", text)) else ""


def _nearest(typed: str, text: str, known: tuple[str, ...], damping: bool) -> Chosen:
    """The one option that begins with the letter written, or is written with a slip; `CannotRead` where none is."""
    letters, signs = squeezed(text), is_mathematical(known)
    initial = [option for option in known if len(letters) == 1 and begun(text, option, signs)]  # T, F
    close = [option for option in known if _nearly(loosely(text, signs), loosely(option, signs))]
    if damping and not close:
        close = [option for option in known if re.search(_STEMS.get(squeezed(option)[:4], "$^"), _spaced(text))]
    for meant, slip in ((initial, ""), (close, ", with a slip of the pen")):
        if len(meant) == 1:
            return Chosen(Choice(meant[0], 0), (f"'{typed}' was read as {meant[0]}{slip}.",))
    raise CannotRead("choice-unknown", None, listed(known))


_PARTED = regex(r"[;,\n]|\b(?:and|und)\b")


def choose_all(text: str, options: tuple[str, ...]) -> Choice:
    """All options that an answer names, by their words or their letters, in the options' order with `APART` between.

    Raises
    ------
    CannotRead
        If it names none and does not say so, or says so beside options that it names.
    """
    if squeezed(text) in _NONE:
        return Choice("", 0)
    options = options or DAMPING
    text = _LEAD.sub("", text)
    pieces = [piece for piece in _PARTED.split(text) if piece.strip()]
    if len(pieces) > 1 and not _NONE.isdisjoint(map(squeezed, pieces)) and _NONE.isdisjoint(map(squeezed, options)):
        raise CannotRead("choices-none-beside")
    by_letters = _by_letters(text, options)
    if by_letters:
        return Choice(APART.join(by_letters), 0)
    named = _all_named(text, options)
    return Choice(APART.join(option for option in options if option in named), 0)


def _all_named(text: str, options: tuple[str, ...]) -> set[str]:
    """The options named by their words: one in each clause, or wherever they stand, or else each piece by itself."""
    exact = {written_out(clause, options) for clause in re.split(r"[;\n]", text) if clause.strip()}
    if None not in exact:
        return {option for option in exact if option}
    found, rest = held(text, options)
    left = [piece for piece in _PARTED.split(rest) if squeezed(piece)]
    if found:
        return {*found, *(option for piece in left for option in _beside(piece, options))}
    return {choose(piece, options).choice.option for piece in left}


def _beside(piece: str, options: tuple[str, ...]) -> list[str]:
    """What a piece that stands beside options may name: an option with a slip of the pen, or in other words.

    Raises
    ------
    CannotRead
        Where options are signs and units and the piece is none of them: it may be meant for one.
    """
    signs = is_mathematical(options)
    near = [option for option in options if _nearly(loosely(piece, signs), loosely(option, signs))]
    named = near or _of_the_same_change(piece, options)
    if not named and signs and len(piece.split()) < 3 and not _BESIDE.fullmatch(piece):
        raise CannotRead("choice-unknown", None, listed(options))
    return named


_BESIDE = regex(
    r"\W*(?:[a-z0-9][).]|both|or|oder|only|all|are|is|it|right|correct|true|yes|hold|too|nur|beide|i|think)*\W*",
    re.IGNORECASE,
)
"""What says nothing beside an option: its letter or number, or a word."""


def _by_letters(text: str, options: tuple[str, ...]) -> list[str]:
    """The options at the places that an answer of nothing but letters or numbers names: ``a, c``."""
    letters = re.sub(r"\b(?:and|und)\b|[^a-z0-9]", "", text.lower())
    places = {int(letter) - 1 if letter.isdigit() else ord(letter) - ord("a") for letter in letters}
    if not _SEVERAL_LETTERS.fullmatch(text.strip()) or max(places, default=99) >= len(options):
        return []
    return [option for k, option in enumerate(options) if k in places]


def lettered(options: tuple[str, ...]) -> str:
    """Options with their letters: ``(a) rises, (b) falls``."""
    return listed([f"({chr(ord('a') + k)}) {option}" for k, option in enumerate(options)])


def _judged(text: str) -> set[str]:
    """What the words of a judgement say, ``"true"`` or ``"false"``."""
    return {_JUDGED[word] for word in map(squeezed, re.split(r"\W+", text)) if word in _JUDGED}


def _check_one_affirmed(text: str, found: list[str], known: tuple[str, ...]) -> None:
    """Raise `CannotRead` where an answer names several options, or denies the one that it names."""
    if len(found) > 1 and not _EITHER.search(text):
        raise CannotRead("choice-several", None, listed(found))
    if _NEGATION.search(text) and not any(_NEGATION.search(option) for option in known):
        raise CannotRead("choice-negated", None, found[0])


def _by_label(text: str, options: tuple[str, ...]) -> str | None:
    """The option at the place that the answer names: ``b)``, ``2.``."""
    ordinal = _ORDINAL.fullmatch(text.strip())
    if ordinal is not None:
        places = {
            **dict.fromkeys(["first", "1st"], 0),
            **dict.fromkeys(["second", "2nd"], 1),
            **dict.fromkeys(["third", "3rd"], 2),
        }
        place = places.get(ordinal["place"].lower(), len(options) - 1)
        return options[place] if 0 <= place < len(options) else None
    label = _LABEL.fullmatch(text.strip())
    if label is None:
        return None
    number = int(label[1]) - 1 if label[1].isdigit() else ord(label[1].lower()) - ord("a")
    numbers = [figures(option) for option in options] if label[1].isdigit() else []
    if any(label[1] in own for own in numbers) or (numbers and all(numbers)):
        return None  # 2 may be the option "2 V", and the second
    return options[number] if 0 <= number < len(options) else None


_LESS = regex(
    r"(?<!\w)(?:alpha|a|zeta|d)\s*(?:=\s*[0-9.,]+\s*)?(?P<sign>[<>=])\s*(?:omega_?[0on]|w_?[0on]|1(?![0-9.]))",
    re.IGNORECASE,
)
_MORE = regex(r"(?<!\w)(?:omega_?[0on]|w_?[0on]|1)\s*(?P<sign>[<>=])\s*(?:alpha|a|zeta|d)(?!\w)", re.IGNORECASE)


def _compared(text: str) -> list[str]:
    """The damping type that a comparison of α with ω0, or of ζ with 1, tells."""
    less = _LESS.search(text)
    found = less or _MORE.search(text)
    if found is None:
        return []
    sign = found["sign"] if less else {"<": ">", ">": "<", "=": "="}[found["sign"]]
    return [{">": DAMPING[0], "=": DAMPING[1], "<": DAMPING[2]}[sign]]


def _denied_left_out(text: str, known: tuple[str, ...]) -> str:
    """``current, not voltage`` names current; nothing is left out where nothing would be left to name."""
    if any(_NEGATION.search(option) for option in known):
        return text
    rest = _DENIED.sub(" ", text)
    return rest if any(letter.isalpha() for letter in rest) and rest.strip().lower() not in _LINKS else text


_LINKS = {"it is", "it's", "is", "but", "and"}


def _named_damping(text: str, options: tuple[str, ...]) -> list[str]:
    """The damping types that occur in the answer, by the phrases for them, in the order in which they are named."""
    said, by_word = f" {_spaced(text)} ", {squeezed(option): option for option in options}
    places: dict[str, int] = {}
    for words, kind in _damping_phrases():
        place = said.find(words)
        if place >= 0:
            places[kind] = min(place, places.get(kind, place))
    if len(places) > 1 and not _EITHER.search(text):  # "critically damped, not oscillatory"
        places = {kind: place for kind, place in places.items() if f" {kind} " in said} or places
    return [by_word[squeezed(kind)] for kind in sorted(places, key=places.__getitem__) if squeezed(kind) in by_word]


@lru_cache(maxsize=1)
def _damping_phrases() -> tuple[tuple[str, str], ...]:
    """Every phrase for a damping type as it is looked for, words whole where a script has blanks; long ones in any gender."""
    return tuple(
        (_spaced(phrase) if phrase[0] >= "\u2e80" else f" {_ANY_GENDER.sub('', _spaced(phrase) + ' ')}", kind)
        for phrase, kind in opened(*DAMPING).items()
    )


_STEMS = {"crit": r"\b[ck]rit", "over": r"\bover", "unde": r"\bunder"}
"""How the words begin, whatever becomes of their ends."""
_ANY_GENDER = regex(r"(?<=\w{8})[oaei] $")


def _spaced(text: str) -> str:
    """Words in lower case without accents, single blanks between them."""
    plain = "".join(sign for sign in normalize("NFKD", text.lower()) if not combining(sign))
    return re.sub(r"[\W_]+", " ", plain).strip()


def _named(text: str, options: tuple[str, ...]) -> list[str]:
    """The options that occur in the answer as words of their own, or as the beginning of one."""
    whole, _ = held(text, options)
    if whole:
        return whole
    signs = is_mathematical(options)
    if len(loosely(text, signs)) >= 3:
        begins = [option for option in options if begun(text, option, signs)]
        return begins or [option for option in _by_own_words(text, options) if not contradicts(text, option)]
    return []


def _by_own_words(text: str, options: tuple[str, ...]) -> list[str]:
    """The options of which the answer holds a word that no other option has: ``like an open switch``."""
    words = [set(re.findall(r"\w{4,}", option.lower())) for option in options]
    written = set(re.findall(r"\w+", text.lower()))
    found = []
    for number, own in enumerate(words):
        others = set().union(*(other for index, other in enumerate(words) if index != number))
        if (own - others) & written:
            found.append(options[number])
    return found


def _nearly(written: str, option: str) -> bool:
    """Whether a word of at least five letters has a slip of the pen, and none in a digit or a sign."""
    signs = [re.sub(r"[^\W\d_]", "", one) for one in (written, option)]
    return len(option) >= SHORTEST_WORD and signs[0] == signs[1] and one_letter_apart(written, option)
