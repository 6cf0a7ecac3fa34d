"""Two ways to put mathematics on paper: a line of plain text, and MathML Core."""

import re
from html import escape

from grader.regex import regex

GREEK = {
    "tau": "τ", "alpha": "α", "beta": "β", "omega": "ω", "zeta": "ζ", "lambda": "λ", "sigma": "σ", "theta": "θ", "phi": "φ",
    "pi": "π",
}  # fmt: skip
NO_BREAK = "\u00a0"
"""A space that MathML keeps at the ends of words."""

_NAME = regex(r"([^\W\d_]+?)(?:_\{?([^{}()]*)\}?|([0-9]+))?('*)(\(.*\))?")
_RATE = regex(r"d(²?)(\w+(?:,\w)?)/dt²?(\(.*\))?")


class Renderer:
    """One line of plain text."""

    gap = " "
    """The space before a unit."""
    slash = "/"
    """A division sign within a line."""

    def __init__(self, *, stacks: bool = False) -> None:
        self.stacks = stacks
        """Whether a fraction is written with one part above the other."""

    @property
    def in_line(self) -> "Renderer":
        """The pen for a power, where a fraction stays in the line."""
        return type(self)()

    def number(self, text: str) -> str:
        """A number."""
        return text

    def variable(self, letter: str) -> str:
        """A one-letter quantity."""
        return letter

    def name(self, name: str) -> str:
        """A name with its subscript."""
        return GREEK.get(name, name)

    def unit(self, symbol: str) -> str:
        """A unit, upright."""
        return symbol

    def sign(self, sign: str) -> str:
        """A sign in front."""
        return sign

    def operator(self, sign: str) -> str:
        """A sign between."""
        return f" {sign} "

    def leading(self, sign: str) -> str:
        """A sign between, where a line may break before it."""
        return f"{sign} "

    def times(self, sign: str) -> str:
        """A product's sign; empty where factors stand side by side."""
        return sign

    def bracket(self, side: str) -> str:
        """A round bracket that does not grow with what it holds."""
        return side

    def bracketed(self, text: str) -> str:
        """In round brackets."""
        return f"({text})"

    def fraction(self, top: str, bottom: str) -> str:
        """A fraction with a line."""
        return f"({top})/({bottom})"

    def power(self, base: str, exponent: str, simple: bool) -> str:
        """A power; ``simple`` exponents need no brackets in a line."""
        return f"{base}^{exponent}" if simple and "." not in exponent else f"{base}^({exponent})"

    def root(self, radicand: str) -> str:
        """A square root."""
        return f"√({radicand})"

    def function(self, name: str, argument: str) -> str:
        """A function of something."""
        return f"{name}({argument})"

    def integral(self, operand: str, start: str, end: str) -> str:
        """An integral over t between two instants; without them where both are empty."""
        return f"∫[{start}…{end}] {operand} dt" if end else f"∫ {operand} dt"

    def scientific(self, mantissa: str, exponent: str) -> str:
        """A number times a power of ten."""
        return f"{mantissa}·10^{exponent}"

    def words(self, text: str) -> str:
        """Plain words."""
        return text


