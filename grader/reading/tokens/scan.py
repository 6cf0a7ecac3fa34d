"""From plain text to tokens: numbers, units, names, functions and signs.

One compiled expression finds the pieces; a run of letters is then taken apart in `grader.reading.tokens.scan_words`.  Token kinds
are told in `grader.reading.tree.parse`.
"""

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.limits import MAX_DIGITS, MAX_TOKENS
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token
from grader.reading.tokens.numerals import code_value, numeral, plain_numeral, repeating_decimal, unit_in_code
from grader.reading.tokens.polar import polar
from grader.reading.tokens.scan_labels import COLON_DIVIDES, divides, label_at
from grader.reading.tokens.scan_units import unit_node
from grader.reading.tokens.scan_words import scan_word
from grader.reading.tokens.units import look_up
from grader.reading.tree import Constant, Infinity, Time
from grader.regex import regex

_PIECE = regex(
    r"(?P<plain>[0-9]+(?:\.[0-9]+)?)(?![0-9.,'eERkKMmuμnp]|[ ][0-9eE]|[ ]\.[0-9])"
    r"|(?P<sign>\*\*|\|\||//|\+\s?/\s?-|-+>|[<>]=|=[<>]|==|[-+*/^&(){}\[\]=,;:<>≤≥≈±∓%°∞√∥∠\n→](?![0-9](?<=,[0-9]))|\.[*/^])"
    r"|(?P<word>[^\W\d_](?:_\{[^{}]*\}|[\w'])*)"
    r"|(?P<space>[ ]+)"
    r"|(?P<code>[0-9]+[RkKMmuμnp][0-9]+(?![\w.]))"
    r"|(?P<repeating>[0-9]+[.,](?:[({][0-9]{1,6}[)}]|[0-9]*(?P<again>[0-9])(?P=again)+\.{3}|[0-9]\.{3}(?=\s*[^\W\d_])))"
    r"|(?P<number>(?:[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+[ ]\.[0-9]+|[0-9]+(?:[.,'][0-9]+)*(?:\.(?![*/^]))?|[.,][0-9]+)"
    r"(?:[ ]?(?:[eE]|EE)[+-]?[0-9]+(?:[.,][0-9]+)?)?)"
    r"|(?P<stop>\.(?![0-9]))"
)
"""Most frequent first.  A comma right before a digit begins a number (``,5``), not a list."""

_SIGNS = {
    "+": "PLUS", "-": "MINUS", "*": "STAR", ".*": "STAR", "/": "SLASH", "./": "SLASH", "^": "CARET", "**": "CARET",
    ".^": "CARET", "(": "OPEN", "[": "OPEN", "{": "OPEN", ")": "CLOSE", "]": "CLOSE", "}": "CLOSE", "=": "EQUALS",
    "==": "EQUALS", "≈": "EQUALS", "→": "EQUALS", "->": "EQUALS", "-->": "EQUALS", "&": "COMMA", ",": "COMMA", ";": "COMMA", "\n": "COMMA", "<": "BELOW", "<=": "BELOW",
    "=<": "BELOW", "≤": "BELOW", ">": "ABOVE", ">=": "ABOVE", "≥": "ABOVE", "±": "EITHER", "∓": "EITHER",
    "||": "PARALLEL", "//": "PARALLEL", "∥": "PARALLEL", "∠": "ANGLE",
}  # fmt: skip

_ENDS_A_SENTENCE = {"NUMBER", "UNIT", "CLOSE", "NAME", "INFINITY"}
_ALONE = {sign: _SIGNS[sign] for sign in "()[]{}^;&"}
"""Signs that never begin a longer one."""


def scan(text: str, question: Question, forks: Ambiguities) -> list[Token]:
    """Cut plain text into tokens; `CannotRead` at a character that belongs to no notation, or beyond a bound."""
    tokens: list[Token] = []
    place = 0
    next_piece = _PIECE.match
    has_label = "=" in text or ":" in text or "≈" in text
    length = len(text)
    while place < length:
        if (alone := _ALONE.get(text[place])) is not None:
            tokens.append(Token(alone, text[place], place, place + 1))
            place += 1
            continue
        match = next_piece(text, place)
        if match is None:
            raise CannotRead("unknown-character", place, text[place])
        start, place = place, match.end()
        kind = match.lastgroup
        if kind == "sign":
            sign = match[0]
            known = _SIGNS.get(sign)
            tokens.append(
                _sign(text, sign, start, place, tokens, forks) if known is None else Token(known, sign, start, place)
            )
        elif kind == "plain" and place - start < MAX_DIGITS:
            plain_numeral(match[0], start, tokens, question, forks)
        elif kind == "word":
            place = _word(text, start, place, tokens, question, forks, has_label=has_label)
        elif kind is not None and kind in _NUMERALS:
            if place - start > MAX_DIGITS:
                raise CannotRead("too-many-digits", start)
            _NUMERALS[kind](match[0], start, text, tokens, question, forks)
        elif kind == "stop" and tokens and tokens[-1].kind in _ENDS_A_SENTENCE and text[place : place + 1].isspace():
            tokens.append(Token("COMMA", ".", start, place))
        if len(tokens) > MAX_TOKENS:
            raise CannotRead("too-long", start)
    return polar(tokens) if "∠" in text else tokens


