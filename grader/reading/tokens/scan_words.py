"""A run of letters and digits taken apart by what it may hold: names, functions, units, numbers, words that say nothing.

``12000te`` is a number, t and e; ``R1R2`` two resistances; ``i(0+)`` one name.
"""

import re

from flint import fmpq

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.limits import MAX_WORD
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token
from grader.reading.tokens.numerals import numeral
from grader.reading.tokens.scan_labels import SUBSCRIPT
from grader.reading.tokens.scan_names import name_at_instant, name_worked_with
from grader.reading.tokens.scan_units import (
    is_behind_a_power,
    misspelt_unit,
    unit_before_more,
    unit_node,
    unit_of_two,
    unit_or_name,
    unit_token,
)
from grader.reading.tokens.units import MISSPELT, look_up, look_up_prefix
from grader.reading.tokens.vocabulary import (
    FUNCTIONS,
    GREEK_NAMES,
    INFINITY_WORDS,
    LITTLE_WORDS,
    NUMBER_WORDS,
    OPERATOR_WORDS,
    SEPARATING_WORDS,
    SKIPPED_WORDS,
    ZERO_WORDS,
    Vocabulary,
)
from grader.reading.tree import Constant, Imaginary, Infinity, Name, Number, Time
from grader.regex import regex
from grader.values.dimension import RESISTANCE, TIME
from grader.values.laplace import VARIABLE

_AFTER_WHICH_A_UNIT = {
    "NUMBER", "CLOSE", "TIME", "UNIT", "SLASH", "STAR", "OPEN", "NAME", "CONSTANT", "IMAGINARY", "EULER",
}  # fmt: skip


def scan_word(text: str, start: int, end: int, tokens: list[Token], question: Question, forks: Ambiguities) -> int:
    """Take a run of letters and digits apart, longest known word first; gives the place behind it."""
    if end - start > MAX_WORD:
        raise CannotRead("unknown-word", start, text[start:end])
    if (token := name_worked_with(text, start, end, question) or _called(text, start, end, question)) is not None:
        tokens.append(token)
        return token.end
    place = start
    strange = 0
    while place < end:
        rest = text[place:end]
        token = (
            _whole_word(text, rest, place, tokens, question, forks)
            or _prefix_before_time(rest, place, tokens)
            or unit_before_more(rest, place, tokens, question)
            or _known_beginning(text, place, end, question.vocabulary)
        )
        if token is None:
            token = _unknown_word(text, rest, place, start, tokens, question, forks)
            strange += token.kind == "NAME" and len(token.value.name) == 1
            if strange > 2 and text[start:end].isalpha() and (text[start:end].islower() or end - start > 4):
                raise CannotRead("unknown-word", start, text[start:end])
        if token.kind:
            tokens.append(token)
        place = token.end
    return place


def _called(text: str, start: int, end: int, question: Question) -> Token | None:
    """A function, or a name with its instant: ``exp``, ``Re{…}``, ``i(0+)``."""
    word, vocabulary = text[start:end], question.vocabulary
    if (token := _part_of_a_complex_number(text, start, end, question)) is not None:
        return token
    function = FUNCTIONS.get(word)
    if function not in {None, "log"} and vocabulary.find(word) is None:
        return Token("FUNCTION", function, start, end)
    return name_at_instant(text, start, end, vocabulary) if text[end : end + 1] in {"(", " "} else None


def _known_beginning(text: str, place: int, end: int, vocabulary: Vocabulary) -> Token | None:
    """The longest known word that a run of letters begins with; a Greek letter takes its subscript along."""
    word = vocabulary.beginning(text, place, end)
    if word is None:
        return None
    subscript = _SUBSCRIPT.match(text, place + len(word)) if word.lower() in GREEK_NAMES else None
    if subscript is not None:  # jω_d
        return Token("NAME", Name(word.lower() + subscript[0], None, place), place, subscript.end())
    return _known_word(word, place, vocabulary)


_PARTS = {"Re": "re", "Im": "im", "RE": "re", "IM": "im", "re": "re", "im": "im"}


