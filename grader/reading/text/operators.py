"""Differential and characteristic equations as polynomials: ``v'' + 6 v' + 25 v = 125`` as ``D^2*x + 6 D*x + 25 x - (125)``.

The letter D stands for the derivative d/dt (or the s of a characteristic equation, which would be taken for the second), x
for the quantity itself; everything is brought to one side.
"""

import re
from unicodedata import normalize

from grader.regex import regex

OPERATOR, QUANTITY = "D", "x"
"""The names in what comes out."""

_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
_SHORT_FRACTION = regex(r"(?<=frac)\s*([0-9])\s*([0-9])(?![0-9])")
_FRACTION = regex(r"\\[dt]?frac\s*\{([^{}]*(?:\{[^{}]*\}[^{}]*)*)\}\s*\{([^{}]*(?:\{[^{}]*\}[^{}]*)*)\}")
_END = regex(r"[\s$]*+(?:\\\\[\s$]*+)?$")
_DOTS = regex(r"\\(d+)ot\s*\{?\s*([A-Za-z]\w*)\s*\}?((?:_\{?\w+\}?)?)")
_UPRIGHT = regex(r"\\(?:mathrm|text|operatorname|rm)\s*\{\s*d\s*\}")
_X = r"(?:(?P<x>[A-Za-z]\w*?)(?:\s*\(\s*t\s*\))?|\(\s*(?P<x2>[A-Za-z]\w*)\s*\))"
_RAISED = r"(?:\^\s*\{?|\*\*)?"
_ORDER = rf"\s*{_RAISED}\s*(?P<n>[1-9]?)\}}?"
_DT = rf"(?:d\s*t\s*(?:{_RAISED}\s*[1-9]\}}?)?|\(\s*d\s*t\s*(?:{_RAISED}\s*[1-9]\}}?)?\s*\))"
_FACTORS = r"(?P<factors>(?:[RLCG][0-9]?)+(?=[a-z]))?"
"""The elements' values in ``RCv'`` and ``Ri``, written together with the quantity."""
_DERIVATIVES = (
    regex(
        rf"(?<![A-Za-z_]){_FACTORS}d\s*{_X}\s*{_RAISED}\s*(?P<n>[2-9])\}}?\s*/\s*{_DT}"
    ),  # dv^2/dt^2, a slip of the pen
    regex(rf"(?<![A-Za-z_]){_FACTORS}d{_ORDER}\s*{_X}\s*/\s*{_DT}"),  # d2v/dt2
    regex(rf"(?<![A-Za-z_]){_FACTORS}d{_ORDER}\s*/\s*{_DT}\s*{_X}(?!\w)"),  # d/dt v
    regex(rf"(?<![A-Za-z]){_FACTORS}(?P<x>[A-Za-z]\w*?)(?:\s*\(\s*t\s*\))?\s*(?P<marks>['′’\"″]+)(?:\s*\(\s*t\s*\))?"),
    regex(rf"(?<![A-Za-z_])D{_ORDER}\s*(?P<x>[A-Za-z]\w*)"),  # D²v
)
_APPLIED = regex(r"\)\s*[*·]?\s*(?P<x>[A-Za-z]\w*)(?:\s*\(\s*t\s*\))?(?=\s*[-+=]|\s*$)")
"""``(D² + 7D + 10) v = 60``"""
_STARTS = regex(
    r"(?<=[\w\s])(?:(?<!\s)|(?=\S))\s*+[,;(]?\s*+(?:\b(?:with|and|where|mit|und|avec|con)\b\s*+)?[A-Za-z]\w*['′’]*\s*\(\s*0\s*[-+]?\s*\)\s*['′’]*\s*=\s*[-+]?[0-9][^,;)]*?"
    r"(?=[,;)]|\b(?:and|und)\b|$)\)?"
)
"""The initial values stated beside an equation."""
_OF_BRACKETS = regex(rf"(?<![A-Za-z_])d\s*/\s*{_DT}\s*(?=\()")
_POWER = regex(rf"(?<![A-Za-z_]){_FACTORS}(?P<s>[srmpDλSz])\s*(?:\^|\*\*)")
_ALONE = regex(rf"(?<![A-Za-z_]){_FACTORS}(?P<s>[srmpDλSz])(?![A-Za-z_'(])")
_OTHERS = regex(r"(?<![A-Za-z_\\])[xu](?![A-Za-z_0-9'′’\"(])")
_LABEL = regex(r"^\s*\w+\s*\(\s*\w\s*\)\s*[:=]")
_UNIT = regex(r"(?<=[\d)])\s*(?:[VAC]|Wb|rad)?(?:\s*/\s*s(?:\s*\^?\s*2)?)?\s*$")
_LIST = regex(r"(?:[a-z]\w?\s*=\s*)?([-+]?\d[\d.eE+-]*)")
_NAMED = r"(?![srmpDλSzxyviuq]\s*=)[^\W\d]\w{0,3}\s*=\s*[-+]?[0-9.][^=,;()]*"
_GIVEN = regex(
    rf"\s*(?:[,;(]\s*(?:(?:with|where|mit|avec|con)\s+)?|\s(?:with|where|mit|avec|con)\s+)(?P<given>{_NAMED}(?:(?:[,;]|\sand\s|\sund\s)\s*{_NAMED})*)\)?\s*$"
)
"""The values of letters beside an equation: ``v'' + 2a v' + b v = 0, a = 30, b = 2500``; the quantity and the operator are none."""
_ROOTS_BESIDE = regex(
    r"(?<=[0-9])\s*[,;]\s*(?:so\s+|and\s+)?[srpmDλ](?:_?\{?1(?:\s?[,/]\s?2)?\}?)?\s*=[^=]*(?:=[^=]*)?$"
)
"""``s^2 + 60 s + 500 = 0, s = -10, -50``: what the equation is solved by."""
_SO = regex(r"\s*(?:=>|⇒|->|→|∴)")
_ACCENTS = (("\N{COMBINING DOT ABOVE}", "'"), ("\N{COMBINING DIAERESIS}", "''"))


