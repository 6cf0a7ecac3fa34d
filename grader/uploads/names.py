"""When two names are the same: ids and headings as people write them."""

import re
import unicodedata

from grader.regex import regex

_LOOKALIKES = str.maketrans(
    "АВСЕНІЈКМОРЅТХУЬавсеіјкморѕтхуԁԛԝ"  # Cyrillic
    "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧαικνορτυχ",  # Greek
    "ABCEHIJKMOPSTXYbabceijkmopstxydqwABEZHIKMNOPTYXaikvoptux",
)
"""Cyrillic and Greek letters drawn like Latin ones.

A short list from memory of the pairs that Unicode Technical Standard 39 calls confusable; not checked against its table.
"""

_UNSEEN = {"Cf", "Cc"}
_SEPARATORS = regex(r"[\W_]+")


def folded(text: str) -> str:
    r"""Fold what nobody means as a difference: width, case, composed accents, invisible characters, outer blanks.

    Unicode NFKC and case folding.

    Examples
    --------
    >>> folded(" Ｓ００12\u200b "), folded("É") == folded("E\u0301")
    ('s0012', True)
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.casefold().split())
    return " ".join(unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", seen(text)).casefold()).split())


def seen(text: str) -> str:
    r"""A text without what cannot be seen in it or turns its direction.

    Examples
    --------
    >>> seen("S00\u202e12\0")
    'S0012'
    """
    if text.isprintable():
        return text
    return "".join(
        character for character in text if character in "\t\n" or unicodedata.category(character) not in _UNSEEN
    )


def tokens(text: str) -> tuple[str, ...]:
    """Split into runs of letters and digits, folded.

    Examples
    --------
    >>> tokens("hw_S0012_v2.xlsx")
    ('hw', 's0012', 'v2', 'xlsx')
    """
    return tuple(part for part in _SEPARATORS.split(folded(text)) if part)


def latinised(text: str) -> str:
    """Replace Cyrillic and Greek letters by the Latin ones they look like, to tell a person what was probably meant."""
    return text.translate(_LOOKALIKES)


def key(text: str) -> str:
    """Fold further, for headings and item ids: blanks, hyphens, minus signs and underscores do not matter.

    Examples
    --------
    >>> key("Time-constant "), key("time_constant"), key("v0⁻")
    ('timeconstant', 'timeconstant', 'v0')
    """
    return re.sub(r"[\s_\-‐-―−]+", "", folded(text))


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Order names as people do: ``v10`` after ``v9``, and a name before the same name with more to it.

    Examples
    --------
    >>> sorted(["hw_v10", "hw_v9", "hw"], key=natural)
    ['hw', 'hw_v9', 'hw_v10']
    """
    ordered = []
    for part in re.findall(r"\d+|\D+", folded(text)):
        digits = part.lstrip("0")
        ordered.append((0, len(digits), digits) if part[0].isdecimal() else (1, 0, part))
    return tuple(ordered)
