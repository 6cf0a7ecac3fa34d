"""How far a power or a function without brackets reaches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from grader.reading.tokens import Question, Token
from grader.values.dimension import RATE, TIME

OPENERS = {"(": ")", "[": "]", "{": "}"}

_VALUES = {"NUMBER", "NAME", "CONSTANT", "TIME", "IMAGINARY"}


def reach(
    tokens: Sequence[Token],
    partner: Mapping[int, int],
    start: int,
    stop: int,
    question: Question,
    function: str = "",
) -> int:
    """Index behind the last token that belongs to the power or argument beginning at ``start``.

    Numbers, t, names and what divides them belong; a sum, another function, a further bracket once t has
    occurred, and the unit of the whole do not.
    """
    index = start
    while index < stop and tokens[index].kind in {"PLUS", "MINUS"}:
        index += 1
    time_seen = number_seen = slash_seen = False
    operator = True  # what comes next is joined by a sign (or comes first)
    while index < stop:
        token = tokens[index]
        kind = token.kind
        if kind in _VALUES:
            if kind == "TIME":
                if time_seen and not operator:
                    break
                time_seen = True
            elif kind == "NUMBER":
                if time_seen and not operator:
                    break
                number_seen = True
            index += 1
            operator = False
        elif kind == "UNIT":
            if not _unit_belongs(tokens, index, start, question, time_seen, slash_seen, function):
                break
            index += 1
            operator = False
        elif kind == "OPEN":
            close = partner[index]
            if not operator and not _bracket_belongs(tokens[index + 1 : close], time_seen, number_seen, slash_seen):
                break
            time_seen = time_seen or any(t.kind == "TIME" for t in tokens[index + 1 : close])
            index = close + 1
            operator = False
        elif kind == "CARET":
            index += 1
            while index < stop and tokens[index].kind in {"PLUS", "MINUS"}:
                index += 1
            if index < stop:
                index = partner[index] + 1 if tokens[index].kind == "OPEN" else index + 1
            operator = False
        elif kind in {"STAR", "SLASH"}:
            if operator or index + 1 >= stop or not _sign_belongs(tokens, partner, index, time_seen, number_seen, slash_seen):
                break
            slash_seen = slash_seen or kind == "SLASH"
            index += 1
            operator = True
        elif kind == "FUNCTION" and token.value == "sqrt" and operator:
            index += 1
            if index < stop and tokens[index].kind == "OPEN":
                index = partner[index] + 1
            elif index < stop:
                index += 1
            operator = False
        elif kind == "MINUS" and function in {"cos", "sin"} and _angle_follows(tokens, index, stop):
            return index + 3
        elif kind == "PLUS" and function in {"cos", "sin"} and _angle_follows(tokens, index, stop):
            return index + 3
        else:
            break
    return min(index, stop)


def _angle_follows(tokens: Sequence[Token], index: int, stop: int) -> bool:
    """``cos 120t - 22.6°``: an angle in degrees belongs to the argument."""
    return index + 2 < stop and tokens[index + 1].kind == "NUMBER" and (
        tokens[index + 2].kind == "UNIT" and tokens[index + 2].value.degrees
    )


def _unit_belongs(
    tokens: Sequence[Token],
    index: int,
    start: int,
    question: Question,
    time_seen: bool,
    slash_seen: bool,
    function: str,
) -> bool:
    """Only a unit that can stand in a power does: a time, a rate, a prefix; not the unit of the whole."""
    if index == start:
        return True
    before = tokens[index - 1].kind
    if before == "TIME":
        return False
    unit = tokens[index].value
    if unit.degrees:
        return bool(function)
    if before == "SLASH":
        return True
    if before != "NUMBER":
        return before in {"UNIT", "STAR"}
    if unit.dimension is None or unit.dimension in {TIME, RATE}:
        return True
    if not any(unit.dimension):
        return True
    return slash_seen and unit.dimension != question.dimension


def _bracket_belongs(inside: Sequence[Token], time_seen: bool, number_seen: bool, slash_seen: bool) -> bool:
    kinds = {t.kind for t in inside}
    if kinds & {"FUNCTION", "EULER", "STEP"}:
        return False
    if not time_seen:
        return "TIME" in kinds or "NAME" in kinds or slash_seen
    return "TIME" not in kinds and "NAME" in kinds and not number_seen


def _sign_belongs(
    tokens: Sequence[Token],
    partner: Mapping[int, int],
    index: int,
    time_seen: bool,
    number_seen: bool,
    slash_seen: bool,
) -> bool:
    following = tokens[index + 1]
    kind = following.kind
    if kind == "FUNCTION":
        return bool(following.value == "sqrt")
    if tokens[index].kind == "SLASH":
        return kind in _VALUES or kind in {"OPEN", "UNIT"}
    if kind in {"NAME", "UNIT", "CONSTANT"}:
        return True
    if kind == "TIME":
        return not time_seen
    if kind == "NUMBER":
        return not time_seen or not (number_seen or slash_seen)
    if kind == "OPEN":
        return _bracket_belongs(tokens[index + 2 : partner[index + 1]], time_seen, number_seen, slash_seen)
    return False
