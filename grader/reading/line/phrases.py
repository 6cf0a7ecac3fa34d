"""The table of phrases, ready to be found in a line."""

import re
import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from grader.reading.tokens.vocabulary import ZERO_WORDS
from grader.regex import regex


@lru_cache(maxsize=1)
def _rows() -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("phrases.toml").read_text(encoding="utf-8"))[
        "row"
    ]
    return rows


@lru_cache
def opened(*kinds: str) -> dict[str, str]:
    """The phrases that open something of these kinds, and which."""
    return {in_table(one): row["opens"] for row in _rows() if row["opens"] in kinds for one in row["phrases"]}


_FOLDED = str.maketrans("ıİſ", "iis")
"""Letters that a search without letter case takes for others, and `str.lower` does not."""


def in_table(text: str) -> str:
    """A phrase found in a line, as the table has it."""
    return re.sub(r"\s+", " ", text.translate(_FOLDED).lower())


def spelled(text: str) -> str:
    """A phrase found in a line without the signs around it, as the table has it."""
    return in_table(text.strip(" .!?,;"))


@lru_cache
def phrase_of(*kinds: str) -> re.Pattern[str]:
    """Any phrase of some kinds, longest first: words whole, signs and words of scripts without blanks anywhere.

    Words are parted by their first letter: else every one of hundreds would be tried at the start of each word of a line.
    """
    longest = sorted(opened(*kinds), key=len, reverse=True)
    other = [re.escape(one) for one in longest if not one[0].isalpha() or one[0] >= "\u2e80"]
    by_letter: dict[str, list[str]] = {}
    for one in longest:
        if one[0].isalpha() and one[0] < "\u2e80":
            by_letter.setdefault(one[0], []).append(re.escape(one[1:]).replace(r"\ ", r"\s+"))
    whole = "|".join(f"{letter}(?:{'|'.join(rest)})" for letter, rest in by_letter.items())
    return regex("|".join((rf"(?<![\w.])(?:{whole})(?![\w'(^])", *other)), re.IGNORECASE)


def says(text: str, kind: str) -> bool:
    """Whether a text says a phrase of a kind and nothing else, letter case and full stops aside."""
    return spelled(text) in opened(kind)


def without_lead(text: str) -> str:
    """A text without what leads up to its value, overwritten by blanks: ``it stays at 2 A``, ``decays to zero``."""
    lead = _lead().match(text)
    return text if lead is None else " " * lead.end() + text[lead.end() :]


@lru_cache(maxsize=1)
def _lead() -> re.Pattern[str]:
    values = "|".join(sorted(ZERO_WORDS, key=len, reverse=True))
    return regex(
        rf"\s*(?:(?:{phrase_of('lead').pattern})(?:[\s,:=]|\.(?![0-9]))*)+(?=[-+±]?\s*[0-9.,]|(?:{values})\b)",
        re.IGNORECASE,
    )
