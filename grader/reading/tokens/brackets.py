"""Brackets that students leave out: around a power, and around what a function applies to.

``e^-500t`` reaches over the t but not over the unit behind it, ``cos 120t`` over 120t.  This step puts such brackets
in as tokens without width, so that the grammar stays plain.  On the way it meets the forks that lost characters
make: ``e-500t`` without its ^, ``26.67^-1250t`` without its e.
"""

from flint import fmpq
from msgspec import Struct

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.limits import MAX_NESTING
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token, kinds, virtual
from grader.reading.tokens.balance import balance, separate
from grader.reading.tokens.extent import behind_signs, operand_extent
from grader.reading.tokens.lost import (
    AS_NUMBER,
    LOST_CARET,
    LOST_SIGNS,
    POWER_OF_TEN,
    base_left_out,
    is_root_without_brackets,
    is_ten_with_lost_caret,
    is_unit_with_lost_caret,
    point_for_times,
    ten_for_e,
    ten_for_lost_power,
)
from grader.reading.tokens.parallels import parallel_together
from grader.reading.tokens.side_by_side import side_by_side
from grader.reading.tokens.slashes import denominator_end, gather
from grader.reading.tree import Constant, Number

_NEUTRAL = {"PLUS", "MINUS", "COMMA", "EQUALS", "EITHER", "BELOW", "ABOVE"}
_BARE_TIME = (["MINUS", "TIME"], ["TIME"])
_T_INSIDE = Alternative("The t after the brackets was read as part of the power or the angle.")
_T_OUTSIDE = Alternative("The t after the brackets was read as a factor.")
_INVERSES = {"tan": "arctan", "sin": "arcsin", "cos": "arccos"}
_MINUS_ONE = (["CARET", "MINUS", "NUMBER"], ["CARET", "OPEN", "MINUS", "NUMBER", "CLOSE"])
_INTO_POWER = Alternative("What stands below the slash was read as part of the power.")
_BESIDE_POWER = Alternative("Only the bracket was read as the power; what follows the slash divides the whole.")


def arrange(tokens: list[Token], question: Question, forks: Ambiguities) -> list[Token]:
    """Put in the brackets left out.

    Raises
    ------
    CannotRead
        Where a power or a function applies to nothing, or brackets nest too deep.
    """
    formula = bool(tokens) and tokens[0].kind == "EQUALS"
    whole = parallel_together(side_by_side(tokens, forks), forks)
    closed, partner = balance(separate(whole, question, forks), question, forks)
    out: list[Token] = []
    _Arranger(closed, partner, question, forks, formula).walk(0, len(closed), out, 0)
    return out


