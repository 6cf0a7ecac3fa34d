"""Formulas of the worked solution, from a line of text to MathML: fractions, powers and indices as on a board.

The text is the project's own, never a student's: names (``v_C1(0+)``, ``ω0``, ``dv_C1/dt``), numbers with units, sums,
products (``·`` or side by side), quotients, powers of e, roots and equations.  What does not fit is shown as it stands.
"""

from __future__ import annotations

import re
from html import escape
from typing import NamedTuple

_NUMBER = r"\d+(?:\.\d+)?(?:e[+-−]?\d+)?"
_UNIT = r"(?:1/s|rad/s|[kMGTmμnp]?(?:V/s|A/s|V|A|Ω|F|H|s|W|J|C|Wb|S))(?![A-Za-z0-9_(])"
_TOKEN = re.compile(
    rf"""\s*(?:
      (?P<measured>{_NUMBER}\s{_UNIT})
    | (?P<unit>(?<=\)\s)1/s)
    | (?P<number>{_NUMBER})
    | (?P<rate>d[A-Za-z]_[A-Za-z0-9]+/dt|d[A-Za-z]/dt)
    | (?P<name>[A-Za-zα-ωΑ-Ω]+\d*(?:_[A-Za-z0-9]+)?(?:,[a-z])?)
    | (?P<at>\((?:0|∞|t|\d[^()]*)[+−]?\)(?<!\d\)))
    | (?P<sign>[+−±=<>·*∥/^√½()\[\]²³])
    )""",
    re.VERBOSE,
)
_WORDS = re.compile(r"\b(?!cos\b|sin\b|exp\b)[a-z]{3,}\b|\bof\b|\bby\b|[∫;:]|, \d")
_FUNCTIONS = ("cos", "sin", "exp", "ln")


class _Piece(NamedTuple):
    """MathML, and the same without its outer brackets where it has them (for above and below a line of fraction)."""

    mathml: str
    bare: str


class _NotAFormula(ValueError):
    """The text holds something that is no formula."""


def formula_mathml(text: str) -> str:
    """A formula as a MathML ``math`` element; words are kept as words.

    Parameters
    ----------
    text : str
        One line of the worked solution.

    Examples
    --------
    >>> formula_mathml("L/R")
    '<math><mfrac><mi>L</mi><mi>R</mi></mfrac></math>'
    >>> formula_mathml("seen by C1")
    '<math><mtext>seen by C1</mtext></math>'
    """
    words = f"<math><mtext>{escape(text)}</mtext></math>"
    if _WORDS.search(text):
        return words
    try:
        reader = _Reader(text)
        inside = reader.equation()
        reader.expect_end()
    except _NotAFormula:
        return words
    return f"<math>{inside}</math>"