def in_operators(text: str) -> str:
    """An equation as a polynomial of `OPERATOR` and `QUANTITY`; a list of coefficients, highest power first, too.

    Examples
    --------
    >>> in_operators("d²v/dt² + 6 dv/dt + 25 v = 125 V/s²")
    '(D^2*x) + 6 (D*x)+ 25 x-(125)'
    >>> in_operators("λ^2 + 6λ + 25 = 0"), in_operators("1, 6, 25")
    ('D^2 + 6D + 25', '(1)*D^2+(6)*D+(25)')
    """
    return _in_operators(text)[0]


def letters_of(text: str) -> tuple[str, str]:
    """The letter of an equation's quantity, "" where it has no derivative; and the one that stands for `OPERATOR`, if any.

    Examples
    --------
    >>> letters_of("d²v/dt² + 6 dv/dt + 25 v = 125 V/s²"), letters_of("λ^2 + 6λ + 25 = 0")
    (('v', ''), ('', 'λ'))
    """
    return _in_operators(text)[1:]


def _in_operators(text: str) -> tuple[str, str, str]:
    """What `in_operators` and `letters_of` give."""
    text = _in_one_alphabet(text)
    listed = _coefficients(text)
    if listed:
        return "+".join(f"({value}){_power(len(listed) - 1 - k)}" for k, value in enumerate(listed)), "", ""
    text = _ROOTS_BESIDE.sub("", text)
    given = _GIVEN.search(text)
    text = _in_one_line(text if given is None else text[: given.start()])
    if "=" in (left := _STARTS.sub("", text)):
        text = left
    names = [found for pattern in _DERIVATIVES for match in pattern.finditer(text) if (found := _quantity(match))]
    if names and names[0] != QUANTITY:
        text = _OTHERS.sub(r"f_\g<0>", text)  # what drives it is called so: neither our x nor a prefix
    for pattern in _DERIVATIVES:
        text = pattern.sub(_derivative, text)
    text = _OF_BRACKETS.sub(f"{OPERATOR}*", text)
    if names:
        name, own = names[0], ""
        quantity = rf"(?<![A-Za-z_\\]){_FACTORS}{re.escape(name)}(?:\s*\(\s*t\s*\))?(?!\w)"
        text = re.sub(quantity, lambda match: _with_factors(match, QUANTITY), text)
    else:
        text, name, own = _without_derivatives(text)
    left, equals, right = text.partition("=")
    right = _UNIT.sub("", right.strip())
    whole = left.strip() if not equals or right in ("0", "") else f"{left.strip()}-({right})"
    return (whole if given is None else f"{whole}, {given['given']}"), name, own


