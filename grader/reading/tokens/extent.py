"""How far a power or a function without brackets reaches."""

from collections.abc import Callable, Mapping, Sequence

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
    walk = _Walk(tokens, partner, start, stop, question, function)
    while index < walk.stop:
        rule = _RULES.get(tokens[index].kind)
        end = rule(walk, index) if rule is not None else 0
        if not end:
            break
        index = end
    return min(index, stop)


class _Walk:
    """What has occurred on the way; each method gives the index behind what belongs from ``index`` on, and 0 where nothing does."""

    __slots__ = ("function", "joined", "number", "partner", "question", "slash", "start", "stop", "time", "tokens")

    def __init__(
        self,
        tokens: Sequence[Token],
        partner: Mapping[int, int],
        start: int,
        stop: int,
        question: Question,
        function: str,
    ) -> None:
        self.tokens, self.partner, self.start, self.stop = tokens, partner, start, stop
        self.question, self.function = question, function
        self.time = self.number = self.slash = False
        self.joined = True  # whether what comes next is joined by a sign (or comes first)

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
        """A unit that can stand in a power."""
        if index > self.start and not _unit_belongs(self.tokens, index, self.question, self.slash, self.function):
            return 0
        self.joined = False
        return index + 1

    def bracket(self, index: int) -> int:
        """A bracket, as a factor."""
        close = self.partner[index]
        inside = self.tokens[index + 1 : close]
        if not self.joined and not _bracket_belongs(inside, self.time, self.number, self.slash):
            return 0
        self.time = self.time or any(token.kind == "TIME" for token in inside)
        self.joined = False
        return close + 1

    def power(self, index: int) -> int:
        """A power of what stands before."""
        return 0 if self.joined else _behind_power(self.tokens, self.partner, index + 1, self.stop)

    def below(self, index: int) -> int:
        """What a slash divides by."""
        if self.joined or index + 1 >= self.stop or not _goes_below(self.tokens[index + 1]):
            return 0
        self.slash = self.joined = True
        return index + 1

    def times(self, index: int) -> int:
        """A factor behind a times sign."""
        if self.joined or index + 1 >= self.stop:
            return 0
        if not _factor_belongs(self.tokens, self.partner, index + 1, self.time, self.number, self.slash):
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
        if not self.function or not _angle_follows(self.tokens, index, self.stop):
            return 0
        self.stop = index + 3
        return index + 3


_RULES: dict[str, Callable[[_Walk, int], int]] = {
    "UNIT": _Walk.unit, "OPEN": _Walk.bracket, "CARET": _Walk.power, "SLASH": _Walk.below, "STAR": _Walk.times,
    "FUNCTION": _Walk.call, "MINUS": _Walk.angle, "PLUS": _Walk.angle, **dict.fromkeys(_VALUES, _Walk.value),
}  # fmt: skip


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
