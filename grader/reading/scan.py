"""From plain text to tokens: numbers, units, names, functions and signs.

One compiled expression finds the pieces; a word is then split by what it may hold (``12000te`` is a number, t and
e; ``R1R2`` two resistances).  A token is (kind, value, start, end); kinds are the terminals of answer.lark.
"""

from __future__ import annotations

import re
from grader.reading.forks import Forks, Way
from grader.reading.limits import MAX_DIGITS, MAX_TOKENS
from grader.reading.numerals import code_value, numeral
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token
from grader.reading.tree import Constant, Imaginary, Infinity, Name, Time, Unit
from grader.reading.units import Meaning, look_up, look_up_prefix
from grader.reading.vocabulary import FUNCTIONS, SEPARATING_WORDS, SKIPPED_WORDS, Vocabulary
from grader.values.dimension import LENGTH


_PIECE = re.compile(
    r"(?P<code>[0-9]+[RKkMmuμnp][0-9]+(?![\w.]))"
    r"|(?P<number>(?:[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,'][0-9]+)*\.?|[.,][0-9]+)"
    r"(?:[ ]?[eE][+-]?[0-9]+(?:[.,][0-9]+)?)?)"
    r"|(?P<word>[^\W\d_](?:_\{[^{}]*\}|[\w'])*)"
    r"|(?P<sign>\*\*|\.[*/^]|\+/-|\+\s?/\s?-|[<>]=|=[<>]|==|<>|[-+*/^(){}\[\]=,;:<>≤≥≈±∓%°∞√∠\n|!])"
    r"|(?P<space>[ ]+)"
)

_SIGNS = {
    "+": "PLUS", "-": "MINUS", "*": "STAR", ".*": "STAR", "/": "SLASH", "./": "SLASH", "^": "CARET", "**": "CARET",
    ".^": "CARET", "(": "OPEN", "[": "OPEN", "{": "OPEN", ")": "CLOSE", "]": "CLOSE", "}": "CLOSE", "=": "EQUALS",
    "==": "EQUALS", "≈": "EQUALS", ",": "COMMA", ";": "COMMA", "\n": "COMMA", "<": "BELOW", "<=": "BELOW", "=<": "BELOW",
    "≤": "BELOW", ">": "ABOVE", ">=": "ABOVE", "=>": "ABOVE", "≥": "ABOVE", "±": "EITHER", "∓": "EITHER", "+/-": "EITHER",
    "∠": "ANGLE", ":": "EQUALS",
}  # fmt: skip

_AFTER_UNIT_MAY = {"NUMBER", "CLOSE", "TIME", "UNIT", "SLASH", "STAR", "OPEN", "NAME"}
"""What a unit may follow."""


def scan(text: str, question: Question, forks: Forks) -> list[Token]:
    """Cut plain text into tokens.

    Raises
    ------
    CannotRead
        At a character that belongs to no notation, or beyond a bound.
    """
    tokens: list[Token] = []
    place = 0
    next_piece = _PIECE.match
    has_label = "=" in text or ":" in text or "≈" in text
    while True:
        match = next_piece(text, place)
        if match is None:
            break
        start, place = place, match.end()
        end = place
        kind = match.lastgroup
        if kind == "space":
            continue
        if kind == "word":
            if has_label and (label := _label(text, start, tokens)) is not None:
                place = label.end
            else:
                place = _split_word(text, start, end, tokens, question, forks)
        elif kind == "number":
            if end - start > MAX_DIGITS:
                raise CannotRead("too-many-digits", start)
            numeral(match[0], start, text, tokens, question, forks)
        elif kind == "sign":
            _sign(match[0], start, end, tokens)
        else:
            code = match[0]
            if question.vocabulary.regex.match(text, start + len(re.match("[0-9]+", code)[0])):  # type: ignore[index]
                digits = re.match("[0-9]+", code)[0]  # type: ignore[index]
                numeral(digits, start, text, tokens, question, forks)
                _split_word(text, start + len(digits), end, tokens, question, forks)
            else:
                tokens.append(Token("NUMBER", code_value(code, start), start, end))
                forks.remark(f"'{code}' was read as a letter code, the letter standing for the decimal point.")
        if len(tokens) > MAX_TOKENS:
            raise CannotRead("too-long", start)
    if place != len(text):
        raise CannotRead("unknown-character", place, text[place])
    return tokens


