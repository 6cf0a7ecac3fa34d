"""Polar forms: ``50∠143.13°`` is 50·e^(j·143.13°)."""

from flint import fmpq

from grader.reading.refusals import CannotRead
from grader.reading.tokens import Token, virtual
from grader.reading.tokens.scan_units import unit_node
from grader.reading.tokens.units import look_up
from grader.reading.tree import Constant, Imaginary

_TURN = fmpq(62832, 10000)
_SIGNS = {"PLUS", "MINUS", "EITHER"}


def polar(tokens: list[Token]) -> list[Token]:
    """Spell every angle sign out; an angle without a unit beyond a full turn counts in degrees.

    Raises
    ------
    CannotRead
        Where no angle follows.
    """
    out: list[Token] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        index += 1
        if token.kind != "ANGLE":
            out.append(token)
            continue
        place, start = token.end, index
        while index < len(tokens) and tokens[index].kind in _SIGNS:
            index += 1
        if index >= len(tokens) or tokens[index].kind not in {"NUMBER", "NAME"}:
            raise CannotRead("unexpected", token.start)
        number = tokens[index]
        index += 1
        angle = [*tokens[start:index]]
        if index < len(tokens) and tokens[index].kind == "UNIT" and not any(tokens[index].value.dimension or (1,)):
            angle.append(tokens[index])
            index += 1
        elif number.kind == "NUMBER" and number.value.value > _TURN:
            angle.append(virtual("UNIT", number.end, unit_node(look_up("°")[0], number.end)))
        out += [
            virtual("STAR", place), virtual("EULER", place, Constant("e", place)), virtual("CARET", place),
            virtual("OPEN", place, "("), virtual("IMAGINARY", place, Imaginary(place)), virtual("STAR", place),
            virtual("OPEN", place, "("), *angle, virtual("CLOSE", number.end, ")"), virtual("CLOSE", number.end, ")"),
        ]  # fmt: skip
    return out
