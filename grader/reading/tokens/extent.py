"""How far a power or a function without brackets reaches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from grader.reading.tokens import Question, Token
from grader.values.dimension import RATE, TIME

_VALUES = {"NUMBER", "NAME", "CONSTANT", "TIME", "IMAGINARY"}
_ONE_FACTOR = {"sqrt", "ln", "log", "abs"}


def operand_extent(
    tokens: Sequence[Token],
    partner: Mapping[int, int],
    start: int,
    stop: int,
    question: Question,
    function: str = "",
) -> int:
    """Index behind the last token that belongs to the power, or to the argument of ``function``, from ``start`` on.

    Numbers, t, names and what divides them belong; a sum, another function, a further bracket once t has occurred,
    and the unit of the whole do not.
    """
    index = start
    while index < stop and tokens[index].kind in {"PLUS", "MINUS"}:
        index += 1
    if function in _ONE_FACTOR:
        if index < stop and tokens[index].kind == "OPEN":
            return partner[index] + 1
        return index + 1 if index < stop and tokens[index].kind in _VALUES | {"EULER"} else start
    time = number = slash = False  # whether one has occurred
    joined = True  # whether what comes next is joined by a sign (or comes first)
    while index < stop:
        kind = tokens[index].kind
        if kind in _VALUES:
            if time and not joined and kind in {"TIME", "NUMBER"}:
                break
            time = time or kind == "TIME"
            number = number or kind == "NUMBER"
            index, joined = index + 1, False
        elif kind == "UNIT":
            if index > start and not _unit_belongs(tokens, index, question, slash, function):
                break
            index, joined = index + 1, False
        elif kind == "OPEN":
            close = partner[index]
            inside = tokens[index + 1 : close]
            if not joined and not _bracket_belongs(inside, time, number, slash):
                break
            time = time or any(token.kind == "TIME" for token in inside)
            index, joined = close + 1, False
        elif kind == "CARET" and not joined:
            index, joined = _behind_power(tokens, partner, index + 1, stop), False
        elif kind == "SLASH" and not joined and index + 1 < stop:
            if not _goes_below(tokens[index + 1]):
                break
            slash = joined = True
            index += 1
        elif kind == "STAR" and not joined and index + 1 < stop:
            if not _factor_belongs(tokens, partner, index + 1, time, number, slash):
                break
            index, joined = index + 1, True
        elif kind == "FUNCTION" and tokens[index].value == "frac" and (joined or not time):
            end = partner.get(partner.get(index + 1, stop) + 1, stop - 1) + 1
            time = time or any(token.kind == "TIME" for token in tokens[index:end])
            index, joined = end, False
        elif kind == "FUNCTION" and tokens[index].value == "sqrt" and joined:
            index, joined = partner.get(index + 1, index + 1) + 1, False
        elif kind in {"MINUS", "PLUS"} and function and _angle_follows(tokens, index, stop):
            return index + 3
        else:
            break
    return min(index, stop)


def _behind_power(tokens: Sequence[Token], partner: Mapping[int, int], index: int, stop: int) -> int:
    while index < stop and tokens[index].kind in {"PLUS", "MINUS"}:
        index += 1
    return partner.get(index, index) + 1


def _angle_follows(tokens: Sequence[Token], index: int, stop: int) -> bool:
    """``cos 120t - 22.6°``: an angle in degrees belongs to the argument."""
    if index + 2 >= stop or tokens[index + 1].kind != "NUMBER" or tokens[index + 2].kind != "UNIT":
        return False
    return bool(tokens[index + 2].value.degrees)


def _unit_belongs(tokens: Sequence[Token], index: int, question: Question, slash: bool, function: str) -> bool:
    """Only a unit that can stand in a power does: a time, a rate, a prefix; not the unit of the whole."""
    before = tokens[index - 1].kind
    unit = tokens[index].value
    if unit.degrees:
        return bool(function)
    if before == "SLASH":
        return True
    if before != "NUMBER":
        return before == "STAR" or bool(before == "UNIT" and unit.dimension != question.dimension)
    if unit.dimension is None or unit.dimension in {TIME, RATE} or not any(unit.dimension):
        return bool(unit.symbol != "%")
    return bool(slash and unit.dimension != question.dimension)


def _bracket_belongs(inside: Sequence[Token], time: bool, number: bool, slash: bool) -> bool:
    kinds = {token.kind for token in inside}
    if kinds & {"FUNCTION", "EULER", "STEP"}:
        return False
    if not time:
        return "TIME" in kinds or "NAME" in kinds or slash
    return "TIME" not in kinds and "NAME" in kinds and not number


def _goes_below(token: Token) -> bool:
    return (
        token.kind in _VALUES or token.kind in {"OPEN", "UNIT"} or (token.kind == "FUNCTION" and token.value == "sqrt")
    )


def _factor_belongs(
    tokens: Sequence[Token], partner: Mapping[int, int], index: int, time: bool, number: bool, slash: bool
) -> bool:
    """Whether the factor behind a times sign belongs to the power."""
    kind = tokens[index].kind
    if kind in {"NAME", "UNIT", "CONSTANT"}:
        return True
    if kind == "TIME":
        return not time
    if kind == "NUMBER":
        return not time or not (number or slash)
    if kind == "OPEN":
        return _bracket_belongs(tokens[index + 1 : partner[index]], time, number, slash)
    return kind == "FUNCTION" and bool(tokens[index].value == "sqrt")