class _Math(Renderer):
    """MathML Core."""

    gap = '<mspace width="0.2em"></mspace>'
    slash = "<mo>/</mo>"

    def number(self, text: str) -> str:
        return f"<mn>{escape(text)}</mn>"

    def variable(self, letter: str) -> str:
        return f"<mi>{escape(letter)}</mi>"

    def name(self, name: str) -> str:
        rate = _RATE.fullmatch(name)
        if rate is not None:
            d, t = (f"<msup><mi>{each}</mi><mn>2</mn></msup>" if rate[1] else f"<mi>{each}</mi>" for each in "dt")
            over = self.fraction(f"{d}{self.name(rate[2])}", f"<mi>d</mi>{t}")
            return f"<mrow>{over}{self._instant(rate[3] or '')}</mrow>"
        match = _NAME.fullmatch(name)
        if match is None:
            return f"<mi>{escape(name)}</mi>"
        letter, low, digits, primes, instant = match.groups()
        body = f"<mi>{escape(GREEK.get(letter, letter))}</mi>"
        below = low or digits
        if below:
            tag = "mn" if below.isdigit() else "mi"
            body = f"<msub>{body}<{tag}>{escape(GREEK.get(below, below))}</{tag}></msub>"
        if primes:
            body = f"<msup>{body}<mo>{'′' * len(primes)}</mo></msup>"
        return f"<mrow>{body}{self._instant(instant or '')}</mrow>"

    def _instant(self, bracketed: str) -> str:
        """The instant that a name's value is taken at."""
        if not bracketed:
            return ""
        inside = bracketed[1:-1]
        return self.bracketed(self.variable("t") if inside == "t" else f"<mtext>{escape(inside)}</mtext>")

    def unit(self, symbol: str) -> str:
        """``A/s^2`` with its exponent raised."""
        *raised, rest = re.split(r"(\w+)\^(\d+)", symbol)
        parts = [
            self._upright(before) + f"<msup>{self._upright(base)}<mn>{exponent}</mn></msup>"
            for before, base, exponent in zip(*(raised[k::3] for k in range(3)), strict=True)
        ]
        body = "".join(parts) + self._upright(rest)
        return f"<mrow>{body}</mrow>" if parts else body

    def _upright(self, text: str) -> str:
        return f'<mi mathvariant="normal">{escape(text)}</mi>' if text else ""

    def sign(self, sign: str) -> str:
        return f'<mo form="prefix">{sign}</mo>'

    def operator(self, sign: str) -> str:
        return f"<mo>{escape(sign)}</mo>"

    def leading(self, sign: str) -> str:
        return f'<mo form="infix">{escape(sign)}</mo>'

    def times(self, sign: str) -> str:
        return f"<mo>{sign or '&#x2062;'}</mo>"

    def bracket(self, side: str) -> str:
        return f'<mo stretchy="false">{side}</mo>'

    def bracketed(self, text: str) -> str:
        high = "" if "<mfrac" in text else ' stretchy="false"'  # powers alone do not make brackets grow
        return f"<mrow><mo{high}>(</mo>{text}<mo{high}>)</mo></mrow>"

    def fraction(self, top: str, bottom: str) -> str:
        return f"<mfrac><mrow>{top}</mrow><mrow>{bottom}</mrow></mfrac>"

    def power(self, base: str, exponent: str, simple: bool) -> str:  # noqa: ARG002 - one signature for both pens
        return f"<msup><mrow>{base}</mrow><mrow>{exponent}</mrow></msup>"

    def root(self, radicand: str) -> str:
        return f"<msqrt>{radicand}</msqrt>"

    def function(self, name: str, argument: str) -> str:
        return f"<mrow><mi>{escape(name)}</mi><mo>&#x2061;</mo>{self.bracketed(argument)}</mrow>"

    def integral(self, operand: str, start: str, end: str) -> str:
        apart = '<mspace width="0.35em"></mspace>'  # the sign leans towards what stands above it
        sign = (
            f"<msubsup><mo>∫</mo><mrow>{start}</mrow><mrow>{apart}{end}</mrow></msubsup>"
            if end
            else f"<mo>∫</mo>{self.gap}"
        )
        return f"<mrow>{sign}{operand}{self.gap}<mi>d</mi><mi>t</mi></mrow>"

    def scientific(self, mantissa: str, exponent: str) -> str:
        return f"<mrow><mn>{escape(mantissa)}</mn><mo>·</mo><msup><mn>10</mn><mn>{escape(exponent)}</mn></msup></mrow>"

    def words(self, text: str) -> str:
        return f"<mtext>{escape(text).replace(' ', NO_BREAK)}</mtext>"


PLAIN, MATH = Renderer(), _Math(stacks=True)