def _part_of_a_complex_number(text: str, start: int, end: int, question: Question) -> Token | None:
    """``Re{…}``, ``Im(…)``; a name of the circuit goes before."""
    part = _PARTS.get(text[start:end])
    if part is None or text[end:].lstrip(" ")[:1] not in {"(", "[", "{"}:
        return None
    return None if question.vocabulary.find(text[start:end]) is not None else Token("FUNCTION", part, start, end)


def _is_imaginary(text: str, place: int, letter: str, question: Question) -> bool:
    """j where a complex form can stand; i where roots are asked, or behind a digit."""
    if question.expects == "roots":
        return letter in {"i", "j"}
    complex_form = question.expects == "expression" or VARIABLE in question.vocabulary.dimensions
    return complex_form and (letter == "j" or (letter == "i" and text[place - 1 : place].isdigit()))


def _whole_word(
    text: str, rest: str, place: int, tokens: list[Token], question: Question, forks: Ambiguities
) -> Token | None:
    """The token that the rest of a run of letters is as a whole, if it is one."""
    before = tokens[-1].kind if tokens else ""
    return (
        _variable(rest, place, forks)
        or _name(text, rest, place, before, question, forks)
        or _sign_or_function(text, rest, place, before, question, forks)
        or (_prefix_before_time(rest, place, tokens) if len(rest) == 2 else None)
        or _unit(text, rest, place, tokens, question, forks)
        or _number_in_words(rest.lower(), place, before)
    )


def _variable(rest: str, place: int, forks: Ambiguities) -> Token | None:
    """t, e, and a t that counts from the switching."""
    end = place + len(rest)
    if rest == "t":
        return Token("TIME", Time(place), place, end)
    if rest in {"e", "\u0435"}:  # Cyrillic ie, too
        return Token("EULER", Constant("e", place), place, end)
    if rest == "t'":
        forks.remark(_SHIFTED, place=place)
        return Token("NAME", Name(rest, TIME, place), place, end)
    return None


def _name(text: str, rest: str, place: int, before: str, question: Question, forks: Ambiguities) -> Token | None:
    """A name of the circuit (or the unit written like it), and a letter that is given a value further on."""
    vocabulary, text = question.vocabulary, question.line or text
    if rest == "T" and rest not in vocabulary.dimensions and _stands_for_time(text, rest, question):
        return Token("TIME", Time(place), place, place + 1)
    known = vocabulary.find(rest)
    if known != rest and rest in OPERATOR_WORDS:
        return None  # is, and not Is
    if known not in {None, rest} and _is_given(text, rest) and _EQUALS.match(text, place + len(rest)) is None:
        return Token("NAME", Name(rest, None, place), place, place + len(rest))  # e^(-(t - T)/tau), T = 0.12 s
    if known is None:
        given = _may_be_given(text, rest, before, question) or _stands_for_more(text, rest, place, question, forks)
        return Token("NAME", Name(rest, None, place), place, place + len(rest)) if given else None
    if known != rest and (shorter := _times_t(rest, known, place, question, forks)) is not None:
        return Token("NAME", Name(shorter, vocabulary.dimensions[shorter], place), place, place + len(rest) - 1)
    measured = (
        before == "NUMBER" or is_behind_a_power(text, place)
    ) and rest != VARIABLE  # where s is a name at all, it is no second
    unit = unit_or_name(text, rest, place, question, forks) if measured else None
    return unit or Token("NAME", Name(known, vocabulary.dimensions[known], place), place, place + len(rest))


def _times_t(rest: str, known: str, place: int, question: Question, forks: Ambiguities) -> str | None:
    """The name that a run of letters is but for the t behind it, where that is read so."""
    shorter = question.vocabulary.find(rest[:-1]) if rest[-1] == "t" and question.expects == "expression" else None
    ways = Alternative(f"'{rest}' was read as {rest[:-1]} times t."), Alternative(f"'{rest}' was read as {known}.")
    return shorter if shorter is not None and forks.choose("scan", "times t", place, ways) == 0 else None


