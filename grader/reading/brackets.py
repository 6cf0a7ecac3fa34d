"""Brackets that students leave out: around a power, around what a function applies to, below a slash.

``e^-500t`` reaches over the t but not over the unit behind it; ``e^-t/RC`` over everything after the slash;
``cos 120t`` over 120t.  This step puts the brackets in as tokens without width, so that the grammar stays plain.
Written mathematics gives the denominator everything after the slash in a power (mistakes catalogue: every
published example of ``e^-t/RC`` meant it); elsewhere the slash takes the next factor.
"""

from __future__ import annotations

from collections.abc import Sequence

from grader.reading.forks import Forks, Way
from grader.reading.limits import MAX_NESTING
from grader.reading.reach import OPENERS, reach
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token
from grader.values.dimension import TIME

_NEUTRAL = {"PLUS", "MINUS", "COMMA", "EQUALS", "EITHER", "BELOW", "ABOVE"}


def balance(tokens: list[Token], forks: Forks) -> tuple[list[Token], dict[int, int]]:
    """Close what was left open; gives the tokens and, for each opening bracket, the index of its closing one.

    Raises
    ------
    CannotRead
        Where brackets nest beyond all reason.
    """
    done: list[Token] = []
    partner: dict[int, int] = {}
    waiting: list[tuple[int, str]] = []
    for token in tokens:
        if token.kind == "OPEN":
            waiting.append((len(done), token.value))
            if len(waiting) > MAX_NESTING:
                raise CannotRead("nested-too-deep", token.start)
        elif token.kind == "CLOSE":
            if not waiting:
                forks.remark("A closing bracket without a partner was left out of account.", "bracket-extra")
                continue
            matching = [i for i, (_, sign) in enumerate(waiting) if OPENERS[sign] == token.value]
            while matching and waiting[-1][1] != waiting[matching[-1]][1]:
                _close(done, partner, waiting, token.start, forks)
            partner[waiting.pop()[0]] = len(done)
        done.append(token)
    while waiting:
        _close(done, partner, waiting, tokens[-1].end, forks)
    return done, partner


def _close(
    done: list[Token], partner: dict[int, int], waiting: list[tuple[int, str]], place: int, forks: Forks
) -> None:
    forks.remark("A closing bracket was missing and was put in.", "bracket-missing")
    partner[waiting.pop()[0]] = len(done)
    done.append(Token("CLOSE", ")", place, place))


def arrange(tokens: list[Token], question: Question, forks: Forks) -> list[Token]:
    """Put in the brackets left out.

    Raises
    ------
    CannotRead
        Where a power or a function applies to nothing, or brackets nest too deep.
    """
    closed, partner = balance(tokens, forks)
    out: list[Token] = []
    _Arranger(closed, partner, question, forks).walk(0, len(closed), out, 0)
    return out


