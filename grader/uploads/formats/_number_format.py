"""What a number format of a spreadsheet cell makes of the number (ECMA-376, part 1, 18.8.30 and 18.8.31)."""

import re
from dataclasses import dataclass
from functools import lru_cache

_DATES = {14, 15, 16, 17, 22, *range(27, 32), 34, 35, 36, *range(50, 55), 57, 58}
_TIMES = {18, 19, 20, 21, 32, 33, 45, 46, 47, 55, 56}
_PERCENTS = {9, 10}
_MONTH_YEAR = 17
"""Number formats that have no code in the file."""

_NOT_PLACES = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?![hms]+\])[^\]]*\]', re.IGNORECASE)
_BEHIND = re.compile(r'[0#?]((?:"[^"]*"|\\.|\s)+)$')
"""Text in quotation marks, or with a backslash before each letter, behind the last digit's place."""


@dataclass(frozen=True, slots=True)
class NumberFormat:
    """Whether a number is shown as a percentage, a date (with its day?) or a time, and the unit written behind it."""

    percent: bool = False
    date: bool = False
    day: bool = True
    time: bool = False
    unit: str = ""


@lru_cache(maxsize=512)
def number_format(id: int, code: str | None = None) -> NumberFormat:
    """Understand a number format by its number and, where the file gives one, its code.

    Examples
    --------
    >>> number_format(16).date, number_format(164, "0.00%").percent, number_format(165, '0.0" mA"').unit
    (True, True, 'mA')
    """
    if code is None:
        return NumberFormat(percent=id in _PERCENTS, date=id in _DATES, day=id != _MONTH_YEAR, time=id in _TIMES)
    first = code[:255].split(";")[0]
    places = _NOT_PLACES.sub("", first).casefold()
    if "general" in places:
        return NumberFormat()
    dated = any(letter in places for letter in "yd") or ("m" in places and not any(letter in places for letter in "hs"))
    timed = not dated and any(letter in places for letter in "hs")
    behind = _BEHIND.search(first)
    unit = re.sub(r'["\\]', "", behind[1]).strip() if behind else ""
    return NumberFormat(percent="%" in places, date=dated, day="d" in places, time=timed, unit=unit)
