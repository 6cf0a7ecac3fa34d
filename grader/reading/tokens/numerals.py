"""Numbers as written: decimal point or comma, separators of thousands, powers of ten, letter codes."""

import re

from flint import fmpq

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.limits import MAX_DECIMAL_EXPONENT, MAX_DIGITS
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token
from grader.reading.tree import Constant, Number
from grader.regex import regex
from grader.values.dimension import CAPACITANCE, PREFIXES, RESISTANCE

_SIMPLE = regex(r"[0-9]*\.?[0-9]*")
_TENS = [10**n for n in range(MAX_DIGITS + 1)]
_GROUPED = regex(r"[0-9]{1,3}(?:([ ,'])[0-9]{3})(?:\1[0-9]{3})*(?:\.([0-9]*))?")
_POINT_GROUPED = regex(r"([0-9]{1,3}(?:\.[0-9]{3})+),([0-9]+)")
_POINT_OF_THOUSANDS = regex(r"[1-9][0-9]{0,2}\.[0-9]{3}")
_RAISED_POINT = regex(r"[0-9]+'[0-9]+")
_EXPONENT = regex(r"[ ]?(?:[eE]|EE)([+-]?)([0-9]+(?:[.,][0-9]+)?)$")
_FOLLOWED_BY_TIME = regex(r"[ ]?([*]?)[ ]?t(?![a-su-zA-Z])|[ ]?([*]?)[ ]?t(?=cos|sin|e\b|u\b)")
_CODE = regex(r"([0-9]+)([A-Za-zμ])([0-9]+)")


def numeral(text: str, place: int, whole: str, tokens: list[Token], question: Question, forks: Ambiguities) -> None:
    """Append the tokens of one number (several, where its commas separate values)."""
    text = text.replace(" .", ".")  # 8 .65
    if _SIMPLE.fullmatch(text):
        plain_numeral(text, place, tokens, question, forks)
        return
    exponent = _EXPONENT.search(text)
    if exponent is not None:
        _with_exponent(text, exponent, place, whole, tokens, question, forks)
        return
    _with_separators(text, place, whole, tokens, question, forks)


def plain_numeral(text: str, place: int, tokens: list[Token], question: Question, forks: Ambiguities) -> None:
    """Append the token of digits with at most one point: ``2.4``, ``.5``, ``500``."""
    before, _, after = text.partition(".")
    value = _decimal(before, after)
    round_number = after == "000"
    may_group = round_number or (len(after) == 3 and question.expects == "value" and not tokens)
    if may_group and _POINT_OF_THOUSANDS.fullmatch(text):
        slip = "thousands-point-of-zeros" if round_number else "thousands-point"
        grouped = Alternative(f"'{text}' was read as {before}{after}, the point separating thousands.", slip)
        if forks.choose("scan", "point", place, (Alternative(), grouped)) == 1:
            value = value * 1000
    tokens.append(_token(value, text, place))


def number_token(text: str, place: int) -> Token:
    """The token of digits whose point, if there is one, is certainly the decimal one."""
    before, _, after = text.partition(".")
    return _token(_decimal(before, after), text, place)


def _token(value: fmpq, text: str, place: int) -> Token:
    return Token("NUMBER", Number(value, text, place), place, place + len(text))


def _decimal(before: str, after: str) -> fmpq:
    return fmpq(int(before + after), _TENS[len(after)]) if after else fmpq(int(before or "0"))


def _with_separators(
    text: str, place: int, whole: str, tokens: list[Token], question: Question, forks: Ambiguities
) -> None:
    trimmed = text.rstrip(".")
    if " " in trimmed and trimmed.count(",") == 1:  # 10 000,5: blanks between thousands so the comma is decimal
        value = _decimal(*trimmed.replace(" ", "").split(","))
    elif (grouped := _GROUPED.fullmatch(trimmed)) is not None:
        value = _grouped(text, trimmed, grouped[1], place, whole, forks)
    elif (turned := _POINT_GROUPED.fullmatch(trimmed)) is not None:
        value = _decimal(turned[1].replace(".", ""), turned[2])
    elif "," in trimmed and "." not in trimmed and "'" not in trimmed:
        _commas(trimmed, place, whole, tokens, question, forks)
        return
    elif _RAISED_POINT.fullmatch(trimmed):
        forks.remark(f"'{text}' was read with the apostrophe as the decimal sign.", place=place)
        value = _decimal(*trimmed.split("'"))
    else:
        raise CannotRead("number-unclear", place, text)
    tokens.append(_token(value, text, place))


