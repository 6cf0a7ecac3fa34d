"""How far a power or a function without brackets reaches."""

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from grader.reading.tokens import Question, Token, kinds
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
    index = behind_signs(tokens, start, stop)
    if function in _ONE_FACTOR:
        factor = index < stop and tokens[index].kind in _VALUES | {"EULER", "OPEN"}
        return partner.get(index, index) + 1 if factor else start
    walk = _Walk(tokens, partner, start, stop, question, function)
    while index < walk.stop and (rule := _RULES.get(tokens[index].kind)) is not None and (end := rule(walk, index)):
        index = end
    return min(index, stop)


def behind_signs(tokens: Sequence[Token], index: int, stop: int) -> int:
    """Index of the first token from ``index`` on that is no sign."""
    while index < stop and tokens[index].kind in {"PLUS", "MINUS"}:
        index += 1
    return index


class _Walk(Struct):
    """What has occurred on the way; each method gives the index behind what belongs from ``index`` on, and 0 where nothing does."""

    tokens: Sequence[Token]
    partner: Mapping[int, int]
    start: int
    stop: int
    question: Question
    function: str
    time: bool = False
    number: bool = False
    slash: bool = False
    joined: bool = True
    """Whether what comes next is joined by a sign (or comes first)."""

    def value(self, index: int) -> int:
        """A number, t, a name."""
        kind = self.tokens[index].kind
        if self.time and not self.joined and kind in {"TIME", "NUMBER"}:
            return 0
        self.time = self.time or kind == "TIME"
        self.number = self.number or kind == "NUMBER"
        self.joined = False
        return index + 1

    def unit(self, index: int) -> int:
        """A unit that can stand in a power: a time, a rate, a prefix; not the unit of the whole."""
        unit, before = self.tokens[index].value, self.tokens[index - 1].kind
        other = unit.dimension != self.question.dimension
        if index == self.start:
            belongs = True
        elif unit.degrees:
            belongs = bool(self.function)
        elif before != "NUMBER":
            belongs = before in {"SLASH", "STAR"} or (before == "UNIT" and other)
        elif unit.dimension is None or unit.dimension in {TIME, RATE} or not any(unit.dimension):
            belongs = unit.symbol != "%"
        else:
            belongs = self.slash and other
        self.joined = self.joined and not belongs
        return index + 1 if belongs else 0

    def bracket(self, index: int) -> int:
        """A bracket, as a factor."""
        inside = {token.kind for token in self.tokens[index + 1 : self.partner[index]]}
        if not self.joined and not self._belongs(inside):
            return 0
        self.time = self.time or "TIME" in inside
        self.joined = False
        return self.partner[index] + 1

    def power(self, index: int) -> int:
        """A power of what stands before."""
        end = behind_signs(self.tokens, index + 1, self.stop)
        return 0 if self.joined else self.partner.get(end, end) + 1

    def below(self, index: int) -> int:
        """What a slash divides by."""
        if self.joined or index + 1 >= self.stop:
            return 0
        following = self.tokens[index + 1]
        if following.kind not in _VALUES | {"OPEN", "UNIT"} and following.value != "sqrt":
            return 0
        self.slash = self.joined = True
        return index + 1

    def times(self, index: int) -> int:
        """A factor behind a times sign."""
        if self.joined or index + 1 >= self.stop or not self._is_factor(index + 1):
            return 0
        self.joined = True
        return index + 1

    def call(self, index: int) -> int:
        """A fraction or a root; other functions are factors of their own."""
        name, partner = self.tokens[index].value, self.partner
        if name == "frac" and (self.joined or not self.time):
            end = partner.get(partner.get(index + 1, self.stop) + 1, self.stop - 1) + 1
            self.time = self.time or any(token.kind == "TIME" for token in self.tokens[index:end])
        elif name == "sqrt" and self.joined:
            end = partner.get(index + 1, index + 1) + 1
        else:
            return 0
        self.joined = False
        return end

    def angle(self, index: int) -> int:
        """``cos 120t - 22.6°``: an angle in degrees belongs to the argument, and ends it."""
        angle = self.tokens[index + 1 : min(index + 3, self.stop)]
        degrees = kinds(angle) == ["NUMBER", "UNIT"] and angle[1].value.degrees
        if not self.function or not degrees:
            return 0
        self.stop = index + 3
        return index + 3

    def _belongs(self, inside: set[str]) -> bool:
        """Whether what stands in a bracket belongs to the power."""
        if inside & {"FUNCTION", "EULER", "STEP"}:
            return False
        if not self.time:
            return self.slash or not inside.isdisjoint({"TIME", "NAME"})
        return "TIME" not in inside and "NAME" in inside and not self.number

    def _is_factor(self, index: int) -> bool:
        """Whether the factor behind a times sign belongs to the power."""
        kind = self.tokens[index].kind
        if kind == "TIME":
            return not self.time
        if kind == "NUMBER":
            return not self.time or not (self.number or self.slash)
        if kind == "OPEN":
            return self._belongs({token.kind for token in self.tokens[index + 1 : self.partner[index]]})
        return kind in {"NAME", "UNIT", "CONSTANT"} or self.tokens[index].value == "sqrt"


_RULES: dict[str, Callable[[_Walk, int], int]] = {
    "UNIT": _Walk.unit, "OPEN": _Walk.bracket, "CARET": _Walk.power, "SLASH": _Walk.below, "STAR": _Walk.times,
    "FUNCTION": _Walk.call, "MINUS": _Walk.angle, "PLUS": _Walk.angle, **dict.fromkeys(_VALUES, _Walk.value),
}  # fmt: skip
