"""Lost characters around powers: which patterns show that a ^, an e or a sign is missing."""

from collections.abc import Sequence

from flint import fmpq

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.tokens import Token, kinds, virtual
from grader.reading.tree import Number
from grader.values.dimension import TIME

LOST_CARET = Alternative("The missing ^ after e was inserted.", "caret-left-out")
LOST_E = Alternative("The missing e before the power was inserted.", "e-left-out")
LOST_SIGNS = Alternative("The signs lost around the power were inserted.", "signs-lost")
_TEN_CARET = Alternative("The missing ^ after 10 was inserted.", "caret-left-out")
_DIFFERENCE = Alternative("The minus sign after 10 was read as a subtraction.")
AS_NUMBER = Alternative("The e was read as the number 2.718.")
_AS_TEN = Alternative("The e was read as 'times ten to the power of'.", "power-of-ten-sign")

POWER_OF_TEN = Token("NUMBER", Number(fmpq(10), "10", 0), 0, 0)


def base_left_out(tokens: Sequence[Token], start: int, stop: int, base: Token, forks: Ambiguities) -> bool:
    """``26.67^-1250t``: whether a power of a plain number is a power of e whose e was left out.

    With brackets, ``4^(-100t)``, the power as written comes first.
    """
    bracketed = start < stop and tokens[start].kind == "OPEN"
    near = tokens[start + bracketed : min(start + bracketed + 4, stop)]
    bare = [token for token in near if token.kind not in {"PLUS", "MINUS"}]
    if not bare or base.value.value == 10:
        return False
    varies = bare[0].kind == "TIME" or (bare[0].kind == "NUMBER" and "TIME" in {token.kind for token in bare[1:3]})
    if not varies:
        return False
    literal = Alternative(f"The power was read with the base {base.value.text}.")
    ways = (literal, LOST_E) if bracketed or base.value.value == 2 else (LOST_E, literal)
    return ways[forks.choose("arrange", "e", tokens[start].start, ways)] is LOST_E


def ten_for_e(tokens: Sequence[Token], start: int, end: int, out: Sequence[Token], forks: Ambiguities) -> bool:
    """``2e^-3`` for 0.002: whether an e with a whole power behind a number means a power of ten."""
    power = [token for token in tokens[start:end] if token.kind not in {"PLUS", "MINUS"}]
    if (
        kinds(power) != ["NUMBER"]
        or power[0].value.value.q != 1
        or len(out) < 2
        or out[-2].kind not in {"NUMBER", "STAR"}
    ):
        return False
    return forks.choose("arrange", "ten", tokens[start].start, (AS_NUMBER, _AS_TEN)) == 1


def ten_for_lost_power(tokens: Sequence[Token], start: int, out: Sequence[Token], forks: Ambiguities) -> bool:
    """``2*e-3``: whether a lone e with a whole number taken away, behind a factor, is a calculator's power of ten."""
    if len(out) < 2 or out[-2].kind not in {"NUMBER", "STAR", "CONSTANT"} or tokens[start + 1].value.value.q != 1:
        return False
    return forks.choose("arrange", "ten", tokens[start].start, (_AS_TEN, AS_NUMBER)) == 0


def is_ten_with_lost_caret(tokens: Sequence[Token], index: int, stop: int, forks: Ambiguities) -> bool:
    """``2.4x10-3`` and ``2.4*10 -3``, ``10-3``: whether the sign at ``index`` belongs to a power of ten."""
    if index < 1 or index + 1 >= stop or not _is_ten_and_a_power(*tokens[index - 1 : index + 2]):
        return False
    ten = tokens[index - 1]
    behind_times = index > 1 and tokens[index - 2].kind == "STAR"
    alone = index == 1 and ten.end == tokens[index].start
    if not behind_times and not alone:
        return False
    factors = [token.value.text for token in tokens[index + 3 : index + 4] if token.kind == "NUMBER"]
    multiplied = index + 2 < stop and tokens[index + 2].kind == "STAR"  # 2*10-1*10^(-1)
    added_to = multiplied and (tokens[index].kind == "PLUS" or factors == ["10"])
    glued = ten.end == tokens[index].start and not added_to
    ways = (_TEN_CARET, _DIFFERENCE) if behind_times and glued else (_DIFFERENCE, _TEN_CARET)
    return ways[forks.choose("arrange", "ten", tokens[index].start, ways)] is _TEN_CARET