def _word(
    text: str, start: int, end: int, tokens: list[Token], question: Question, forks: Ambiguities, *, has_label: bool
) -> int:
    """A run of letters: t and e by themselves, a label, or what it is taken apart into; gives the place behind it."""
    if has_label:
        label = label_at(text, start, tokens, question, forks)
        return label.end if label is not None else scan_word(text, start, end, tokens, question, forks)
    letter = text[start] if end - start == 1 else ""
    if letter == "t":
        tokens.append(Token("TIME", Time(start), start, end))
        return end
    if letter == "e":
        tokens.append(Token("EULER", Constant("e", start), start, end))
        return end
    return scan_word(text, start, end, tokens, question, forks)


def _sign(text: str, sign: str, start: int, end: int, tokens: list[Token], forks: Ambiguities) -> Token:
    if sign in "%°":
        return Token("UNIT", unit_node(look_up(sign)[0], start), start, end)
    if sign == "∞":
        return Token("INFINITY", Infinity(start), start, end)
    if sign == "√":
        return Token("FUNCTION", "sqrt", start, end)
    if sign == "=>":  # t => 0 is a range, i(0+) => 2 A a step in the working
        ranged = (tokens and tokens[-1].kind == "TIME") or text[end:].lstrip().startswith("t")
        return Token("ABOVE" if ranged else "EQUALS", sign, start, end)
    if sign == ":":
        return _colon(text, start, end, tokens, forks)
    return Token("EITHER", sign, start, end)


def _colon(text: str, start: int, end: int, tokens: list[Token], forks: Ambiguities) -> Token:
    """A colon divides, stands behind a label, or sets two values apart."""
    if divides(text, start, tokens):
        way = forks.choose(
            "scan", "colon", start, (Alternative(COLON_DIVIDES), Alternative("The colon was read as an equal sign."))
        )
        return Token(("SLASH", "EQUALS")[way], ":", start, end)
    worked = any(token.kind in {"EQUALS", "PLUS", "CARET"} for token in tokens)
    apart = any(token.kind in {"BELOW", "ABOVE"} for token in tokens[-6:]) or (
        worked and (_NEXT_LABEL.match(text, end) or _SAYS_WHEN.search(text, 0, start)) is not None
    )
    before, behind = tokens[-1].kind if tokens else "", text[end:].lstrip()[:1]
    if before == "NAME" and behind == "(":  # no label: label_at saw it first
        return Token("SLASH", ":", start, end)
    if not apart and ((before == "UNIT" and behind.isdigit()) or (before == "CLOSE" and behind == "(")):
        ways = (Alternative(), Alternative(COLON_DIVIDES))  # 12 V : 5 Ω, (R1 R2) : (R1 + R2)
        return Token(("EQUALS", "SLASH")[forks.choose("scan", "colon", start, ways)], ":", start, end)
    return Token("COMMA" if apart else "EQUALS", ":", start, end)


_NEXT_LABEL = regex(r"\s*[^\W\d_]\w*(?:\([^()]*\))?\s*=")
"""Behind ``t' = t - 2 s:`` or ``A + B e^(-2t):`` the name of another value."""
_SAYS_WHEN = regex(r"(?<![\w'])(?:t\s?=|[^\W\d_]'?\s?=\s?\(?t\b)[^=,;:]*$")
"""``t = 0.5 s: 4 A``, ``x = t - 6 ms: 3e^(-5x) A``"""
_CODE_DIGITS = regex("[0-9]+")
_UNIT_FOLLOWS = regex(r"\s*[^\W\d_]")


def _code(code: str, start: int, text: str, tokens: list[Token], question: Question, forks: Ambiguities) -> None:
    """``4k7``, unless the letter begins a name: ``2R2`` is twice R2 where there is an R2."""
    leading = _CODE_DIGITS.match(code)
    assert leading is not None
    end = start + len(code)
    if question.vocabulary.names_only.fullmatch(text, start + leading.end(), end):
        numeral(leading[0], start, text, tokens, question, forks)
        scan_word(text, start + leading.end(), end, tokens, question, forks)
        return
    tokens.append(Token("NUMBER", code_value(code, start), start, end))
    unit = unit_in_code(code, question)
    if unit is not None and _UNIT_FOLLOWS.match(text, end) is None:
        tokens.append(Token("UNIT", unit_node(look_up(unit)[0], end), end, end))
    forks.remark(f"'{code}' was read as a letter code, the letter standing for the decimal point.")


def _repeating(
    text: str, start: int, _whole: str, tokens: list[Token], _question: Question, forks: Ambiguities
) -> None:
    tokens.append(Token("NUMBER", repeating_decimal(text, start), start, start + len(text)))
    forks.remark(f"'{text}' was read as a repeating decimal.", place=start)


_NUMERALS = {"plain": numeral, "number": numeral, "repeating": _repeating, "code": _code}
"""What appends the tokens of a number, by how it is written."""