def _sign(sign: str, start: int, end: int, tokens: list[Token]) -> None:
    if sign == "%":
        tokens.append(Token("UNIT", unit_node(look_up("%")[0], start), start, end))
    elif sign == "°":
        tokens.append(Token("UNIT", unit_node(look_up("°")[0], start), start, end))
    elif sign == "∞":
        tokens.append(Token("INFINITY", Infinity(start), start, end))
    elif sign == "√":
        tokens.append(Token("FUNCTION", "sqrt", start, end))
    elif sign in "|!":
        raise CannotRead("unknown-character", start, sign)
    else:
        kind = _SIGNS.get(sign) or _SIGNS["+/-"]
        tokens.append(Token(kind, sign, start, end))


def unit_node(meaning: Meaning, place: int) -> Unit:
    """The tree's node for a unit looked up."""
    return Unit(meaning.symbol, meaning.scale, meaning.dimension, place, meaning.degrees)


def _split_word(text: str, start: int, end: int, tokens: list[Token], question: Question, forks: Forks) -> int:
    """Take a run of letters apart, longest known word first."""
    vocabulary = question.vocabulary
    place = start
    while place < end:
        rest = text[place:end]
        before = tokens[-1].kind if tokens else ""
        token = _whole_word(text, rest, place, before, question, forks, tokens)
        if token is None:
            match = vocabulary.regex.match(text, place, end)
            token = _prefix_before_time(rest, place, tokens) or _unit_before_more(rest, place, before, question, forks)
            if token is None and match is not None:
                token = _known_word(match[0], place, vocabulary)
            if token is None:
                token = _stranger(text, rest, place, tokens, question, forks)
        if token.kind:
            tokens.append(token)
        place = token.end
    return place


_LABEL = re.compile(r"[^\W\d_](?:_\{[^{}]*\}|[\w'])*\s*(?:\([^()=]*(?:\([+-]\)[^()=]*)?\))?(?:_\{[^{}]*\}|_\w+)?\s*(?=[=:≈])")


def _label(text: str, place: int, tokens: list[Token]) -> Token | None:
    """What stands left of an equal sign: ``i_L(0+) =``; it may follow a value directly (``1.64A i(0+)=1.64A``)."""
    before = tokens[-1].kind if tokens else "COMMA"
    follows_value = before in {"UNIT", "CLOSE"} and text[place - 1] == " "
    if before not in {"COMMA", "EQUALS", "OPEN"} and not follows_value:
        return None
    match = _LABEL.match(text, place)
    if match is None:
        return None
    if follows_value:
        tokens.append(Token("COMMA", " ", place, place))
    label = Token("LABEL", match[0].strip(), place, match.end())
    tokens.append(label)
    return label


def _whole_word(
    text: str, rest: str, place: int, before: str, question: Question, forks: Forks, tokens: list[Token]
) -> Token | None:
    vocabulary = question.vocabulary
    end = place + len(rest)
    if rest == "t":
        return Token("TIME", Time(place), place, end)
    if rest == "e":
        return Token("EULER", Constant("e", place), place, end)
    known = vocabulary.find(rest)
    unit_fits = before in _AFTER_UNIT_MAY and (before not in {"STAR", "NAME"} or (len(tokens) > 1 and tokens[-2].kind == "UNIT"))
    if known is not None and not (unit_fits and before == "NUMBER" and _asked_unit(rest, question)):
        return Token("NAME", Name(known, vocabulary.dimensions[known], place), place, end)
    word = rest.lower()
    if word in FUNCTIONS:
        return Token("FUNCTION", FUNCTIONS[word], place, end)
    if word in SKIPPED_WORDS:
        return Token("", None, place, end)
    if word in SEPARATING_WORDS:
        return Token("COMMA", word, place, end)
    if rest in {"x", "X"} and before == "NUMBER":
        return Token("STAR", "*", place, end)
    if rest in {"u", "U"} and text[end : end + 3].lstrip(" ([{")[:1] == "t":
        return Token("STEP", "u", place, end)
    if unit_fits and (before == "NUMBER" or not vocabulary.names_only.fullmatch(rest)):
        token = _unit(text, rest, place, question, forks)
        if token is not None:
            return token
    if word in {"inf", "infinity", "infinite", "infty", "unendlich"}:
        return Token("INFINITY", Infinity(place), place, end)
    return None