def _is_ten_and_a_power(ten: Token, sign: Token, power: Token) -> bool:
    """``10-3``, ``10 +3``: ten, a sign and, right behind it, a whole number that may be a power."""
    if sign.kind not in {"PLUS", "MINUS"} or ten.kind != "NUMBER" or power.kind != "NUMBER":
        return False
    whole = power.value.value.q == 1 and power.value.value <= 30
    return bool(ten.value.text == "10" and whole and sign.end == power.start)


_POINT_TIMES = Alternative(
    "The point before 10 was read as a times sign, and the missing ^ after it was inserted.", "caret-left-out"
)


def point_for_times(tokens: Sequence[Token], index: int, stop: int, forks: Ambiguities) -> list[Token] | None:
    """``8.10-3 s`` for 0.008 s: the factors, where the number before the sign at ``index`` is one with a power of ten."""
    if index != 1 or kinds(tokens[: min(stop, 4)]) not in _POINT_TIMES_IN:
        return None
    number, sign, power = tokens[:3]
    glued = number.end == sign.start and sign.end == power.start
    if (
        not glued
        or not number.value.text.endswith(".10")
        or not power.value.text.isdigit()
        or len(power.value.text) > 2
    ):
        return None
    if forks.choose("arrange", "point-times", number.start, (_DIFFERENCE, _POINT_TIMES)) == 0:
        return None
    digits, ten = number.value.text.removesuffix(".10"), number.end - 2
    return [
        Token("NUMBER", Number(fmpq(int(digits)), digits, number.start), number.start, ten - 1),
        Token("STAR", "*", ten - 1, ten),
        Token("NUMBER", Number(fmpq(10), "10", ten), ten, number.end),
        virtual("CARET", number.end),
    ]


_POINT_TIMES_IN = (["NUMBER", "MINUS", "NUMBER"], ["NUMBER", "MINUS", "NUMBER", "UNIT"])
_UNIT_CARET = Alternative("The missing ^ after the unit was inserted.", "caret-left-out")
_TAKEN_AWAY = Alternative("What follows the unit was read as taken away.")
_ENDS_A_UNIT = {"CLOSE", "COMMA", "EQUALS", "TIME", "PLUS", "MINUS"}


def is_unit_with_lost_caret(tokens: Sequence[Token], index: int, stop: int, forks: Ambiguities) -> bool:
    """``500 s-1``, ``-2.74 A s-1``: whether the sign at ``index``, glued between a unit of time and 1 or 2, opens its power."""
    if index < 1 or kinds(tokens[index - 1 : min(index + 2, stop)]) != ["UNIT", "MINUS", "NUMBER"]:
        return False
    unit, sign, power = tokens[index - 1 : index + 2]
    glued = unit.end == sign.start and sign.end == power.start
    if not glued or unit.value.dimension != TIME or power.value.text not in {"1", "2"}:
        return False
    if index + 2 < stop and tokens[index + 2].kind not in _ENDS_A_UNIT:
        return False  # 5 ms-1 ms
    return forks.choose("arrange", "unit-power", sign.start, (_UNIT_CARET, _TAKEN_AWAY)) == 0


_AS_FRACTION = Alternative("The fraction after ^ was read as the power, its brackets left out.", "bracket-missing")
_AS_ONE = Alternative("Only the 1 after ^ was read as the power.")


def is_root_without_brackets(tokens: Sequence[Token], index: int, stop: int, forks: Ambiguities) -> bool:
    """``(L C)^1/2``, ``(…)^1/3``: whether a root is meant; the power of 1 as written comes first."""
    fraction = tokens[index : min(index + 3, stop)]
    if kinds(fraction) != ["NUMBER", "SLASH", "NUMBER"] or fraction[0].end != fraction[1].start:
        return False
    if fraction[0].value.text != "1" or fraction[2].value.text not in {"2", "3"}:
        return False
    return forks.choose("arrange", "half", fraction[0].start, (_AS_ONE, _AS_FRACTION)) == 1
