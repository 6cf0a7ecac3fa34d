"""Numbers stored as numbers, written as the shortest text that gives the same number."""

import math
from decimal import Decimal


def number_text(value: float) -> str:
    """Write a finite number with as few characters as give exactly that number again.

    Examples
    --------
    >>> number_text(0.0024), number_text(12.0), number_text(4.3499999999999996), number_text(1e-7), number_text(-0.0)
    ('0.0024', '12', '4.35', '1e-7', '0')
    """
    if value == 0:
        return "0"
    digits, _, exponent = repr(float(value)).partition("e")
    digits = digits.removesuffix(".0")
    return f"{digits}e{int(exponent)}" if exponent else digits


def percent_text(value: float) -> str:
    """Write a number as the percentage that a cell shows.

    Examples
    --------
    >>> percent_text(0.05), percent_text(0.632)
    ('5%', '63.2%')
    """
    return f"{number_text(float(Decimal(repr(float(value))) * 100))}%"


def finite(text: str) -> float | None:
    """The number that a file stores as text; None if it is none (``1_0`` is ten in a program alone)."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and "_" not in text else None
