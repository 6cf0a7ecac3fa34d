"""Numbers side by side: a mixed number, a power of ten, or nothing that can be read; they are never multiplied.

``6 2/3`` is six and two thirds, ``2.22 10-3`` and ``2.22 10^-3`` hold a power of ten whose times sign was left out.
"""

from collections.abc import Sequence

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Token, kinds, virtual

_MIXED = Alternative("A whole number and a fraction were read as a mixed number.")
_TWO_VALUES = Alternative("Two values were read.")
_TEN_TIMES = "The missing times sign before the power of ten was inserted."
MAX_POWER_OF_TEN = 30
"""The largest power of ten of an SI prefix."""


def side_by_side(tokens: list[Token], forks: Ambiguities) -> list[Token]:
    """Give mixed numbers their brackets and powers of ten their signs.

    Raises
    ------
    CannotRead
        Where two numbers stand side by side otherwise.
    """
    out: list[Token] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        index += 1
        out.append(token)
        following = tokens[index : index + 7]
        if token.kind != "NUMBER" or not following or following[0].kind not in {"NUMBER", "FUNCTION", "COMMA"}:
            continue
        if fraction := _fraction(token, following, forks):
            opening, closing = virtual("OPEN", token.start, "("), virtual("CLOSE", token.end, ")")
            out[-1:] = [opening, token, virtual("PLUS", token.end), *following[slice(*fraction)], closing]
            index += fraction[1]
            continue
        in_latex = len(out) > 1 and out[-2].value == "frac"  # one half of 0.3
        if following[0].kind != "NUMBER" or in_latex or _belongs_to_what_follows(following):
            continue
        ten = _power_of_ten(following)
        if not ten:
            sides = f"{token.value.text} {following[0].value.text}"
            raise CannotRead("numbers-side-by-side", following[0].start, sides)
        forks.remark(_TEN_TIMES, place=token.start)
        out += [virtual("STAR", token.end), following[0]]
        index += 1
        if ten == "lost":
            out.append(virtual("CARET", following[0].end))
    return out


def _fraction(whole: Token, following: Sequence[Token], forks: Ambiguities) -> tuple[int, int] | None:
    """Where among ``following`` the fraction of a mixed number stands; None where there is none."""
    shape = kinds(following)
    first = shape[0] == "COMMA"
    if shape[first : first + 3] == ["NUMBER", "SLASH", "NUMBER"]:
        span, top, bottom = (int(first), first + 3), following[first], following[first + 2]
    elif (
        shape[:7] == ["FUNCTION", "OPEN", "NUMBER", "CLOSE", "OPEN", "NUMBER", "CLOSE"] and following[0].value == "frac"
    ):
        span, top, bottom = (0, 7), following[2], following[5]
    elif shape[:2] == ["FUNCTION", "NUMBER"] and following[0].value == "frac" and len(following[1].value.text) == 2:
        return (0, 2) if whole.value.text.isdigit() else None
    else:
        return None
    if not all(one.value.text.isdigit() for one in (whole, top, bottom)) or top.value.value >= bottom.value.value:
        return None
    if first and (
        following[0].value != "and" or forks.choose("scan", "mixed", whole.start, (_MIXED, _TWO_VALUES)) == 1
    ):
        return None
    return span


def _belongs_to_what_follows(following: Sequence[Token]) -> bool:
    """``500 1/s``: the 1 belongs to the unit; ``2.4 2.4e 500t``: the signs lost by a font are put in later (`lost`)."""
    behind = kinds(following[1:3])
    return behind == ["EULER", "NUMBER"] or (behind == ["SLASH", "UNIT"] and following[0].value.text == "1")


def _power_of_ten(following: Sequence[Token]) -> str:
    """``"written"`` or ``"lost"`` by how the power of a 10 shows; "" where there is none."""
    if following[0].value.text != "10" or len(following) < 3:
        return ""
    ten, sign, power = following[:3]
    if sign.kind == "CARET":
        return "written"
    glued = ten.end == sign.start and sign.end == power.start
    whole = sign.kind in {"MINUS", "PLUS"} and power.kind == "NUMBER" and power.value.text.isdigit()
    return "lost" if glued and whole and power.value.value <= MAX_POWER_OF_TEN else ""
