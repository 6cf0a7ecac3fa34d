"""Values as an instructor would write them (engineering prefix, sensible digits, SI symbol), and waveforms as other programs read them."""

import math
from collections.abc import Iterable, Sequence
from typing import Any

from grader.values.dimension import (
    CAPACITANCE,
    CHARGE,
    CONDUCTANCE,
    CURRENT,
    ENERGY,
    FLUX,
    INDUCTANCE,
    LENGTH,
    POWER,
    RESISTANCE,
    TIME,
    VOLTAGE,
    Dimension,
    unit_symbol,
)
from grader.values.scalar import scalar_text
from grader.values.term import Term
from grader.values.waveform import Waveform

DIGITS = 4
"""Significant digits shown: one more than the three that a 1 % answer needs (common practice, no source)."""

_PREFIX_OF_THOUSAND = {-5: "f", -4: "p", -3: "n", -2: "μ", -1: "m", 0: "", 1: "k", 2: "M", 3: "G", 4: "T"}
_PREFIXED = {
    VOLTAGE, CURRENT, TIME, RESISTANCE, CONDUCTANCE, POWER, ENERGY, CHARGE, FLUX, CAPACITANCE, INDUCTANCE, LENGTH,
}  # fmt: skip


def value_text(value: float, dimension: Dimension, digits: int = DIGITS) -> str:
    """Write a value in SI base units with the prefix that leaves 1 to 999 before the point.

    Parameters
    ----------
    value : float
        In SI base units without prefix.
    dimension : Dimension
        Chooses the unit's symbol; rates, areas and plain numbers carry no prefix.
    digits : int
        Significant digits kept; trailing zeros are not written.

    Examples
    --------
    >>> value_text(0.0024, CURRENT)
    '2.4 mA'
    >>> value_text(0.0, VOLTAGE)
    '0 V'
    >>> value_text(12345.6, RESISTANCE)
    '12.35 kΩ'
    """
    scale, symbol = prefixed_unit(value, dimension, digits)
    number = number_text(value / scale, digits)
    return f"{number} {symbol}" if symbol else number


def prefixed_unit(value: float, dimension: Dimension, digits: int = DIGITS) -> tuple[float, str]:
    """The size and the symbol of the unit that suits a value: ``(0.001, "mA")``."""
    symbol = unit_symbol(dimension)
    if value == 0 or dimension not in _PREFIXED or not math.isfinite(value):
        return 1.0, symbol
    thousands = math.floor(math.log10(abs(float(f"{value:.{digits - 1}e}"))) / 3)
    thousands = max(min(thousands, 4), -5)
    if dimension == TIME:
        thousands = min(thousands, 0)  # nobody writes kiloseconds
    return 1000.0**thousands, f"{_PREFIX_OF_THOUSAND[thousands]}{symbol}"


def number_text(number: float, digits: int = DIGITS) -> str:
    """A plain number to `digits` significant digits, without trailing zeros; powers of ten where long.

    Examples
    --------
    >>> number_text(-0.36363636)
    '-0.3636'
    >>> number_text(5e7)
    '5e7'
    """
    if number == 0:
        return "0"
    if not math.isfinite(number):
        return "∞" if number > 0 else "−∞"
    rounded = float(f"{number:.{digits - 1}e}")
    if 1e-4 <= abs(rounded) < 1e6:
        places = max(digits - 1 - math.floor(math.log10(abs(rounded))), 0)
        text = f"{rounded:.{places}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    mantissa, exponent = f"{rounded:.{digits - 1}e}".split("e")
    mantissa = mantissa.rstrip("0").rstrip(".") if "." in mantissa else mantissa
    return f"{mantissa}e{int(exponent)}"


def listed(names: Sequence[str]) -> str:
    """``R1``, ``R1 and R2``, ``R1, R2 and R3``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def quoted(ids: Iterable[str]) -> str:
    """Ids in a sentence: ``'start' and 'tau'``."""
    return listed([f"'{id}'" for id in ids])


def waveform_text(w: Waveform) -> str:
    """Exact text in ``t`` that sympy's parser reads: ``exp``, ``cos``, ``sin``, ``sqrt``, fractions."""
    return " + ".join(_term_text(t) for t in w.terms) or "0"


def _term_text(t: Term) -> str:
    factors: list[str] = []
    if t.power:
        factors.append("t" if t.power == 1 else f"t**{t.power}")
    exponent = _linear_text(t.rate, t.offset)
    if exponent:
        factors.append(f"exp({exponent})")
    angle = _linear_text(t.frequency, t.phase)
    if not angle:
        return "*".join([f"({scalar_text(t.cosine)})", *factors])
    waves = []
    if t.cosine != 0:
        waves.append(f"({scalar_text(t.cosine)})*cos({angle})")
    if t.sine != 0:
        waves.append(f"({scalar_text(t.sine)})*sin({angle})")
    return "*".join([*factors, f"({' + '.join(waves)})"])


def _linear_text(slope: Any, offset: Any) -> str:
    pieces = []
    if slope != 0:
        pieces.append(f"({scalar_text(slope)})*t")
    if offset != 0:
        pieces.append(f"({scalar_text(offset)})")
    return " + ".join(pieces)