def _grouped(text: str, trimmed: str, separator: str, place: int, whole: str, forks: Ambiguities) -> fmpq:
    """A number in groups of three digits; of ``1,250`` and ``1'250`` the sign may be the decimal one, and of ``0,250`` it is."""
    before, _, after = trimmed.replace(separator, "").partition(".")
    sign = {",": "comma", "'": "apostrophe"}.get(separator)
    if sign is None or trimmed.count(separator) > 1 or after:
        if trimmed.startswith("0"):
            raise CannotRead("number-unclear", place, text)
        return _decimal(before, after)
    ways = [
        (_decimal(before, after), f"{before}, the {sign} separating thousands."),
        (_decimal(*trimmed.split(separator)), f"{trimmed.replace(separator, '.')}, the {sign} being the decimal sign."),
    ]
    if trimmed.startswith("0"):
        return ways[1][0]
    if _COMMA_IS_DECIMAL.search(whole):
        ways.reverse()
    told = tuple(Alternative(f"'{text}' was read as {way}") for _, way in ways)
    return ways[forks.choose("scan", "comma", place, told)][0]


_COMMA_IS_DECIMAL = regex(r"[0-9],(?:[0-9]{1,2}|[0-9]{4,})(?![0-9])")
_POINT_IS_DECIMAL = regex(r"[0-9]\.[0-9]")


def _commas(text: str, place: int, whole: str, tokens: list[Token], question: Question, forks: Ambiguities) -> None:
    pieces = text.split(",")
    if len(pieces) == 2:
        measured = question.expects != "roots" and _LETTER.match(whole, place + len(text)) is not None
        decimal = Alternative(f"'{text}' was read with the comma as the decimal sign.")
        several = Alternative(f"'{text}' was read as two values.")
        if measured or not _stands_alone(text, place, whole, tokens):
            forks.remark(decimal.note, place=place)
            tokens.append(_token(_decimal(*pieces), text, place))
            return
        turned = question.expects == "roots" and _POINT_IS_DECIMAL.search(whole)
        ways = (several, decimal) if turned else (decimal, several)
        if ways[forks.choose("scan", "comma", place, ways)] is decimal:
            tokens.append(_token(_decimal(*pieces), text, place))
            return
        groups = [pieces[:1], pieces[1:]]
    else:
        ways = (
            Alternative(f"'{text}' was read as {len(pieces)} values."),
            Alternative(f"'{text}' was read with every second comma as a decimal sign."),
        )
        if len(pieces) % 2:
            ways = (*ways[:1], Alternative(f"'{text}' was read as {pieces[0]}.{pieces[1]} and further values."))
        number = forks.choose("scan", "comma", place, ways)
        size = 1 if number == 0 else 2
        groups = [pieces[i : i + size] for i in range(0, len(pieces), size)]
    at = place
    for index, group in enumerate(groups):
        if index:
            tokens.append(Token("COMMA", ",", at - 1, at))
        written = ",".join(group)
        tokens.append(_token(_decimal(group[0], group[1] if len(group) > 1 else ""), written, at))
        at += len(written) + 1


_LETTER = regex(r"\s?[^\W\d_]")
"""A unit, known or not: the comma before it is a decimal sign."""
_REST_OF_A_VALUE = regex(r"[^-+*/^(]*?(?:$|[;,\n])")


def _stands_alone(text: str, place: int, whole: str, tokens: list[Token]) -> bool:
    """Whether a number with its sign is all of a part of the answer; a comma inside a longer one separates no values."""
    before = tokens[:-1] if tokens and tokens[-1].kind in {"PLUS", "MINUS"} else tokens
    begins = not before or before[-1].kind in {"COMMA", "EQUALS", "LABEL"}
    return begins and _REST_OF_A_VALUE.match(whole, place + len(text)) is not None


