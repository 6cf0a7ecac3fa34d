"""From tokens to a tree: what an answer may look like, a method for each rule.

Before these rules apply, three steps have been at work: `text.glyphs` brings unicode and LaTeX to one alphabet, `tokens.scan`
turns characters into the words in capitals below, and `tokens.brackets` puts in the brackets that students leave out, around
a power (``e^-500t``), around what a function applies to (``cos 120t``), below a slash in a power (``e^-t/RC``).  So nothing
here has to guess; where one of those steps could go two ways, each way is parsed for itself.

    NUMBER     2.4   0,16   1,250   2.4E-03   4k7          UNIT      mA   kohm   milliamps   %   °   and lone prefixes: k
    NAME       R1   tau   R_th   i(0+)   V_f               TIME      t
    EULER      e                                           CONSTANT  pi
    LABEL      what stands left of an equal sign: i_L(0+)  FUNCTION  cos sin tan cosh sinh sqrt ln log abs
    OPEN CLOSE any kind of brackets                        STEP      u, where (t…) follows
    COMMA      , ; a line break, "for", "and", "where"     FRACTION  a fraction of LaTeX
    EQUALS     = : ≈ "is"                                  BELOW ABOVE   < ≤ and > ≥
    EITHER     ± +/-                                       PARALLEL  || // ∥
    PLUS MINUS STAR SLASH CARET                            IMAGINARY j i (where roots are asked)    INFINITY  ∞ inf
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from grader.reading.refusals import CannotRead
from grader.reading.tokens import Token, kinds
from grader.reading.tree import Call, Negative, Node, Parallel, PlusMinus, Power, Product, Quotient, Step, Sum

_END = "END"
_VALUES = {"NUMBER", "UNIT", "NAME", "TIME", "EULER", "CONSTANT", "IMAGINARY", "INFINITY"}
_FACTORS = _VALUES | {"OPEN", "FUNCTION", "STEP", "FRACTION"}
_SIGNS = {"PLUS": None, "MINUS": Negative, "EITHER": PlusMinus}


class Condition(NamedTuple):
    """``left < right`` or ``left > right``; of ``a < t < b``, ``last`` is b."""

    left: Any
    sign: str
    right: Any
    last: Any = None


def parse(tokens: Sequence[Token]) -> tuple[Any, ...]:
    """The parts of an answer: chains (tuples of sides) and conditions.

    Raises
    ------
    CannotRead
        At the first token that does not fit; ``kind`` tells what is missing.
    """
    line = _Line(tokens)
    parts = [line.part()]
    while line.kind == "COMMA":  # 1.636; 2; 10 ms
        line.taken()
        parts.append(line.part())
    line.expect(_END)
    return tuple(parts)


class _Line:
    """Tokens read from left to right; ``kind`` is that of the one at hand."""

    __slots__ = ("at", "kind", "kinds", "tokens")

    def __init__(self, tokens: Sequence[Token]) -> None:
        self.tokens = tokens
        self.kinds = [*kinds(tokens), _END]
        self.at = 0
        self.kind = self.kinds[0]

    def taken(self) -> Any:
        """The value of the token at hand; the next one is at hand then."""
        value = self.tokens[self.at].value
        self.at += 1
        self.kind = self.kinds[self.at]
        return value

    def expect(self, kind: str) -> None:
        if self.kind != kind:
            place = self.tokens[self.at].start if self.kind != _END else None
            raise CannotRead("unexpected", place, self.kind)

    def part(self) -> Any:
        """``t < 0``, ``t > 0``, ``0 < t < 2 ms``; or a chain, ``i(0+) = 2*4/6 = 4/3 kΩ``."""
        sides = [self.side()]
        compared = self.kind
        if compared in {"BELOW", "ABOVE"}:
            condition = Condition(sides[0], self.taken(), self.side())
            if compared == self.kind == "BELOW":
                self.taken()
                condition = condition._replace(last=self.side())
            return condition
        while self.kind == "EQUALS":
            self.taken()
            sides.append(self.side())
        return tuple(sides)

    def side(self) -> Any:
        return self.taken() if self.kind == "LABEL" else self.sum()

    def sum(self) -> Node:
        """``-50 ± j120``."""
        first = self.joined()
        if self.kind not in _SIGNS:
            return first
        terms = [*first.terms] if type(first) is Sum else [first]
        while self.kind in _SIGNS:
            turned = _SIGNS[self.kind]
            self.taken()
            term = self.joined()
            terms.append(term if turned is None else turned(term, term.place))
        return Sum(tuple(terms), first.place)

    def joined(self) -> Node:
        """``R3 || R2``, which binds more tightly than a sum."""
        first = self.signed()
        if self.kind != "PARALLEL":
            return first
        terms = [*first.terms] if type(first) is Parallel else [first]
        while self.kind == "PARALLEL":
            self.taken()
            terms.append(self.signed())
        return Parallel(tuple(terms), first.place)

    def signed(self) -> Node:
        if self.kind not in _SIGNS:
            return self.product()
        turned = _SIGNS[self.kind]
        self.taken()
        operand = self.signed()
        return operand if turned is None else turned(operand, operand.place)

    def product(self) -> Node:
        """``2*t``, ``6/3``, and factors side by side: ``2t``, ``5 V``, ``(2)(3)``."""
        left = self.power()
        while True:
            kind = self.kind
            if kind in _FACTORS:
                left = Product(left, self.power(), left.place)
            elif kind in {"STAR", "SLASH"}:
                self.taken()
                left = (Product if kind == "STAR" else Quotient)(left, self.factor(), left.place)
            else:
                return left

    def factor(self) -> Node:
        """``2*-3``."""
        kind = self.kind
        if kind not in {"PLUS", "MINUS"}:
            return self.power()
        self.taken()
        operand = self.factor()
        return Negative(operand, operand.place) if kind == "MINUS" else operand

    def power(self) -> Node:
        base = self.atom()
        if self.kind != "CARET":
            return base
        self.taken()
        return Power(base, self.exponent(), base.place)

    def exponent(self) -> Node:
        """``2^-3^2``: the signs of a power belong to it, and powers of it to its number."""
        kind = self.kind
        if kind not in {"PLUS", "MINUS"}:
            return self.power()
        self.taken()
        operand = self.exponent()
        return Negative(operand, operand.place) if kind == "MINUS" else operand

    def atom(self) -> Node:
        kind = self.kind
        if kind in _VALUES:
            return self.taken()
        if kind == "OPEN":
            return self.bracketed()
        if kind == "FUNCTION":
            function, argument = self.taken(), self.bracketed()
            return Call(function, argument, argument.place)
        if kind == "STEP":
            self.taken()
            argument = self.bracketed()
            return Step(argument, argument.place)
        self.expect("FRACTION")
        self.taken()
        top, bottom = self.bracketed(), self.bracketed()
        return Quotient(top, bottom, top.place)

    def bracketed(self) -> Node:
        self.expect("OPEN")
        self.taken()
        inner = self.sum()
        self.expect("CLOSE")
        self.taken()
        return inner
