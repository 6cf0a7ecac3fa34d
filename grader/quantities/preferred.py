"""Preferred values: the sizes that parts are made in.

References
----------
IEC 60063:2015, Preferred number series for resistors and capacitors: series E3, E6, E12 and E24.
"""

from flint import fmpq

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)

SERIES: dict[int, tuple[int, ...]] = {24: _E24, 12: _E24[::2], 6: _E24[::4], 3: _E24[::8]}
"""The first decade of each series, times ten; each is every other value of the next."""


def preferred(low: fmpq, high: fmpq, series: int) -> tuple[fmpq, ...]:
    """All preferred values from `low` to `high`, both included, smallest first.

    Parameters
    ----------
    low, high : fmpq
        Greater than zero, in any unit of decimal size.
    series : int
        3, 6, 12 or 24.

    Examples
    --------
    >>> [int(v) for v in preferred(fmpq(1000), fmpq(4700), 6)]
    [1000, 1500, 2200, 3300, 4700]
    """
    assert 0 < low <= high, "preferred values are positive"
    found = []
    decade = fmpq(1)
    while decade * 10 <= low:
        decade *= 10
    while decade > low:
        decade /= 10
    while decade <= high:
        found += [value for first in SERIES[series] if low <= (value := decade * first / 10) <= high]
        decade *= 10
    return tuple(found)