def _may_be_given(text: str, rest: str, before: str, question: Question) -> bool:
    """Whether letters that name nothing of the circuit stand for a value stated beside."""
    if "=" not in text or (before == "SLASH" and question.expects == "roots" and look_up(rest)):  # s = -3 or s = -8 1/s
        return False
    if before == "SLASH" and rest == "s":
        return False  # tau = 2 ms, s = -500 1/s
    free = before in _BEFORE_A_NAME or not look_up(rest) or _is_given(text, rest, _BY_TIME)
    return free and _is_given(text, rest)


def _stands_for_more(text: str, rest: str, place: int, question: Question, forks: Ambiguities) -> bool:
    """``3/4 W with W = L I^2/2``: whether a unit is a letter that the line explains behind it, where a value is asked."""
    explained = question.expects == "value" and _GIVEN_BEHIND.match(text, place + len(rest))
    if not explained or explained["name"] != rest or not look_up(rest):
        return False
    return (
        forks.choose("scan", "unit explained", place, (Alternative(), Alternative(f"'{rest}' was read as a unit.")))
        == 0
    )


_GIVEN_BEHIND = regex(r"[\s,;]*(?:\b(?:with|where|and|mit|wo|avec|con)\b\s*)*(?P<name>\w+)\s?=(?!>)")


def _sign_or_function(
    text: str, rest: str, place: int, before: str, question: Question, forks: Ambiguities
) -> Token | None:
    """Functions, signs in words, words that separate or say nothing, a step, the imaginary unit."""
    word, end = rest.lower(), place + len(rest)
    if word in FUNCTIONS:
        natural = word == "log" and forks.choose("scan", "log", place, (Alternative(), _NATURAL)) == 1
        return Token("FUNCTION", "ln" if natural else FUNCTIONS[word], place, end)
    if word in SKIPPED_WORDS and not text.startswith("^", end):
        return Token("", None, place, end)
    if word in OPERATOR_WORDS:
        return Token(OPERATOR_WORDS[word], word, place, end)
    if word in SEPARATING_WORDS:
        if word == "if" and _IN_A_FORMULA.match(text, end):
            return Token("NAME", Name("i_f", None, place), place, end)
        if word == "at" and _IN_EXPONENT.search(text, 0, place) and _IN_A_FORMULA.match(text, end):
            return Token("NAME", Name("a", None, place), place, place + 1)
        return Token("COMMA", word, place, end)
    if word == "x" and before in {"NUMBER", "CLOSE", "UNIT"}:
        return Token("STAR", "*", place, end)
    if word in {"u", "heaviside"} and _STEP_FOLLOWS.match(text, end):
        return Token("STEP", "u", place, end)
    if rest in {"i", "j"} and _is_imaginary(text, place, rest, question):
        return Token("IMAGINARY", Imaginary(place), place, end)
    return None


def _unit(
    text: str, rest: str, place: int, tokens: list[Token], question: Question, forks: Ambiguities
) -> Token | None:
    """A unit where one can stand: behind a value, or at the end of the answer."""
    before = tokens[-1].kind if tokens else ""
    if before not in _AFTER_WHICH_A_UNIT:
        return None
    after_value = (
        before not in {"STAR", "NAME", "EULER"}
        or (before != "EULER" and len(tokens) > 1 and tokens[-2].kind == "UNIT")
        or (_END.match(text, place + len(rest)) is not None and _ends_in_unit(text, rest, place, question))
    )
    if after_value and (before == "NUMBER" or not question.vocabulary.names_only.fullmatch(rest)):
        token = unit_token(text, rest, place, before, question, forks) or unit_of_two(text, rest, place, question)
        if token is not None:
            return token
    return _ohms(rest, place, forks) if before == "NUMBER" and question.dimension == RESISTANCE else None


def _ohms(rest: str, place: int, forks: Ambiguities) -> Token | None:
    """The letter R, or the name of the Greek one, behind the number of a resistance."""
    symbol = _BY_R.get(rest) or ("Ω" if rest.lower() == "omega" else None)
    if symbol is None:
        return None
    if rest not in _BY_R:
        forks.remark("'omega' was read as Ω.", MISSPELT, place)
    return Token("UNIT", unit_node(look_up(symbol)[0], place), place, place + len(rest))