def _asked_unit(word: str, question: Question) -> bool:
    return any(m.dimension == question.dimension for m in look_up(word, question.dimension))


def _unit(text: str, word: str, place: int, question: Question, forks: Forks) -> Token | None:
    end = place + len(word)
    meanings = look_up(word, question.dimension)
    if not meanings:
        meanings = look_up_prefix(word)
        following = re.compile(r"[ -]\s*([A-Za-zΩ]+)").match(text, end)
        if following and len(word) == 1 and look_up(word + following[1]):
            joined = word + following[1]
            meanings, end = look_up(joined, question.dimension), following.end()
            word = joined
        if not meanings:
            return None
    else:
        if word in {"m", "M"} and question.dimension != LENGTH:
            following = re.compile(r"[ -]\s*([A-Za-zΩ]+)").match(text, end)
            if following and (joined := look_up(word + following[1], question.dimension)):
                meanings, end, word = joined, following.end(), word + following[1]
            else:
                meanings = (*look_up_prefix(word), *meanings)
    chosen = meanings[0]
    if len(meanings) > 1 or chosen.slip:
        ways = tuple(
            Way(f"'{word}' was read as {m.symbol}." if m.slip or m.symbol != word else "", m.slip) for m in meanings
        )
        chosen = meanings[forks.choose("scan", "unit", place, ways)]
    return Token("UNIT", unit_node(chosen, place), place, end)


def _prefix_before_time(rest: str, place: int, tokens: list[Token]) -> Token | None:
    """``2.5Mt``: a prefix between a number and t."""
    if len(rest) > 1 and rest[1] == "t" and tokens and tokens[-1].kind == "NUMBER" and tokens[-1].end == place:
        meanings = look_up_prefix(rest[0])
        if meanings and (len(rest) == 2 or not rest[2].isalpha()):
            return Token("UNIT", unit_node(meanings[0], place), place, place + 1)
    return None


_MORE = re.compile(r"e$|exp|cos|sin|u$|t$|t(?=cos|sin|e$)", re.IGNORECASE)


def _unit_before_more(rest: str, place: int, before: str, question: Question, forks: Forks) -> Token | None:
    """``4mAe^…``: a unit with the next factor glued to it."""
    if before not in {"NUMBER", "CLOSE", "TIME"}:
        return None
    for length in (3, 2, 1):
        word = rest[:length]
        if len(rest) > length and _MORE.match(rest, length):
            meanings = look_up(word, question.dimension)
            if meanings and meanings[0].dimension is not None and not meanings[0].slip:
                return Token("UNIT", unit_node(meanings[0], place), place, place + length)
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
    function = FUNCTIONS.get(word.lower())
    return None if function is None else Token("FUNCTION", function, place, end)


_NAME = re.compile(r"[A-Za-zΩμ](?:_\{[^{}]*\}|_[A-Za-z0-9]+|[0-9]+)?'*|.")
_DIGITS = re.compile(r"[0-9]+")


def _stranger(text: str, rest: str, place: int, tokens: list[Token], question: Question, forks: Forks) -> Token:
    """A letter that is no known word: the imaginary unit, a times sign, a step, or a name of the student's own."""
    before = tokens[-1].kind if tokens else ""
    digits = _DIGITS.match(rest)
    if digits:
        numeral(digits[0], place, text, tokens, question, forks)
        return Token("", None, place, place + digits.end())
    if rest[0] in "xX" and before == "NUMBER" and rest[1:2].isdigit():
        return Token("STAR", "*", place, place + 1)
    if rest[0] in "ij" and question.expects == "roots":
        return Token("IMAGINARY", Imaginary(place), place, place + 1)
    if rest[0] in "uU" and len(rest) == 1 and text[place + 1 : place + 4].lstrip(" ([{")[:1] == "t":
        return Token("STEP", "u", place, place + 1)
    found = _NAME.match(rest)
    name = found[0] if found else rest[0]
    known = question.vocabulary.find(name)
    dimension = question.vocabulary.dimensions[known] if known is not None else None
    return Token("NAME", Name(known or name, dimension, place), place, place + len(name))