def _with_exponent(
    text: str,
    exponent: re.Match[str],
    place: int,
    whole: str,
    tokens: list[Token],
    question: Question,
    forks: Ambiguities,
) -> None:
    mantissa = text[: exponent.start()]
    numeral(mantissa, place, whole, tokens, question, forks)
    sign, digits = exponent[1], exponent[2].replace(",", ".")
    size = int(digits) if digits.isdigit() and len(digits) < 5 else 10**4
    time = _FOLLOWED_BY_TIME.match(whole, place + len(text))
    powers = size <= MAX_DECIMAL_EXPONENT and digits.isdigit()
    if not powers and question.expects != "expression" and not time and digits.isdigit():
        raise CannotRead("number-too-large", place, text)
    scientific = Alternative(f"'{text}' was read as {mantissa}·10^{sign}{digits}." if time else "")
    exponential = Alternative(f"'{text}' was read as {mantissa}·e^({sign}{digits}…), the ^ left out.", "caret-left-out")
    ways: tuple[Alternative, ...] = (scientific,) if powers else (exponential,)
    if powers and time is not None and size != 0 and not _inside_power(tokens):
        ways = (scientific, exponential) if _is_explicit(exponent, time) else (exponential, scientific)
    chosen = forks.choose("scan", "exponent", place, ways) if len(ways) > 1 or ways[0].note else 0
    if ways[chosen] is scientific:
        last = tokens.pop()
        power = fmpq(10) ** (-size if sign == "-" else size)
        number = Number(last.value.value * power, text.replace("EE", "E"), place)
        tokens.append(Token("NUMBER", number, last.start, place + len(text)))
        return
    at = place + len(mantissa)
    tokens.append(Token("EULER", Constant("e", at), at, at + 1))
    tokens.append(Token("CARET", "^", at + 1, at + 1))
    if sign:
        tokens.append(Token({"-": "MINUS"}.get(sign, "PLUS"), sign, at + 1, at + 2))
    numeral(digits, at + 1 + len(sign), whole, tokens, question, forks)


def _is_explicit(exponent: re.Match[str], time: re.Match[str]) -> bool:
    """``2E-5t``, ``2e-5*t``: whether a power of ten is what t is multiplied by."""
    return bool(time[1] or time[2]) or exponent[0].strip()[0] == "E"


def _inside_power(tokens: list[Token]) -> bool:
    """Whether the number just scanned stands in a power's or a function's bracket."""
    depth = 0
    for index in range(len(tokens) - 1, -1, -1):
        kind = tokens[index].kind
        if kind == "CLOSE":
            depth += 1
        elif kind == "OPEN":
            if depth == 0 and index and tokens[index - 1].kind in {"CARET", "FUNCTION"}:
                return True
            depth = max(depth - 1, 0) if depth else 0
        elif kind in {"CARET", "FUNCTION"} and depth == 0 and index >= len(tokens) - 3:
            return True
    return False


def code_value(code: str, place: int) -> Number:
    """A value in the letter code of IEC 60062: ``4k7`` is 4700, ``4R7`` is 4.7."""
    match = _CODE.fullmatch(code)
    assert match is not None
    before, letter, after = match.groups()
    prefix = {"R": "", "K": "k", "u": "μ"}.get(letter, letter)
    return Number(_decimal(before, after) * fmpq(10) ** PREFIXES.get(prefix, 0), code, place)


def unit_in_code(code: str, question: Question) -> str | None:
    """The unit that a letter code stands for by itself: ohms, and farads where a capacitance is asked.

    R says so always, the other letters where such a value is asked.

    References
    ----------
    IEC 60062, marking codes for resistors and capacitors (from memory).
    """
    if question.dimension == CAPACITANCE and "R" not in code:
        return "F"
    return "Ω" if "R" in code or question.dimension == RESISTANCE else None


_REPEATING = regex(r"([0-9]+)[.,](?:[({]([0-9]+)[)}]|([0-9]+)\.{3})")


def repeating_decimal(text: str, place: int) -> Number:
    """``2.(2)`` and ``0.1666...``: of what stands before dots, the shortest end that repeats goes on."""
    match = _REPEATING.fullmatch(text)
    assert match is not None
    before, again = ("", match[2]) if match[2] else _last_repeated(match[3])
    value = _decimal(match[1], before) + fmpq(int(again), (10 ** len(again) - 1) * 10 ** len(before))
    return Number(value, text, place)


def _last_repeated(digits: str) -> tuple[str, str]:
    """What stands before the part that repeats, and that part: one digit, unless a longer one stands there twice."""
    for length in range(1, len(digits) // 2 + 1):
        if digits[-length:] == digits[-2 * length : -length]:
            return digits[:-length], digits[-length:]
    return digits[:-1], digits[-1:]
