"""Expressions written out in full, ``2.4 - 2.4e^(-500t) mA``, straight to their tree.

Every bracket is there, every number is plain and every unit certain, so that nothing can be read in two ways.  Most
expressions are such; what is not goes through tokens and grammar, which make the same tree of these.
"""

import re
from collections.abc import Callable
from typing import Any

from flint import fmpq

from grader.reading.tokens import Question
from grader.reading.tokens.scan_units import unit_node
from grader.reading.tokens.units import look_up
from grader.reading.tree import Call, Constant, Negative, Node, Number, Power, Product, Quotient, Sum, Time
from grader.regex import regex
from grader.values.laplace import VARIABLE

MAX_LENGTH = 100
"""Characters; the bounds on numbers, nesting and tokens are out of reach of what is shorter."""

_DIGITS = r"[0-9]{1,9}(?:\.(?!000(?![0-9]))[0-9]{1,9})?"
_NUMBER = rf"{_DIGITS}(?:(?= ?e\^\()|(?![0-9.,'eERkKMmuμnp]| ?[0-9]| \.|(?<=10) ?[-+]))"
"""A number, of which nothing behind it is a part; ``10-3`` may be a power of ten, and ``50.000`` fifty thousand."""
_PIECE = regex(
    rf"(?P<number>{_NUMBER})"
    r"|(?P<sign>[-+*()])"
    r"|(?P<space> +)"
    rf"|(?P<power>(?:e\^|exp)\( ?(?P<minus>- ?)?(?:(?P<rate>{_NUMBER}) ?\*? ?)?(?P<time>t)(?: ?/ ?(?P<constant>{_NUMBER}))? ?\)(?! ?[/^]))"
    rf"|(?P<wave>(?P<function>cos|sin)\( ?(?P<frequency>{_NUMBER}) ?\*? ?(?P<phase>t) ?\)(?! ?[/^]))"
    r"|(?P<t>t(?=[-+*) ]|e\^|$)(?! ?[(/^]))"
    r"|(?:(?<=[0-9)])|(?<=[0-9t)] ))(?P<unit>[kmμn]?[AVW])(?= *$)"
)


def written_out(text: str, question: Question) -> Node | None:
    """The tree of an expression with exponentials or sinusoids of t written out in full; None for anything else."""
    if question.expects != "expression" or len(text) > MAX_LENGTH or VARIABLE in question.vocabulary.dimensions:
        return None
    pieces: list[tuple[str, Any]] = []
    end = 0
    for match in _PIECE.finditer(text):
        kind = match.lastgroup
        if match.start() != end or kind is None:
            return None
        end = match.end()
        if kind == "sign":
            pieces.append((match[0], None))
        elif kind == "unit":
            meanings = look_up(match[0], question.dimension)
            if len(meanings) != 1 or question.vocabulary.find(match[0]) is not None:
                return None
            pieces.append(("node", unit_node(meanings[0], match.start())))
        elif kind != "space":
            pieces.append((kind, _NODES[kind](match)))
    if end != len(text) or {"power", "wave"}.isdisjoint([kind for kind, _ in pieces]):
        return None
    pieces.append(("", None))
    return _Expression(pieces).whole()


def _number(match: re.Match[str], group: str = "number") -> Number:
    text = match[group]
    before, _, after = text.partition(".")
    return Number(fmpq(int(before + after), 10 ** len(after)), text, match.start(group))


def _power(match: re.Match[str]) -> Power:
    """``e^(-500t)``, ``exp(-t/0.002)``."""
    time = Time(match.start("time"))
    exponent: Node = time
    if match["rate"] is not None:
        rate = _number(match, "rate")
        exponent = Product(rate, time, rate.place)
    if match["constant"] is not None:
        exponent = Quotient(exponent, _number(match, "constant"), exponent.place)
    if match["minus"] is not None:
        exponent = Negative(exponent, exponent.place)
    return Power(Constant("e", match.start()), exponent, match.start())


def _wave(match: re.Match[str]) -> Call:
    """``cos(120t)``."""
    frequency = _number(match, "frequency")
    return Call(match["function"], Product(frequency, Time(match.start("phase")), frequency.place), frequency.place)


_NODES: dict[str, Callable[[re.Match[str]], Node]] = {
    "number": _number,
    "power": _power,
    "wave": _wave,
    "t": lambda match: Time(match.start()),
}


class _Expression:
    """Pieces read from left to right by precedence; None where they do not make an expression."""

    __slots__ = ("at", "pieces")

    def __init__(self, pieces: list[tuple[str, Any]]) -> None:
        self.pieces = pieces
        self.at = 0

    def whole(self) -> Node | None:
        found = self._sum()
        return found if found is not None and self.at == len(self.pieces) - 1 else None

    def _sum(self) -> Node | None:
        first = self._term()
        if first is None:
            return None
        terms = [*first.terms] if type(first) is Sum else [first]
        while (sign := self.pieces[self.at][0]) in {"+", "-"}:
            self.at += 1
            term = self._term()
            if term is None:
                return None
            terms.append(Negative(term, term.place) if sign == "-" else term)
        return Sum(tuple(terms), first.place) if len(terms) > 1 else first

    def _term(self) -> Node | None:
        if self.pieces[self.at][0] == "-":
            self.at += 1
            operand = self._term()
            return None if operand is None else Negative(operand, operand.place)
        left = self._factor()
        while left is not None:
            kind = self.pieces[self.at][0]
            if kind == "*":
                self.at += 1
            elif kind not in _BESIDE:
                break
            right = self._factor()
            if right is None:
                return None
            left = Product(left, right, left.place)
        return left

    def _factor(self) -> Node | None:
        kind, node = self.pieces[self.at]
        if kind in {")", "+", "-", "*", ""}:
            return None
        self.at += 1
        if kind != "(":
            return node
        inner = self._sum()
        if self.pieces[self.at][0] != ")":
            return None
        self.at += 1
        return inner


_BESIDE = {"power", "wave", "t", "(", "node"}
"""What multiplies what it stands behind."""