class _Arranger(Struct):
    """Walks the tokens once, from left to right; each method gives the index where to go on."""

    tokens: list[Token]
    partner: dict[int, int]
    question: Question
    forks: Ambiguities
    formula: bool

    def walk(self, index: int, stop: int, out: list[Token], depth: int, power: bool = False) -> None:
        """Arrange ``tokens[index:stop]`` into ``out``; the slashes of a ``power`` itself are `gather`'s."""
        tokens = self.tokens
        if depth > MAX_NESTING:
            raise CannotRead("nested-too-deep", tokens[index].start)
        measured = [False]  # per open bracket: whether the term at hand holds a unit, a name or t
        while index < stop:
            token = tokens[index]
            kind = token.kind
            if kind in _STOPS:
                if kind == "FUNCTION":
                    begin, index = index, self._function(index, stop, out, depth)
                    measured[-1] = measured[-1] or any(_is_measured(one) for one in tokens[begin:index])
                elif kind == "EULER":
                    out.append(token)
                    index = self._euler(index, stop, out, depth)
                elif kind == "CARET":
                    index = self._caret(index, stop, out, depth)
                else:
                    out.append(token)
                    index += 1
                    if not power or len(measured) > 1:
                        index = self._slash(index, stop, out, measured[-1], depth)
                continue
            if kind == "OPEN":
                measured.append(False)
            elif kind == "CLOSE":
                inner = measured.pop()
                measured[-1] = measured[-1] or inner
            elif kind in _NEUTRAL:
                measured[-1] = False
                self._lost_power(index, stop, out)
            elif kind in _MEASURED and _is_measured(token):
                measured[-1] = True
            out.append(token)
            index += 1

    def _bracketed(self, start: int, end: int, out: list[Token], depth: int) -> None:
        """Emit ``tokens[start:end]`` in brackets."""
        out.append(virtual("OPEN", self.tokens[start].start))
        self.walk(start, end, out, depth + 1)
        out.append(virtual("CLOSE", self.tokens[end - 1].end))

    def _extent(self, start: int, stop: int, function: str = "") -> int:
        return operand_extent(self.tokens, self.partner, start, stop, self.question, function)

    # -- powers ----------------------------------------------------------------------------------

    def _lost_power(self, index: int, stop: int, out: list[Token]) -> None:
        """Before a sign whose ^ was lost: ``2.4·10-3``, ``8.10-3``, ``500 s-1``."""
        tokens, forks = self.tokens, self.forks
        if tokens[index].kind == "MINUS" and (factors := point_for_times(tokens, index, stop, forks)) is not None:
            out[-1:] = factors
        elif tokens[index].kind != "COMMA" and (
            is_ten_with_lost_caret(tokens, index, stop, forks) or is_unit_with_lost_caret(tokens, index, stop, forks)
        ):
            out.append(virtual("CARET", tokens[index].start))

    def _caret(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        """A power: everything up to where it reaches, for e; a signed number, for any other base."""
        tokens = self.tokens
        if not out or index + 1 >= stop or out[-1].kind not in _BASES:
            raise CannotRead("power-empty", tokens[index].start)
        base, after = out[-1], index + 1
        if base.kind == "NUMBER" and base_left_out(tokens, after, stop, base, self.forks):
            place = tokens[index].start
            out.append(virtual("EULER", place, Constant("e", place)))
            base = out[-1]
        number = after + (tokens[after].kind == "MINUS")
        if base.kind == "CLOSE" and is_root_without_brackets(tokens, number, stop, self.forks):
            return self._power(index, after, number + 3, out, depth)
        if tokens[after].kind == "OPEN":
            if base.kind == "EULER":
                return self._bracketed_power(index, after, stop, out, depth)
            out.append(tokens[index])
            return after
        if base.kind == "EULER":
            end = self._extent(after, stop)
            if self.question.expects == "value" and ten_for_e(tokens, after, end, out, self.forks):
                out[-1] = POWER_OF_TEN._replace(start=base.start, end=base.end)
        else:
            end = self._plain_power(base, after, stop)
        return self._power(index, after, end, out, depth)

    def _plain_power(self, base: Token, start: int, stop: int) -> int:
        """End of a power of anything but e: a signed number or one factor; ``2^-t/3`` reaches as a power of e does."""
        tokens = self.tokens
        varies = any(token.kind == "TIME" for token in tokens[start : start + 3])
        if base.kind == "NUMBER" and varies and (base.value.value != 10 or self._varies_at_once(start, stop)):
            return self._extent(start, stop)
        end = behind_signs(tokens, start, stop)
        if end >= stop or tokens[end].kind not in _POWERS:
            return start
        return self.partner.get(end, end) + 1

    def _varies_at_once(self, start: int, stop: int) -> bool:
        """``10^-t/34.5ms`` and ``10^-43.4t``, where ``10^2 t`` is a hundred times t."""
        bare = next((token for token in self.tokens[start:stop] if token.kind not in {"PLUS", "MINUS"}), None)
        return bare is not None and (bare.kind == "TIME" or (bare.kind == "NUMBER" and bare.value.value.q != 1))

    def _power(self, caret: int, start: int, end: int, out: list[Token], depth: int) -> int:
        """Emit ``tokens[start:end]`` as a power."""
        tokens = self.tokens
        if end <= start or tokens[end - 1].kind in {"PLUS", "MINUS", "STAR", "SLASH"}:
            raise CannotRead("power-empty", tokens[caret].start)
        inner: list[Token] = []
        self.walk(start, end, inner, depth + 1, power=True)
        out.append(virtual("CARET", tokens[start].start))
        out.append(virtual("OPEN", tokens[start].start))
        out.extend(gather(inner, self.forks, self.formula))
        out.append(virtual("CLOSE", tokens[end - 1].end))
        return end

    def _bracketed_power(self, caret: int, opening: int, stop: int, out: list[Token], depth: int) -> int:
        """``e^(-500t)``; in ``e^(-t)/T`` the bare t and the time below the slash belong together."""
        tokens = self.tokens
        close = self.partner[opening]
        end = close + 1
        if end < stop and tokens[end].kind == "SLASH" and kinds(tokens[opening + 1 : close]) in _BARE_TIME:
            wider = self._extent(opening, stop)
            if wider > end + 1:
                plain = kinds(tokens[end + 1 : wider]) == ["NUMBER"]
                ways = (_BESIDE_POWER, _INTO_POWER) if plain else (_INTO_POWER, _BESIDE_POWER)
                if ways[self.forks.choose("arrange", "power-slash", tokens[end].start, ways)] is _INTO_POWER:
                    return self._power(caret, opening, wider, out, depth)
        if wider := self._with_time(opening + 1, close, end, stop):
            return self._power(caret, opening, wider, out, depth)
        self._power(caret, opening + 1, close, out, depth)
        return end

    def _with_time(self, start: int, close: int, behind: int, stop: int) -> int:
        """``cos(12)t``, ``e^(-5)t``: index behind the t that belongs to what is in brackets, and 0 where none does."""
        tokens = self.tokens
        time = behind + (behind < stop and tokens[behind].kind == "STAR")
        if time >= stop or tokens[time].kind != "TIME" or tokens[start - 1].kind != "OPEN" or close != behind - 1:
            return 0
        power = time + 1 < stop and tokens[time + 1].kind in {"CARET", "OPEN"}
        if power or not {"TIME", "EULER", "FUNCTION"}.isdisjoint(kinds(tokens[start:close])):
            return 0
        return time + 1 if self.forks.choose("arrange", "time", tokens[time].start, (_T_INSIDE, _T_OUTSIDE)) == 0 else 0

    def _euler(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        """Look behind an e for a power whose ^ was lost: ``e-500t``, ``e(-500t)``, ``e500t``, ``40e 4t``."""
        tokens = self.tokens
        after = index + 1
        if after >= stop or tokens[after].kind not in {"MINUS", "OPEN", "NUMBER"}:
            return after
        end = self._extent(after, stop)
        inside = kinds(tokens[after:end])
        if "TIME" not in inside or "FUNCTION" in inside or "EULER" in inside:
            pair = inside if len(out) < 2 or out[-2].kind != "CONSTANT" else inside[:2]  # 4πe-7*800
            if pair == ["MINUS", "NUMBER"] and ten_for_lost_power(tokens, after, out, self.forks):
                place = tokens[index].start
                out[-1] = POWER_OF_TEN._replace(start=place, end=place + 1)
                out.append(virtual("CARET", place))
            return after
        place = tokens[after].start
        if tokens[after].kind == "NUMBER" and place != tokens[index].end:
            if self.forks.choose("arrange", "signs", place, (LOST_SIGNS, AS_NUMBER)) == 1:
                return after
            if len(out) > 2 and out[-2].kind == out[-3].kind == "NUMBER":
                out.insert(-2, virtual("MINUS", out[-2].start))
            out.extend((virtual("CARET", place), virtual("MINUS", place)))
            self._bracketed(after, end, out, depth)
            return end
        if self.forks.choose("arrange", "caret", place, (LOST_CARET, AS_NUMBER)) == 1:
            return after
        if tokens[after].kind == "OPEN" and end == self.partner[after] + 1:
            self._power(index, after + 1, end - 1, out, depth)
            return end
        return self._power(index, after, end, out, depth)

    # -- functions and slashes -------------------------------------------------------------------

    def _function(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        """``cos(120t)``, ``cos 120t``, ``cos^2(t)``, ``exp -500t``, ``exp^(-500t)``."""
        tokens = self.tokens
        token = tokens[index]
        after = index + 1
        if token.value == "frac":
            return self._fraction(index, stop, out, depth)
        if token.value == "exp":
            out.append(Token("EULER", Constant("e", token.start), token.start, token.end))
            if after < stop and tokens[after].kind == "CARET":
                return self._caret(after, stop, out, depth)
            if after < stop and tokens[after].kind == "OPEN":
                return self._exponential(index, stop, out, depth)
            return self._power(index, after, self._extent(after, stop), out, depth)
        square: list[Token] = []
        if after + 1 < stop and tokens[after].kind == "CARET":
            first = after + 1 + (tokens[after + 1].kind == "MINUS" and after + 2 < stop)
            until = self.partner.get(first, first) + 1
            square, after = tokens[after:until], until
            if token.value in _INVERSES and kinds(square) in _MINUS_ONE:
                token, square = token._replace(value=_INVERSES[token.value]), []
        start, end, behind = self._argument(token.value, after, stop)
        if token.value in {"cos", "sin"} and (wider := self._with_time(start, end, behind, stop)):
            start, end, behind = start - 1, wider, wider
        if end <= start:
            raise CannotRead("function-empty", token.start, token.value)
        out.append(token)
        self._bracketed(start, end, out, depth)
        out.extend(square)
        return behind

    def _exponential(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        """``exp(-500t)``; in ``EXP(1)^(-500*t)`` the function's value is raised, where ``e^1^x`` raises the power."""
        tokens, begin = self.tokens, len(out) - 1
        end = self._bracketed_power(index + 1, index + 1, stop, out, depth)
        if end < stop and tokens[end].kind == "CARET":
            out.insert(begin, virtual("OPEN", tokens[index].start))
            out.append(virtual("CLOSE", tokens[end].start))
        return end

    def _argument(self, function: str, index: int, stop: int) -> tuple[int, int, int]:
        """Start and end of what a function applies to, and where to go on behind it."""
        if index < stop and self.tokens[index].kind == "OPEN":
            close = self.partner[index]
            return index + 1, close, close + 1
        end = self._extent(index, stop, function)
        return index, end, end

    def _fraction(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        r"""``\frac{top}{bottom}``, ``\frac12``, ``\frac1{RC}``."""
        tokens = self.tokens
        out.append(tokens[index]._replace(kind="FRACTION"))
        after = index + 1
        if after < stop and tokens[after].kind == "NUMBER" and len(tokens[after].value.text) == 2:
            for digit in tokens[after].value.text:
                value = Number(fmpq(int(digit)), digit, tokens[after].start)
                out.extend(
                    (virtual("OPEN", value.place), virtual("NUMBER", value.place, value), virtual("CLOSE", value.place))
                )
            return after + 1
        for _ in range(2):
            if after < stop and tokens[after].kind in {"NUMBER", "NAME", "TIME"}:
                out.extend((virtual("OPEN", tokens[after].start), tokens[after], virtual("CLOSE", tokens[after].end)))
                after += 1
                continue
            if after >= stop or tokens[after].kind != "OPEN" or self.partner[after] == after + 1:
                raise CannotRead("fraction-incomplete", tokens[index].start)
            close = self.partner[after]
            out.append(tokens[after])
            self.walk(after + 1, close, out, depth + 1)
            out.append(tokens[close])
            after = close + 1
        return after

    def _slash(self, index: int, stop: int, out: list[Token], measured: bool, depth: int) -> int:
        end = denominator_end(self.tokens, index, stop, measured, self.question, self.forks)
        if end > index:
            self._bracketed(index, end, out, depth)
        return end


_STOPS = {"FUNCTION", "EULER", "CARET", "SLASH"}
_BASES = {"NUMBER", "NAME", "TIME", "EULER", "CONSTANT", "IMAGINARY", "INFINITY", "UNIT", "CLOSE"}
_POWERS = _BASES - {"CLOSE"} | {"OPEN"}
_MEASURED = {"UNIT", "NAME", "TIME"}


def _is_measured(token: Token) -> bool:
    """Whether a token brings a unit with it; a prefix alone does not."""
    return token.kind in _MEASURED and (token.kind != "UNIT" or token.value.dimension is not None)
