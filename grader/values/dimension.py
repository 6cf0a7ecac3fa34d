"""Dimensions and SI units: what may be added to what, and how a unit is written.

Everything in circuits is a product of powers of volt, ampere, second and metre: a basis in which
every derived unit of the trade has whole exponents (ohm = V/A, farad = A s/V, henry = V s/A).

References
----------
BIPM, SI Brochure, 9th edition: unit symbols and prefixes.
"""

from __future__ import annotations

from typing import NamedTuple


class Dimension(NamedTuple):
    """Exponents of volt, ampere, second and metre."""

    volt: int = 0
    ampere: int = 0
    second: int = 0
    metre: int = 0

    def times(self, other: Dimension) -> Dimension:
        """Dimension of a product."""
        return Dimension(*(a + b for a, b in zip(self, other, strict=True)))

    def over(self, other: Dimension) -> Dimension:
        """Dimension of a quotient."""
        return Dimension(*(a - b for a, b in zip(self, other, strict=True)))

    def raised(self, exponent: int) -> Dimension:
        """Dimension of a whole power."""
        return Dimension(*(a * exponent for a in self))


NUMBER = Dimension()
VOLTAGE = Dimension(volt=1)
CURRENT = Dimension(ampere=1)
TIME = Dimension(second=1)
RATE = Dimension(second=-1)
LENGTH = Dimension(metre=1)
AREA = Dimension(metre=2)
RESISTANCE = VOLTAGE.over(CURRENT)
CONDUCTANCE = CURRENT.over(VOLTAGE)
POWER = VOLTAGE.times(CURRENT)
ENERGY = POWER.times(TIME)
CHARGE = CURRENT.times(TIME)
FLUX = VOLTAGE.times(TIME)
CAPACITANCE = CHARGE.over(VOLTAGE)
INDUCTANCE = FLUX.over(CURRENT)
PERMEABILITY = INDUCTANCE.over(LENGTH)

_TABLE = (
    (NUMBER, "", "plain number"),
    (VOLTAGE, "V", "voltage"),
    (CURRENT, "A", "current"),
    (TIME, "s", "time"),
    (RATE, "1/s", "rate per second"),
    (LENGTH, "m", "length"),
    (AREA, "m^2", "area"),
    (RESISTANCE, "Ω", "resistance"),
    (CONDUCTANCE, "S", "conductance"),
    (POWER, "W", "power"),
    (ENERGY, "J", "energy"),
    (CHARGE, "C", "charge"),
    (FLUX, "Wb", "flux linkage"),
    (CAPACITANCE, "F", "capacitance"),
    (INDUCTANCE, "H", "inductance"),
    (PERMEABILITY, "H/m", "permeability"),
)

SYMBOLS: dict[Dimension, str] = {dimension: symbol for dimension, symbol, _ in _TABLE}
"""SI symbol of each dimension that has one of its own."""

NAMES: dict[Dimension, str] = {dimension: name for dimension, _, name in _TABLE}
"""What each dimension is called in a sentence to a student."""


def is_of_a_quantity(dimension: Dimension) -> bool:
    """Whether a quantity of circuits has this dimension, or its first or second derivative."""
    return any(one in SYMBOLS for one in (dimension, dimension.times(TIME), dimension.times(TIME).times(TIME)))


def called(dimension: Dimension) -> str:
    """What a value of some dimension is, with its article: ``a voltage``, ``an energy``, ``a value in V·s/A^2``."""
    name = NAMES.get(dimension) or f"value in {unit_symbol(dimension)}"
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def unit_symbol(dimension: Dimension) -> str:
    """The SI symbol of a dimension, without prefix: ``A``, ``Ω``, ``V/s``."""
    if dimension in SYMBOLS:
        return SYMBOLS[dimension]
    per_second = dimension.times(TIME)
    if per_second in SYMBOLS and not SYMBOLS[per_second].endswith("/s"):
        return f"{SYMBOLS[per_second]}/s"
    top = [_factor(unit, n) for unit, n in zip("VAsm", dimension, strict=True) if n > 0]
    bottom = [_factor(unit, -n) for unit, n in zip("VAsm", dimension, strict=True) if n < 0]
    return ("·".join(top) or "1") + ("/" + "/".join(bottom) if bottom else "")


def _factor(unit: str, exponent: int) -> str:
    return unit if exponent == 1 else f"{unit}^{exponent}"


PREFIXES: dict[str, int] = {
    "Q": 30, "R": 27, "Y": 24, "Z": 21, "E": 18, "P": 15, "T": 12, "G": 9, "M": 6, "k": 3, "h": 2, "da": 1,
    "d": -1, "c": -2, "m": -3, "μ": -6, "n": -9, "p": -12, "f": -15, "a": -18, "z": -21, "y": -24,
    "r": -27, "q": -30,
}  # fmt: skip
"""SI prefix symbols and their powers of ten (SI Brochure, 9th edition, table 7)."""
