"""Writes a waveform the way students do, in thousands of combinations of notation.

``write(waveform, random)`` gives one text; `STYLES` lists the choices that make it up.  Coefficients, rates and
frequencies must be rationals that end as decimals, without offsets and phases (what a problem with numbers gives).
"""

from itertools import pairwise
from random import Random

from flint import fmpq
from msgspec import Struct
from msgspec.structs import fields

from grader.values.term import Term
from grader.values.waveform import Waveform

SUPERSCRIPTS = str.maketrans("0123456789-+()t/.", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺⁽⁾ᵗᐟ·")


class Style(Struct, frozen=True, kw_only=True):
    """One way to write; each field is one of the choices in `STYLES`."""

    number: str = "decimal"
    times: str = ""
    power: str = "e^(r)"
    inside: str = "rt"
    wave: str = "cos(w)"
    minus: str = "-"
    unit: str = "none"
    label: str = ""
    range: str = ""
    order: str = "as it is"
    spaces: str = "around signs"


STYLES: dict[str, tuple[str, ...]] = {
    "number": ("decimal", "no leading nought", "comma", "fraction", "e notation", "times ten", "times ten unicode", "latex fraction"),
    "times": ("", "*", "·", " ", "×", r" \cdot "),
    "power": (
        "e^(r)", "e^r", "e^{r}", "exp(r)", "EXP(r)", "Exp[r]", "e**(r)", "unicode", r"\mathrm{e}^{r}", "exp r", "1/e^(-r)", "E^(r)",
        "e^[r]",
    ),
    "inside": ("rt", "r*t", "r t", "t/tau", "t/tau ms", "rate with unit", "t*r", "t r", "latex t over tau", "(r)t", "e notation"),
    "wave": ("cos(w)", "cos w", r"\cos(w)", "COS(w)", "cos{w}", "cos(w*t)", "cos[w]"),
    "minus": ("-", "−", "–"),
    "unit": ("none", "whole", "glued", "each", "bracketed", "word", "base unit", "latex", "first only"),
    "label": ("", "i(t) = ", "i_L(t)=", "i=", "$i(t) = ", "i(t): ", "=", "approx. "),
    "range": ("", ", t>0", " for t ≥ 0", ", t >= 0 s", " for 0 < t", "; t>0", " (t > 0)", " u(t)", "*u(t)", ", t ≥ 0+"),
    "order": ("as it is", "turned", "factored"),
    "spaces": ("around signs", "none"),
}  # fmt: skip
"""The choices for each field of a style."""


def random_style(random: Random) -> Style:
    """Any combination."""
    return Style(**{field.name: random.choice(STYLES[field.name]) for field in fields(Style)})


def every_style() -> list[Style]:
    """The plain style, and every choice once with the rest left plain."""
    return [Style(), *(Style(**{name: choice}) for name, choices in STYLES.items() for choice in choices[1:])]


def write(waveform: Waveform, random: Random, style: Style | None = None) -> str:
    """A waveform (amperes, where the style writes a unit) as a student might write it."""
    return Writer(style or random_style(random)).text(waveform)


def has_unit(style: Style) -> bool:
    """Whether the style writes a unit."""
    return style.unit != "none"


class Writer:
    """Writes in one style."""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.scale = fmpq(1) if style.unit in {"none", "base unit"} else fmpq(1000)

    def text(self, waveform: Waveform) -> str:
        """The whole answer."""
        style = self.style
        terms = list(waveform.terms)
        if style.order == "turned":
            terms.reverse()
        body = self._factored(terms) if style.order == "factored" else None
        if body is None:
            body = self._sum(terms)
        unit = {"whole": " mA", "glued": "mA", "bracketed": " [mA]", "word": " milliamps", "base unit": " A",
                "latex": r"\ \mathrm{mA}"}.get(style.unit, "")  # fmt: skip
        if style.range in {" u(t)", "*u(t)"}:
            body = f"({body}){style.range}{unit}"
        else:
            if style.unit == "glued" and body[-1:].isalpha():
                unit = f" {unit}"  # nobody writes tmA
            body = f"{body}{unit}{style.range}"
        text = style.label + body + ("$" if style.label.startswith("$") else "")
        return text.replace("-", style.minus)

    # -- sums ------------------------------------------------------------------------------------

    def _sum(self, terms: list[Term]) -> str:
        pieces = [piece for term in terms for piece in self._pieces(term)]
        if not pieces:
            return "0 mA" if self.style.unit in {"each", "first only"} else "0"
        if self.style.unit == "each":
            pieces = [f"{piece} mA" for piece in pieces]
        elif self.style.unit == "first only":
            pieces[0] = f"{pieces[0]} mA"
        gap = " " if self.style.spaces == "around signs" else ""
        text = pieces[0]
        for piece in pieces[1:]:
            text += f"{gap}-{gap}{piece[1:]}" if piece.startswith("-") else f"{gap}+{gap}{piece}"
        return text

    def _factored(self, terms: list[Term]) -> str | None:
        """``c(1 - e^…)``, where the waveform is that."""
        if len(terms) != 2 or self.style.unit in {"each", "first only"}:
            return None
        final, decay = sorted(terms, key=lambda t: t.rate != 0)
        if final.rate != 0 or final.frequency != 0 or final.power or decay.power or decay.frequency != 0:
            return None
        if final.cosine != -decay.cosine:
            return None
        return self._join([self._number(final.cosine * self.scale), f"(1 - {self._power(decay.rate)})"])

    def _pieces(self, term: Term) -> list[str]:
        pieces = []
        for amplitude, name in ((term.cosine, "cos"), (term.sine, "sin")):
            if amplitude == 0:
                continue
            size = amplitude * self.scale
            factors = []
            if term.power:
                factors.append("t" if term.power == 1 else f"t^{term.power}")
            if term.frequency != 0:
                factors.append(self._wave(name, term.frequency))
            if term.rate != 0:
                factors.append(self._power(term.rate))
            sign = "-" if size < 0 else ""
            if abs(size) != 1 or not factors:
                factors.insert(0, self._number(abs(size)))
            pieces.append(sign + self._join(factors))
        return pieces

    def _join(self, factors: list[str]) -> str:
        text = factors[0]
        for before, factor in pairwise(factors):
            sign = self.style.times
            if (
                self.style.wave == "cos w"
                and before[:3] in {"cos", "sin"}
                and sign in {"", " "}
                and factor.startswith("1/")
            ):
                sign = "*"
            if sign in {"", " "} and factor[0].isdigit():
                sign = "*"
            text += sign + factor
        return text

    # -- factors ---------------------------------------------------------------------------------

    def _number(self, value: fmpq) -> str:
        style = self.style.number
        if value < 0:
            return "-" + self._number(-value)
        plain = decimal(value)
        if style == "fraction":
            return f"{value.p}" if value.q == 1 else f"({value.p}/{value.q})"
        if style == "latex fraction":
            return f"{value.p}" if value.q == 1 else rf"\frac{{{value.p}}}{{{value.q}}}"
        if style == "comma":
            return plain.replace(".", ",") if len(plain.partition(".")[2]) != 3 else plain.replace(".", ",") + "0"
        if style == "no leading nought":
            return plain.removeprefix("0") if plain.startswith("0.") else plain
        if style in {"e notation", "times ten", "times ten unicode"}:
            digits = plain.replace(".", "").lstrip("0")
            places = len(plain.partition(".")[2])
            exponent = len(digits) - 1 - places
            digits = digits.rstrip("0") or "0"
            mantissa = digits[0] + ("." + digits[1:] if digits[1:] else "")
            if style == "e notation":
                return f"{mantissa}E{exponent:+03d}"
            if style == "times ten unicode":
                return f"{mantissa}×10{str(exponent).translate(SUPERSCRIPTS)}"
            return f"{mantissa}*10^{exponent}" if exponent >= 0 else f"{mantissa}*10^({exponent})"
        return plain

    def _power(self, rate: fmpq) -> str:
        style = self.style.power
        if style == "1/e^(-r)":
            return f"(1/e^({self._inside(-rate)}))"
        inside = self._inside(rate)
        if style == "unicode":
            return "e" + f"{decimal(rate)}t".translate(SUPERSCRIPTS) if rate.q == 1 else f"e^({inside})"
        loose = style in {"e^r", "exp r"}
        if loose and any(c in inside for c in "()+"):
            style = "e^(r)"
        return style.replace("r", inside, 1) if style not in {r"\mathrm{e}^{r}", "exp r", "exp(r)", "Exp[r]"} else {
            r"\mathrm{e}^{r}": rf"\mathrm{{e}}^{{{inside}}}", "exp r": f"exp {inside}", "exp(r)": f"exp({inside})",
            "Exp[r]": f"Exp[{inside}]",
        }[style]  # fmt: skip

    def _inside(self, rate: fmpq) -> str:
        """What stands in the power: rate times t."""
        style = self.style.inside
        sign, size = ("-", -rate) if rate < 0 else ("", rate)
        number = decimal(size)
        tau = fmpq(1) / size
        bare = "" if size == 1 else number
        ends = is_decimal(tau)
        if style == "t/tau" and ends:
            return f"{sign}t/{decimal(tau)}"
        if style == "t/tau ms" and is_decimal(tau * 1000):
            return f"{sign}t/{decimal(tau * 1000)}ms"
        if style == "latex t over tau" and ends:
            return rf"{sign}\frac{{t}}{{{decimal(tau)}}}"
        if style == "rate with unit":
            return f"{sign}{number} 1/s t"
        return {
            "r*t": f"{sign}{number}*t", "r t": f"{sign}{bare} t", "t*r": f"{sign}t*{number}", "t r": f"{sign}t*{number}",
            "(r)t": f"({sign}{number})t", "e notation": f"{sign}{exponential(size)}*t",
        }.get(style, f"{sign}{bare}t")  # fmt: skip

    def _wave(self, name: str, frequency: fmpq) -> str:
        inside = f"{decimal(frequency)}t"
        style = self.style.wave.replace("cos", name).replace("COS", name.upper())
        if style.endswith("(w*t)"):
            return f"{name}({decimal(frequency)}*t)"
        return style.replace("w", inside)


def is_decimal(value: fmpq) -> bool:
    """Whether a rational ends as a decimal of at most twelve places."""
    return 10**12 % int(value.q) == 0


def decimal(value: fmpq) -> str:
    """A rational that ends, as a plain decimal."""
    if value < 0:
        return "-" + decimal(-value)
    places = 0
    while value.q != 1:
        value = value * 10
        places += 1
        assert places < 40, "the number does not end as a decimal"
    digits = str(value.p).rjust(places + 1, "0")
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits


def exponential(value: fmpq) -> str:
    """A number in E notation."""
    text = decimal(value)
    digits = text.replace(".", "").lstrip("0")
    exponent = len(digits) - 1 - len(text.partition(".")[2])
    return f"{digits[0]}.{digits[1:] or '0'}E{exponent}"