class _Reader:
    """Recursive descent over the tokens of one formula."""

    def __init__(self, text: str) -> None:
        self.tokens: list[tuple[str, str]] = []
        position, text = 0, text.rstrip()
        while position < len(text):
            match = _TOKEN.match(text, position)
            if match is None or match.lastgroup is None:
                raise _NotAFormula(text)
            kind, symbol = match.lastgroup, match[match.lastgroup]
            # "(0+)" belongs to the name before it; elsewhere a bracket is a bracket.
            if kind == "at" and not (
                self.tokens and self.tokens[-1][0] in ("name", "rate") and position == match.start(kind)
            ):
                kind, symbol = "sign", "("
                position = match.start("at") + 1
            else:
                position = match.end()
            self.tokens.append((kind, symbol))
        self.place = 0
        self.raised = False

    def _next(self) -> tuple[str, str]:
        return self.tokens[self.place] if self.place < len(self.tokens) else ("end", "")

    def _take(self, *signs: str) -> str:
        kind, symbol = self._next()
        if kind == "sign" and symbol in signs:
            self.place += 1
            return symbol
        return ""

    def expect_end(self) -> None:
        """Nothing may be left over."""
        if self.place < len(self.tokens):
            raise _NotAFormula(self.tokens[self.place][1])

    def equation(self) -> str:
        parts = [self._sum()]
        while relation := self._take("=", "<", ">"):
            parts.append(f"<mo>{escape(relation)}</mo>{self._sum()}")
        return "".join(parts)

    def _sum(self) -> str:
        parts = []
        sign = self._take("−", "±", "+")
        lead = f'<mo form="prefix">{sign}</mo>' if sign else ""
        while True:
            parts.append(lead + self._product())
            sign = self._take("+", "−", "±")
            if not sign:
                return "".join(parts)
            lead = f"<mo>{sign}</mo>"

    def _product(self) -> str:
        parts = [self._quotient()]
        while True:
            kind, symbol = self._next()
            joint = self._take("·", "*", "∥")
            if joint:
                parts.append(f"<mo>{'∥' if joint == '∥' else '·'}</mo>{self._quotient()}")
            elif kind == "unit":
                self.place += 1
                parts.append(f'<mspace width="0.2em"/><mtext>{symbol}</mtext>')
            elif kind in ("number", "measured", "name", "rate") or symbol in ("(", "[", "√"):
                parts.append('<mspace width="0.2em"/>' + self._quotient())
            else:
                return "".join(parts)

    def _quotient(self) -> str:
        piece = self._power()
        while self._take("/"):
            below = self._power()
            if self.raised:  # a line of fraction in a power is too small to read
                fraction = f"{piece.mathml}<mo>/</mo>{below.mathml}"
            else:
                fraction = f"<mfrac>{_row(piece.bare)}{_row(below.bare)}</mfrac>"
            piece = _Piece(fraction, fraction)
        return piece.mathml

    def _power(self) -> _Piece:
        base = self._atom()
        exponent = self._take("²", "³")
        if exponent:
            raised = f"<msup>{_row(base.mathml)}<mn>{'2' if exponent == '²' else '3'}</mn></msup>"
        elif self._take("^"):
            self.raised = True
            raised = f"<msup>{_row(base.mathml)}{_row(self._atom().bare)}</msup>"
            self.raised = False
        else:
            return base
        return _Piece(raised, raised)

    def _atom(self) -> _Piece:
        kind, symbol = self._next()
        self.place += 1
        if kind == "measured":
            number, unit = symbol.split(maxsplit=1)
            plain = f'<mrow>{_number(number)}<mspace width="0.2em"/><mtext>{unit}</mtext></mrow>'
        elif kind == "number":
            plain = _number(symbol)
        elif kind in ("name", "rate"):
            plain = self._named(_rate(symbol) if kind == "rate" else _name(symbol))
        elif symbol == "½":
            plain = "<mfrac><mn>1</mn><mn>2</mn></mfrac>"
        elif symbol == "√":
            plain = f"<msqrt>{self._atom().bare}</msqrt>"
        elif symbol in ("(", "["):
            inside, closing = self._sum(), ")" if symbol == "(" else "]"
            if not self._take(closing):
                raise _NotAFormula(symbol)
            # Indices and powers alone do not make brackets grow.
            high = "" if "<mfrac" in inside else ' stretchy="false"'
            return _Piece(f"<mrow><mo{high}>{symbol}</mo>{inside}<mo{high}>{closing}</mo></mrow>", inside)
        else:
            raise _NotAFormula(symbol)
        return _Piece(plain, plain)

    def _named(self, name: str) -> str:
        """A name with the instant it is taken at."""
        kind, symbol = self._next()
        if kind != "at":
            return name
        self.place += 1
        inside = symbol[1:-1]
        side = inside[-1] if inside[-1] in "+−" else ""
        at = inside.removesuffix(side) if side else inside
        time = f"<mi>{at}</mi>" if at == "t" else f"<mn>{at}</mn>" if at in ("0", "∞") else f"<mtext>{at}</mtext>"
        row = f"<mrow>{time}<mo form='postfix' lspace='0' rspace='0'>{side}</mo></mrow>" if side else time
        return f'<mrow>{name}<mo stretchy="false">(</mo>{row}<mo stretchy="false">)</mo></mrow>'


def _row(mathml: str) -> str:
    """One element around what may be several, where MathML wants exactly one."""
    single = re.fullmatch(r"<(m\w+)>[^<]*</\1>", mathml) is not None
    return (
        mathml if single or (mathml.startswith("<mrow>") and mathml.count("<mrow>") == 1) else f"<mrow>{mathml}</mrow>"
    )


def _name(symbol: str) -> str:
    """A name with its index: ``v_C1``, ``ω0``, ``B1``; letters side by side (``RC``) are a product."""
    if symbol in _FUNCTIONS:
        return f"<mi>{symbol}</mi>"
    stem, _, index = symbol.partition("_")
    if index:
        return f"<msub><mi>{stem}</mi><mtext>{index}</mtext></msub>"
    if re.fullmatch(r"j\d+", symbol):  # the imaginary unit beside a number, no index
        return f"<mi>j</mi><mn>{symbol[1:]}</mn>"
    letters = re.fullmatch(r"([A-Za-zα-ωΑ-Ω])(\d+|d|,\w|(?<=ω)\w)", symbol)
    if letters:
        return f"<msub><mi>{letters[1]}</mi><mtext>{letters[2].lstrip(',')}</mtext></msub>"
    return "".join(f"<mi>{letter}</mi>" for letter in symbol) if symbol.isalpha() else f"<mi>{symbol}</mi>"


def _number(symbol: str) -> str:
    """A number; ``1e7`` as a power of ten."""
    mantissa, _, exponent = symbol.replace("-", "−").partition("e")
    if not exponent:
        return f"<mn>{mantissa}</mn>"
    lead = "" if mantissa == "1" else f"<mn>{mantissa}</mn><mo>·</mo>"
    return f"<mrow>{lead}<msup><mn>10</mn><mn>{exponent.removeprefix('+')}</mn></msup></mrow>"


def _rate(symbol: str) -> str:
    top = symbol.removesuffix("/dt").removeprefix("d")
    return f"<mfrac><mrow><mi>d</mi>{_name(top)}</mrow><mrow><mi>d</mi><mi>t</mi></mrow></mfrac>"