def _number_in_words(word: str, place: int, before: str) -> Token | None:
    """``none`` and ``infinity`` are values; ``0.5 of`` is half times; ``two resistors`` counts, and is no value."""
    end = place + len(word)
    if (word in NUMBER_WORDS and word not in ZERO_WORDS) or word == "to":
        raise CannotRead("unknown-word", place, word)
    if word == "of" and before in {"NUMBER", "UNIT", "CLOSE"}:
        return Token("STAR", word, place, end)
    if word in INFINITY_WORDS:
        return Token("INFINITY", Infinity(place), place, end)
    return Token("NUMBER", Number(fmpq(0), "0", place), place, end) if word in ZERO_WORDS else None


_BY_R = {"R": "Ω", "kR": "kΩ", "KR": "kΩ", "MR": "MΩ"}
"""R for ohms, as in the letter code of IEC 60062 (common practice, no source)."""

_SUBSCRIPT = regex(rf"{SUBSCRIPT}|[0-9]+")
_CELL = regex(r"(?<![\w$])\$?[A-Z]{1,2}\$?[1-9][0-9]{0,3}(?![\w(])")


def _stands_for_time(text: str, word: str, question: Question) -> bool:
    """A spreadsheet's capital T, and the one cell that a formula points at, where no t stands beside."""
    if question.expects != "expression" or re.search(r"(?<![^\W\d_])t(?![^\W\d_])", text) is not None:
        return False
    return word == "T" or (cell_for_time(text) == word and question.vocabulary.find(word) is None)


def cell_for_time(text: str) -> str:
    """The one cell that a spreadsheet's formula points at; "" for none, or several."""
    cells = {cell.replace("$", "") for cell in _CELL.findall(text)} if _IN_A_SHEET.search(text) else set()
    return cells.pop() if len(cells) == 1 else ""


_IN_A_SHEET = regex(r"^\s*=|\b(?:EXP|SIN|COS|SQRT)\(")
_BEFORE_A_NAME = {"", "OPEN", "PLUS", "MINUS", "STAR", "SLASH", "COMMA"}


def _is_given(text: str, word: str, value: re.Pattern[str] | None = None) -> bool:
    """``(A + Bt)e^-2t, A = 5, B = 3``: whether a name is given a value further on; ``value``: how it begins."""
    given = (one.end() for one in _GIVEN.finditer(text) if one["name"] == word)
    return word.replace("_", "").isalnum() and any(value is None or value.match(text, end) is not None for end in given)


_GIVEN = regex(r"(?<![^,;\s])(?P<name>\w+)\s?=(?!>)\s?")
_BY_TIME = regex(r"t(?![^\W\d_])")
_EQUALS = regex(r"\s?=")
_IN_A_FORMULA = regex(r"\s*[-+*/)}=]")
"""Behind *if* it is the final current, and no condition."""
_IN_EXPONENT = regex(r"(?:\^|exp\s?\()\s?[({]?-?$")
"""In front of *at* it is a product: ``e^(-at)``."""

_NATURAL = Alternative("log was read as the natural logarithm ln.")

_SHIFTED = "t' was read as counting from the switching asked about, unless the answer says otherwise."

_END = regex(r"(?:\s?/\s?s)?\s*(?:$|[,;]|for\b)")
"""Behind a name only the unit of the whole answer is one: ``V/R e^(-t/tau) A`` and ``L1/R1 s``."""


def _ends_in_unit(text: str, word: str, place: int, question: Question) -> bool:
    """Whether a last word is a unit of the kind asked, or stands apart and is a unit beyond doubt."""
    if text[place - 1] == " " and any(not meaning.slip for meaning in look_up(word)):
        return True
    return question.dimension is not None and any(
        meaning.dimension == question.dimension and not meaning.slip for meaning in look_up(word, question.dimension)
    )


