"""Where s is the variable of a transform: the second in the unit of the whole is none."""

from __future__ import annotations

import re
from collections.abc import Container

from grader.values.laplace import VARIABLE

_UNIT_TIMES_SECOND = re.compile(r"(?<![A-Za-z])([munpkMGµ]?[VA])(\s*[·⋅*.-]\s*|\s+|)s\s*([\])]?)\s*$")
_OTHER_LETTER = re.compile(r"(?<![A-Za-z_])[Sp](?![A-Za-z_])")


def with_variable(text: str, names: Container[str]) -> str:
    """The variable written ``s``: a capital S, or a p where there is no s (as German books have it).

    Examples
    --------
    >>> with_variable("4S/(S+2)", ()), with_variable("12/(p+5)", ())
    ('4s/(s+2)', '12/(s+5)')
    """
    letters = set(_OTHER_LETTER.findall(text)) - {name for name in "Sp" if name in names}
    if re.search(r"(?<![A-Za-z_])s(?![A-Za-z_])", text) or len(letters) != 1:
        return text
    return _OTHER_LETTER.sub(VARIABLE, text)


def without_second(text: str, names: Container[str]) -> str:
    """``12/(s+5) V·s`` without its second; ``Vs`` stays where it is a name.

    Examples
    --------
    >>> without_second("12/(s + 5) mV s", ())
    '12/(s + 5) mV'
    """
    found = _UNIT_TIMES_SECOND.search(text)
    if found is None or (f"{found[1]}s" in names and not found[2]):
        return text
    return text[: found.end(1)] + found[3]