class _Arranger:
    """Walks the tokens once, from left to right."""

    __slots__ = ("forks", "partner", "question", "tokens")

    def __init__(self, tokens: list[Token], partner: dict[int, int], question: Question, forks: Forks) -> None:
        self.tokens = tokens
        self.partner = partner
        self.question = question
        self.forks = forks

    def walk(self, start: int, stop: int, out: list[Token], depth: int) -> None:
        """Arrange ``tokens[start:stop]`` into ``out``."""
        if depth > MAX_NESTING:
            raise CannotRead("nested-too-deep", self.tokens[start].start)
        tokens = self.tokens
        measured = [False]  # per bracket: whether the term at hand holds a unit, a name or t
        index = start
        while index < stop:
            token = tokens[index]
            kind = token.kind
            if kind == "FUNCTION":
                index = self._function(index, stop, out, depth)
                measured[-1] = True
                continue
            if kind == "EULER":
                out.append(token)
                index = self._euler(index, stop, out, depth)
                continue
            if kind == "CARET":
                index = self._caret(index, stop, out, depth)
                continue
            if kind == "SLASH":
                out.append(token)
                index = self._below(index + 1, stop, out, depth, measured[-1])
                continue
            if kind == "OPEN":
                measured.append(False)
            elif kind == "CLOSE":
                if len(measured) > 1:
                    inner = measured.pop()
                    measured[-1] = measured[-1] or inner
            elif kind in _NEUTRAL:
                measured[-1] = False
            elif kind != "NUMBER" and kind != "STAR":
                measured[-1] = True
            out.append(token)
            index += 1

    # -- powers ----------------------------------------------------------------------------------

    def _caret(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        base = out[-1] if out else None
        if base is None or index + 1 >= stop:
            raise CannotRead("power-empty", self.tokens[index].start)
        following = self.tokens[index + 1]
        if base.kind == "NUMBER" and following.kind != "OPEN":
            end = reach(self.tokens, self.partner, index + 1, stop, self.question)
            varies = any(t.kind == "TIME" for t in self.tokens[index + 1 : end])
            if varies and base.value.value != 10:
                left_out = Way("The e in front of the power was left out and was put in.", "e-left-out")
                literal = Way(f"The power was read with the base {base.value.text}.")
                ways = (literal, left_out) if base.value.value == 2 else (left_out, literal)
                if ways[self.forks.choose("arrange", "e", index, ways)] is left_out:
                    out.append(Token("EULER", _euler_node(following.start), following.start, following.start))
                return self._power(index, end, out, depth)
        if base.kind == "EULER" and following.kind != "OPEN":
            end = reach(self.tokens, self.partner, index + 1, stop, self.question)
            return self._power(index, end, out, depth)
        if following.kind == "OPEN":
            close = self.partner[index + 1]
            if base.kind == "EULER":
                return self._bracketed_power(index, close, stop, out, depth)
            out.append(self.tokens[index])
            return index + 1
        # Any other base takes a signed number or a single name: 10^-3, s^-1, x^2.
        end = index + 1
        while end < stop and self.tokens[end].kind in {"PLUS", "MINUS"}:
            end += 1
        return self._power(index, min(end + 1, stop), out, depth)

    def _power(self, index: int, end: int, out: list[Token], depth: int) -> int:
        """Emit the power ``tokens[index + 1:end]`` in brackets."""
        if end <= index + 1 or self.tokens[end - 1].kind in {"PLUS", "MINUS", "STAR", "SLASH"}:
            raise CannotRead("power-empty", self.tokens[index].start)
        out.append(Token("CARET", "^", self.tokens[index].start, self.tokens[index].end))
        self._group(index + 1, end, out, depth)
        return end

    def _group(self, start: int, end: int, out: list[Token], depth: int) -> None:
        first, last = self.tokens[start].start, self.tokens[end - 1].end
        inner: list[Token] = []
        self.walk(start, end, inner, depth + 1)
        out.append(Token("OPEN", "(", first, first))
        out.extend(self._slashes(inner))
        out.append(Token("CLOSE", ")", last, last))

    def _bracketed_power(self, index: int, close: int, stop: int, out: list[Token], depth: int) -> int:
        """``e^(-t)/T``: a bare t in the brackets and a time below the slash belong together."""
        inside = [t.kind for t in self.tokens[index + 2 : close]]
        end = close + 1
        if inside in (["MINUS", "TIME"], ["TIME"]) and end < stop and self.tokens[end].kind == "SLASH":
            wider = reach(self.tokens, self.partner, index + 1, stop, self.question)
            below = self.tokens[end + 1 : wider]
            if below:
                into = Way("What stands below the slash was read as part of the power.")
                beside = Way("Only the bracket was read as the power; what follows divides the whole.")
                plain = len(below) == 1 and below[0].kind == "NUMBER"
                ways = (beside, into) if plain else (into, beside)
                if ways[self.forks.choose("arrange", "power-slash", index, ways)] is into:
                    return self._power(index, wider, out, depth)
        out.append(Token("CARET", "^", self.tokens[index].start, self.tokens[index].end))
        self._group(index + 2, close, out, depth) if close > index + 2 else self._empty(index)
        return end

    def _empty(self, index: int) -> None:
        raise CannotRead("power-empty", self.tokens[index].start)

    def _euler(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        """Look behind an e for a power whose ^ was lost: ``e-500t``, ``e(-500t)``, ``e500t``."""
        after = index + 1
        if after >= stop or self.tokens[after].kind not in {"MINUS", "OPEN", "NUMBER"}:
            return after
        following = self.tokens[after]
        if following.kind == "NUMBER" and following.start != self.tokens[index].end:
            return after
        end = reach(self.tokens, self.partner, after, stop, self.question)
        inside = {t.kind for t in self.tokens[after:end]}
        if "TIME" not in inside or inside & {"FUNCTION", "EULER"}:
            if following.kind == "MINUS" and self._times_ten(index, out) and self.tokens[after + 1 : after + 2]:
                return self._lost_ten(index, after, out)
            return after
        lost = Way("The ^ behind e was left out and was put in.", "caret-left-out")
        literal = Way("The e was read as the number 2.718.")
        ways = (lost, literal)
        if ways[self.forks.choose("arrange", "caret", index, ways)] is literal:
            return after
        out.append(Token("CARET", "^", following.start, following.start))
        if following.kind == "OPEN" and end == self.partner[after] + 1:
            self._group(after + 1, end - 1, out, depth)
        else:
            self._group(after, end, out, depth)
        return end

    def _times_ten(self, index: int, out: list[Token]) -> bool:
        return len(out) > 2 and out[-2].kind == "STAR" and out[-3].kind == "NUMBER" and (
            self.tokens[index + 2].kind == "NUMBER" and self.tokens[index + 2].value.value.q == 1
        )

    def _lost_ten(self, index: int, after: int, out: list[Token]) -> int:
        """``2*e-3``: a power of ten from a calculator's display."""
        power = self.tokens[after + 1]
        ways = (
            Way(f"'e-{power.value.text}' was read as 10^-{power.value.text}.", "power-of-ten-sign"),
            Way("The e was read as the number 2.718."),
        )
        if self.forks.choose("arrange", "ten", index, ways) == 1:
            return after
        from flint import fmpq

        from grader.reading.tree import Number

        place = self.tokens[index].start
        out[-1] = Token("NUMBER", Number(fmpq(10), "10", place), place, place + 1)
        out.append(Token("CARET", "^", place + 1, place + 1))
        out.extend(self.tokens[after : after + 2])
        return after + 2

    # -- functions -------------------------------------------------------------------------------

    def _function(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        token = self.tokens[index]
        after = index + 1
        if token.value == "frac":
            return self._fraction(index, stop, out, depth)
        power: list[Token] = []
        if after < stop and self.tokens[after].kind == "CARET":
            if token.value == "exp":
                out.append(Token("EULER", _euler_node(token.start), token.start, token.end))
                return self._caret(after, stop, out, depth)
            power = self.tokens[after : after + 2]
            after += 2
            if power[-1].kind == "OPEN":  # cos^(2)(t)
                power = self.tokens[after - 2 : self.partner[after - 1] + 1]
                after = self.partner[after - 1] + 1
        if after >= stop:
            raise CannotRead("function-empty", token.start, token.value)
        if self.tokens[after].kind == "OPEN":
            close = self.partner[after]
            if close == after + 1:
                raise CannotRead("function-empty", token.start, token.value)
            first, end = after + 1, close + 1
            inside = [t.kind for t in self.tokens[first:close]]
            if token.value == "exp" and inside in (["MINUS", "TIME"], ["TIME"]) and end < stop:
                out.append(Token("EULER", _euler_node(token.start), token.start, token.end))
                return self._bracketed_power(after - 1, close, stop, out, depth)
            stretch = close
        else:
            first = after
            end = stretch = reach(self.tokens, self.partner, after, stop, self.question, function=token.value)
            if end == after:
                raise CannotRead("function-empty", token.start, token.value)
        out.append(token)
        if token.value == "exp":
            self._group(first, stretch, out, depth)
        else:
            inner: list[Token] = []
            self.walk(first, stretch, inner, depth + 1)
            place = self.tokens[first].start
            out.append(Token("OPEN", "(", place, place))
            out.extend(inner)
            out.append(Token("CLOSE", ")", self.tokens[stretch - 1].end, self.tokens[stretch - 1].end))
        out.extend(power)
        return end

    def _fraction(self, index: int, stop: int, out: list[Token], depth: int) -> int:
        """``\\frac{top}{bottom}``."""
        out.append(Token("FRACTION", "frac", self.tokens[index].start, self.tokens[index].end))
        after = index + 1
        for _ in range(2):
            if after >= stop or self.tokens[after].kind != "OPEN" or self.partner[after] == after + 1:
                raise CannotRead("fraction-incomplete", self.tokens[index].start)
            close = self.partner[after]
            out.append(self.tokens[after])
            self.walk(after + 1, close, out, depth + 1)
            out.append(self.tokens[close])
            after = close + 1
        return after

    # -- slashes ---------------------------------------------------------------------------------

    def _below(self, index: int, stop: int, out: list[Token], depth: int, measured: bool) -> int:
        """Below a slash outside a power: ``1/2RC``, ``100 V/1 ohm``, ``1/500 s``."""
        tokens = self.tokens
        end = index
        while end < stop and tokens[end].kind == "NAME" and (end == index or tokens[end].start == tokens[end - 1].end):
            end += 1
        if index < stop and tokens[index].kind == "NUMBER":
            end = index + 1
            while end < stop and tokens[end].kind == "NAME" and tokens[end].start == tokens[end - 1].end:
                end += 1
            if end == index + 1 and end < stop and tokens[end].kind == "UNIT" and tokens[end].value.dimension is not None:
                if not self._unit_stays_below(index, end, measured):
                    return index
                end += 1
                self._emit_group(index, end, out)
                return end
        if end > index + 1:
            ways = (
                Way("What is written together below the slash was read as one denominator."),
                Way("Only the first factor below the slash was read as the denominator."),
            )
            if self.forks.choose("arrange", "below", index, ways) == 0:
                self._emit_group(index, end, out)
                return end
        return index

    def _unit_stays_below(self, index: int, end: int, measured: bool) -> bool:
        if measured:
            return True
        unit, asked = self.tokens[end].value, self.question.dimension
        whole = Way(f"The unit {unit.symbol} was read as that of the whole fraction.")
        below = Way(f"The unit {unit.symbol} was read as part of the denominator.")
        if asked is None or unit.dimension == asked:
            return False
        ways = (below, whole)
        return ways[self.forks.choose("arrange", "unit-below", index, ways)] is below

    def _emit_group(self, start: int, end: int, out: list[Token]) -> None:
        first, last = self.tokens[start].start, self.tokens[end - 1].end
        out.append(Token("OPEN", "(", first, first))
        out.extend(self.tokens[start:end])
        out.append(Token("CLOSE", ")", last, last))

    def _slashes(self, tokens: list[Token]) -> list[Token]:
        """In a power, gather what follows a slash into its denominator; t stays above unless it is there already."""
        if not any(t.kind == "SLASH" for t in tokens):
            return tokens
        out: list[Token] = []
        for term in _terms(tokens):
            out.extend(self._one_slash(term))
        return out

    def _one_slash(self, term: list[Token]) -> list[Token]:
        slash = _first_outside(term, "SLASH")
        if slash is None:
            return term
        above = term[:slash]
        factors = _factors(term[slash + 1 :])
        if len(factors) < 2:
            return term
        has_time = any(t.kind == "TIME" for t in above)
        lifted = [] if has_time else [f for f in factors[1:] if f[0].kind == "TIME" and len(f) == 1][:1]
        below = [f for f in factors if not any(f is one for one in lifted)]
        if len(below) < 2:
            return term
        ways = (
            Way("In the power, all that follows the slash was read as the denominator."),
            Way("In the power, the slash was read as dividing by the next factor alone."),
        )
        unit_only = len(below) == 2 and below[0][0].kind == "NUMBER" and below[1][0].kind == "UNIT"
        if not unit_only and self.forks.choose("arrange", "slash", term[slash].start, ways) == 1:
            return term
        place, last = term[slash].end, term[-1].end
        out = [*above, term[slash], Token("OPEN", "(", place, place)]
        for factor in below:
            out.extend(factor)
        out.append(Token("CLOSE", ")", last, last))
        for factor in lifted:
            out.extend(factor)
        return out


def _euler_node(place: int) -> object:
    from grader.reading.tree import Constant

    return Constant("e", place)


def _terms(tokens: Sequence[Token]) -> list[list[Token]]:
    """Split at the plus and minus signs outside brackets; the signs lead their terms."""
    terms: list[list[Token]] = [[]]
    depth = 0
    for token in tokens:
        if token.kind == "OPEN":
            depth += 1
        elif token.kind == "CLOSE":
            depth -= 1
        elif depth == 0 and token.kind in _NEUTRAL and terms[-1] and terms[-1][-1].kind not in {"CARET", "STAR", "SLASH"}:
            terms.append([])
        terms[-1].append(token)
    return terms


def _first_outside(tokens: Sequence[Token], kind: str) -> int | None:
    depth = 0
    for index, token in enumerate(tokens):
        if token.kind == "OPEN":
            depth += 1
        elif token.kind == "CLOSE":
            depth -= 1
        elif depth == 0 and token.kind == kind:
            return index
    return None


def _factors(tokens: Sequence[Token]) -> list[list[Token]]:
    """Split a product outside brackets; signs of multiplication and division between factors fall away."""
    factors: list[list[Token]] = []
    depth = 0
    joined = False
    for token in tokens:
        if depth == 0 and token.kind in {"STAR", "SLASH"}:
            joined = False
            continue
        if depth == 0 and not joined and token.kind != "CARET":
            factors.append([])
        factors[-1].append(token)
        if token.kind == "OPEN":
            depth += 1
        elif token.kind == "CLOSE":
            depth -= 1
        joined = depth > 0 or token.kind in {"CARET", "FUNCTION", "STEP", "FRACTION", "MINUS", "PLUS"}
    return factors