_STEP_FOLLOWS = regex(r"[ ([{-]*(?:[0-9]+(?:\.[0-9]+)?(?: ?[mµμun]?s)? ?- ?)?t")
"""``(t``, ``(-t``, ``(2 ms - t``: a u in front of it is the unit step, not a prefix."""


def _prefix_before_time(rest: str, place: int, tokens: list[Token]) -> Token | None:
    """``2.5Mt``: a prefix between a number and t."""
    if len(rest) > 1 and rest[1] == "t" and tokens and tokens[-1].kind == "NUMBER" and tokens[-1].end == place:
        meanings = look_up_prefix(rest[0])
        if meanings and (len(rest) == 2 or not rest[2].isalpha()):
            return Token("UNIT", unit_node(meanings[0], place), place, place + 1)
    return None


def _known_word(word: str, place: int, vocabulary: Vocabulary) -> Token | None:
    end = place + len(word)
    known = vocabulary.find(word)
    if known is not None:
        return Token("NAME", Name(known, vocabulary.dimensions[known], place), place, end)
    if word == "t":
        return Token("TIME", Time(place), place, end)
    if word == "pi":
        return Token("CONSTANT", Constant("pi", place), place, end)
    if word in {"e", "E"}:
        return Token("EULER", Constant("e", place), place, end)
    if word.lower() in GREEK_NAMES:
        return Token("NAME", Name(word.lower(), None, place), place, end)
    return Token("FUNCTION", FUNCTIONS[word.lower()], place, end)


_OWN_NAME = regex(rf"[^\W\d_](?:_[0-9]+|{SUBSCRIPT}|[0-9]+)?'*")
_DIGITS = regex(r"[0-9]+(?:\.[0-9]+)?")
_LONG_WORD = regex(r"[^\W\d_]{4,}")


def _unknown_word(
    text: str, rest: str, place: int, start: int, tokens: list[Token], question: Question, forks: Ambiguities
) -> Token:
    """What is no known word: digits, a times sign, the imaginary unit, a step, or a name of the student's own."""
    before = tokens[-1].kind if tokens else ""
    digits = _DIGITS.match(text, place)
    if digits:
        numeral(digits[0], place, text, tokens, question, forks)
        return Token("", None, place, digits.end())
    letter = rest[0]
    if (sign := _sign_before_more(text, rest, place, before, question)) is not None:
        return sign
    if place == start and rest.lower() in LITTLE_WORDS:
        raise CannotRead("unknown-word", place, rest)
    if place == start and (word := _LONG_WORD.match(rest)) is not None:
        unit = misspelt_unit(text, word[0], place, forks) if before in {"NUMBER", "CLOSE"} else None
        if unit is not None:
            return unit
        raise CannotRead("unknown-word", place, word[0])
    found = _OWN_NAME.match(rest)
    if found is None:
        raise CannotRead("unknown-character", place, letter)
    if _stands_for_time(text, found[0], question):
        forks.remark(f"'{found[0]}' was read as t.", place=place)
        return Token("TIME", Time(place), place, place + found.end())
    known = question.vocabulary.find(found[0])
    dimension = question.vocabulary.dimensions[known] if known is not None else None
    return Token("NAME", Name(known or found[0], dimension, place), place, place + found.end())


def _sign_before_more(text: str, rest: str, place: int, before: str, question: Question) -> Token | None:
    """A times sign, the imaginary unit or a step with the next factor glued to it: ``2x10``, ``j30t``."""
    letter, following = rest[0], rest[1:2]
    if letter in "xX" and before in {"NUMBER", "CLOSE"} and following.isdigit():
        return Token("STAR", "*", place, place + 1)
    number = question.expects == "roots" or following == "t" or not following.isalpha()
    if letter in "ij" and number and _is_imaginary(text, place, letter, question):
        return Token("IMAGINARY", Imaginary(place), place, place + 1)
    if letter in "uU" and len(rest) == 1 and _STEP_FOLLOWS.match(text, place + 1):
        return Token("STEP", "u", place, place + 1)
    return None
