"""Words, figures and signs of a text, and the phrases of the table in them."""

from functools import lru_cache
from typing import NamedTuple
from unicodedata import combining, normalize

from grader.reading.line.phrases import opened
from grader.reading.options import in_one_alphabet
from grader.regex import regex

_HYPHEN = regex(r"(?<=[^\W\d_])-(?=[^\W\d_])")
_DENIED = regex(r"\bnot\s*\(|\bnon-\s*(?=\S)|[!¬~](?=[^\W\d_])")
_CONTRACTED = regex(r"\b(do|does|did|is|are|was|were|would|could|should|ca|wo|will)n'?t\b")
_IN_FULL = {"ca": "can", "wo": "will"}
_INSTANT = regex(
    r"\(\s*(?:t\s*=\s*)?0\s*([+-])\s*\)|(?:\bt\s*=\s*|(?<![\w.,+*/^-])(?<![+*/^-]\s))0\^?([+-])(?!\s*[\w.(])"
)
_AT_LAST = regex(r"\(\s*(?:t\s*(?:=|→|->)\s*)?(?:∞|inf(?:inity|ty)?)\s*\)|\bt\s*(?:=|→|->)\s*(?:∞|inf(?:inity|ty)?\b)")
_ANY_MORE = regex(r"\bany\s?(?:more|longer)\b")
"""``does not rise any more``: no more than that it does not."""
_TOKEN = regex(r"[0-9]+(?:[.,][0-9]+)*|[^\W_\u3040-\u30ff\u3400-\u9fff]+|\S")


class Token(NamedTuple):
    """A word, a figure, a sign or a phrase: its text, and the kind that the table gives it, or ``""``."""

    text: str
    kind: str = ""


@lru_cache(maxsize=1024)
def spelled(text: str) -> tuple[str, ...]:
    """The words, figures and signs of a text in small letters, without accents; of a script without blanks each sign."""
    text = in_one_alphabet(text.replace("|", " "))
    text = _INSTANT.sub(lambda match: " after " if "+" in match[0] else " before ", text)
    text = _AT_LAST.sub(" in the end ", text)
    text = _CONTRACTED.sub(lambda match: f"{_IN_FULL.get(match[1], match[1])} not", text)
    text = _ANY_MORE.sub(" ", _DENIED.sub(" not ", text))
    signs = normalize("NFKD", _HYPHEN.sub(" ", text).replace("ß", "ss").replace("ı", "i").replace("_", ""))
    return tuple(_TOKEN.findall("".join(sign for sign in signs if not combining(sign))))


@lru_cache(maxsize=64)
def table(*kinds: str) -> dict[tuple[str, ...], str]:
    """The phrases of some kinds; of one that opens several, the kind named last."""
    return {spelled(phrase): kind for kind in kinds for phrase in opened(kind)}


@lru_cache(maxsize=64)
def _longest(*kinds: str) -> int:
    return max(map(len, table(*kinds)))


def phrase_at(words: tuple[str, ...], place: int, *kinds: str) -> tuple[str, int]:
    """The kind of the longest phrase that begins at a place, and where it ends; ``""`` and the place itself for none."""
    known = table(*kinds)
    for end in range(min(len(words), place + _longest(*kinds)), place, -1):
        kind = known.get(words[place:end])
        if kind:
            return kind, end
    return "", place


def tokens(words: tuple[str, ...], *kinds: str) -> list[Token]:
    """The words with the phrases of some kinds put together, longest first."""
    found, place = [], 0
    while place < len(words):
        kind, end = phrase_at(words, place, *kinds)
        end = max(end, place + 1)
        found.append(Token(" ".join(words[place:end]), kind))
        place = end
    return found
