"""Units among the tokens: which word after a number is a unit, and which of its meanings is taken."""

import re
from collections.abc import Sequence

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.tokens import Question, Token
from grader.reading.tokens.units import PREFIXES_SAID, Meaning, look_up, look_up_prefix, nearest
from grader.reading.tree import UnitSymbol
from grader.regex import regex
from grader.values.dimension import LENGTH, NUMBER, RESISTANCE

_JOINED = regex(r"[ -]\s?([A-Za-zΩ]+)")
_BELOW_A_SLASH = regex(r"/\s?[0-9.,]+\Z")
_FOLLOWED = regex(r"e(?![a-z])|exp|cos|sin|[uU](?=\s?\()|t(?![a-z])|t(?=cos|sin|e(?![a-z]))", re.IGNORECASE)


def unit_node(meaning: Meaning, place: int) -> UnitSymbol:
    """The tree's node for a unit looked up."""
    return UnitSymbol(meaning.symbol, meaning.scale, meaning.dimension, place, meaning.degrees)


def unit_token(text: str, word: str, place: int, before: str, question: Question, forks: Ambiguities) -> Token | None:
    """The unit that a word is, alone or joined with the next (``2.4m A``, ``1.47 micro F``, ``100k-Ohm``)."""
    meanings, end = look_up(word, question.dimension), place + len(word)
    prefix = look_up_prefix(word) if before not in {"SLASH", "UNIT", "STAR"} and text[end : end + 1] != "^" else ()
    if prefix or word.lower() in PREFIXES_SAID:
        following = _joined(text, word, place, before, question, meanings)
        if following is not None:
            end = following.end()
            word += following[1]
            meanings = look_up(word, question.dimension)
        elif prefix and not (meanings and question.dimension == LENGTH and word == "m"):
            asked = bool(meanings) and meanings[0].dimension == question.dimension
            meanings = (*meanings, *prefix) if asked else prefix
    if word == "S" and before == "SLASH" and question.dimension is not None and question.dimension.second < 0:
        meanings = look_up("s")  # 167 A/S
    if not meanings:
        return None
    chosen = meanings[0]
    if len(meanings) > 1 or chosen.slip:
        ways = tuple(Alternative(_says(word, meaning), meaning.slip) for meaning in meanings)
        chosen = meanings[forks.choose("scan", "unit", place, ways)]
    return Token("UNIT", unit_node(chosen, place), place, end)


def _joined(
    text: str, word: str, place: int, before: str, question: Question, alone: tuple[Meaning, ...]
) -> re.Match[str] | None:
    """The unit that a prefix belongs to, standing apart from it; ``alone`` is what the prefix may be by itself."""
    following = _JOINED.match(text, place + len(word))
    if following is None or (alone and not text[place - 1].isdigit()):
        return None
    if text[place + len(word)] == "-" and following[1][0] in "ij" and question.expects != "value":
        return None  # -2k-j1.5k
    if before == "NUMBER" and _BELOW_A_SLASH.search(text[:place]) is not None:
        return None  # 2.12/1.2k A
    joined = look_up(word + following[1], question.dimension)
    fits = joined and (question.dimension in {None, joined[0].dimension} or not alone)
    return following if fits else None


def _says(word: str, meaning: Meaning) -> str:
    return f"'{word}' was read as {meaning.symbol}." if meaning.slip or meaning.symbol != word else ""


def unit_before_more(rest: str, place: int, tokens: Sequence[Token], question: Question) -> Token | None:
    """``4mAe^…``: a unit with the next factor glued to it."""
    if not tokens or tokens[-1].kind not in {"NUMBER", "CLOSE", "TIME"}:
        return None
    for length in (3, 2, 1):
        if len(rest) > length and _FOLLOWED.match(rest, length):
            meanings = look_up(rest[:length], question.dimension)
            if meanings and not meanings[0].slip:
                return Token("UNIT", unit_node(meanings[0], place), place, place + length)
    return None


_ENDS_A_TERM = regex(r"\s*(?:$|[-+,;)\]}=≈<>\n]|[*]?\s*e(?![a-z])|[*]?\s*exp|for\b|t\s*[<>≥])", re.IGNORECASE)

_BEHIND_A_POWER = "|".join(
    rf"(?<=10\^[({{]{sign}{figures}[)}}])" for sign in ("", "[-−]") for figures in ("[0-9]", "[0-9]{2}")
)
"""Behind ``10^(-3)``, which is a number as well."""
_ENDS_IN_A_POWER = regex(rf"(?:{_BEHIND_A_POWER})\Z")


def is_behind_a_power(text: str, place: int) -> bool:
    """Whether a power of ten in brackets stands in front of a place."""
    return _ENDS_IN_A_POWER.search(text[:place].rstrip()) is not None


def unit_or_name(text: str, word: str, place: int, question: Question, forks: Ambiguities) -> Token | None:
    """``12 V`` where V is also a source, ``2V/R``: a word behind a number that is a unit and a name; None for the name."""
    ohms = word == "R" and question.dimension == RESISTANCE  # 30 R, where R is a name as well
    meanings = look_up("Ω" if ohms else word, question.dimension)
    if not meanings or meanings[0].slip:
        return None
    meaning = meanings[0]
    as_unit = Alternative(f"'{word}' was read as the unit {meaning.symbol}.")
    as_name = Alternative("" if ohms else f"'{word}' was read as the value of {word}.")
    same = list(re.finditer(rf"(?:(?<=[0-9])|{_BEHIND_A_POWER})\s*{re.escape(word)}(?!\w)", text))
    unit_first = all(_ENDS_A_TERM.match(text, one.end()) for one in same) and bool(same)
    ways = (as_unit, as_name) if unit_first and not ohms else (as_name, as_unit)
    first = same[0].end() - len(word) if same else place  # one decision for all places: 2V - V/3 + 4V
    if ways[forks.choose("scan", f"{word}: unit or name", first, ways)] is as_name:
        return None
    return Token("UNIT", unit_node(meaning, place), place, place + len(word))


def misspelt_unit(text: str, word: str, place: int, forks: Ambiguities) -> Token | None:
    """``2.4 miliamps``, ``20 mili sec``: a unit in words with one letter wrong."""
    following = _JOINED.match(text, place + len(word))
    for written in (word, word + following[1] if following is not None else word):
        meaning = nearest(written)
        if meaning is not None:
            end = place + len(word) if written == word or following is None else following.end()
            forks.remark(f"'{text[place:end]}' was read as {meaning.symbol}.", meaning.slip, place)
            return Token("UNIT", unit_node(meaning, place), place, end)
    return None


def unit_of_two(text: str, word: str, place: int, question: Question) -> Token | None:
    """``HA²`` and ``Ωs``: the first of two units written together, where their product is what is asked, or has an Ω."""
    end = place + len(word)
    power = 2 if re.match(r"\^\s*\(?2(?![0-9])", text[end:]) else 1
    for cut in range(1, len(word)):
        first, last = look_up(word[:cut]), look_up(word[cut:])
        if not first or not last or first[0].slip or last[0].slip or first[0].dimension is None:
            continue
        product = first[0].dimension.times((last[0].dimension or NUMBER).raised(power))
        if product == question.dimension or "Ω" in word:
            return Token("UNIT", unit_node(first[0], place), place, place + cut)
    return None