def _in_one_alphabet(text: str) -> str:
    """An equation up to what is concluded from it, its dots above and raised digits as signs of the line."""
    text = _SO.split(normalize("NFD", text))[0].strip().rstrip(".")
    for accent, primes in _ACCENTS:
        text = text.replace(accent, primes)
    return re.sub(r"[⁰¹²³⁴⁵⁶⁷⁸⁹]+", lambda match: "^" + match[0].translate(_SUPERSCRIPTS), text)


def _in_one_line(text: str) -> str:
    """An equation without the commands that draw its derivatives and fractions."""
    text = _SHORT_FRACTION.sub(r"{\1}{\2}", _UPRIGHT.sub("d", _END.sub("", text)))
    text = _DOTS.sub(lambda match: match[2] + match[3] + "'" * len(match[1]), text)
    while (fractions := _FRACTION.sub(_over, text)) != text:
        text = fractions
    return text


def _without_derivatives(text: str) -> tuple[str, str, str]:
    """An equation in its own operator's letter, written in ours; the quantity that a bracket is applied to, if any, and that letter."""
    text, name = _LABEL.sub("", text), ""
    applied = _APPLIED.search(text)
    if applied is not None and _ALONE.fullmatch(applied["x"]) is None:
        name = applied["x"]
        text = f"{text[: applied.start() + 1]}*{QUANTITY}{text[applied.end() :]}"
    letter = _POWER.search(text) or _ALONE.search(text)
    if letter is None:
        return text, name, ""
    own = rf"(?<![A-Za-z_]){_FACTORS}{letter['s']}(?![A-Za-z_])"
    return re.sub(own, lambda match: _with_factors(match, OPERATOR), text), name, letter["s"]


def _with_factors(match: re.Match[str], name: str) -> str:
    """A name, behind the values that were written together with it."""
    return f"{match['factors']} {name}" if match["factors"] else name


def _over(match: re.Match[str]) -> str:
    """A drawn fraction in one line; that of a derivative keeps the shape it is known by."""
    top, bottom = match[1], match[2]
    return f" {top}/({bottom})" if re.match(r"\s*d\s*t", bottom) else f"(({top})/({bottom}))"


def _coefficients(text: str) -> list[str]:
    """The numbers of a plain list; none where it is something else."""
    parts = [part for part in re.split(r"\s*;\s*|\s*,\s+|\s+", re.sub(r"\s*=\s*", "=", text.strip("[](){} "))) if part]
    found = [_LIST.fullmatch(part) for part in parts]
    return [one[1] for one in found if one] if len(parts) > 1 and all(found) else []


def _power(exponent: int) -> str:
    return "" if exponent == 0 else f"*{OPERATOR}" if exponent == 1 else f"*{OPERATOR}^{exponent}"


def _quantity(match: re.Match[str]) -> str:
    """The name of what is derived."""
    found = match.groupdict()
    return found["x"] or found.get("x2") or QUANTITY


def _derivative(match: re.Match[str]) -> str:
    """One derivative in operators."""
    found = match.groupdict()
    marks = found.get("marks") or ""
    order = sum(2 if mark in '″"' else 1 for mark in marks) or int(found.get("n") or 1)
    derived = f"({OPERATOR}^{order}*{QUANTITY})" if order > 1 else f"({OPERATOR}*{QUANTITY})"
    return _with_factors(match, derived) if "factors" in found else derived
