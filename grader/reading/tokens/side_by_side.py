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
        following = tokens[index + 1 : index + 8]
        if token.kind != "NUMBER" or not following or following[0].kind not in {"NUMBER", "FUNCTION", "COMMA"}:
            out.append(token)
            index += 1
            continue
        fraction = _fraction(token, following, forks)
        if fraction:
            plus = virtual("PLUS", token.end)
            out += [
                virtual("OPEN", token.start, "("),
                token,
                plus,
                *following[fraction[0] : fraction[1]],
                virtual("CLOSE", token.end, ")"),
            ]
            index += 1 + fraction[1]
            continue
        out.append(token)
        index += 1
        if len(out) > 1 and out[-2].value == "frac":
            continue  # one half of 0.3 in LaTeX
        if following[0].kind == "NUMBER" and not _belongs_to_what_follows(following):
            ten = _power_of_ten(following)
            if not ten:
                raise CannotRead(
                    "numbers-side-by-side", following[0].start, f"{token.value.text} {following[0].value.text}"
                )
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
    ten, *rest = following
    if ten.value.text != "10" or not rest:
        return ""
    if rest[0].kind == "CARET":
        return "written"
    glued = (
        rest[0].kind in {"MINUS", "PLUS"}
        and len(rest) > 1
        and ten.end == rest[0].start
        and rest[0].end == rest[1].start
    )
    if glued and rest[1].kind == "NUMBER" and rest[1].value.text.isdigit() and rest[1].value.value <= MAX_POWER_OF_TEN:
        return "lost"
    return ""
