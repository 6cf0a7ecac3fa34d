"""Phrases in place of signs, and what people say around a value: brought to signs, or overwritten with blanks.

Each replacement is as long as what it replaces, so that places stay places in the text.
"""

import re
import tomllib
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

from grader.regex import regex


@lru_cache(maxsize=2)
def _signs(table: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """A table of signs in words, ready to be found."""
    rows = tomllib.loads(Path(__file__).with_name("signs.toml").read_text(encoding="utf-8"))[table]
    return tuple((regex(row["pattern"], re.NOFLAG if row.get("case") else re.IGNORECASE), row["sign"]) for row in rows)


_TO_INFINITY = regex(
    r"[(\[{_]*\s*(?:\b(?:as|for|when|at|bei|für)\s+)?\bt\s*(?:-+>|→|=>?|\bto\b|\bgegen\b|\bgoes\s+to\b)\s*\+?"
    r"(?:∞|\binf(?:inity|ty|inite)?\b|\boo\b|\bunendlich\b)\s*[)\]}]*",
    re.IGNORECASE,
)
"""``6 A as t → ∞`` says when, and is no part of the value; the one in ``i(t→∞)`` belongs to the name."""

_EMPHASIS = regex(
    r"(?<![\w)\]}*])\*\*(?=[^\s*])([^*\n]*(?:\*[^*\n]+)*+(?:\*\*(?=[(\w.-])[^*\n]*(?:\*[^*\n]+)*+)*)(?<=[^\s*])\*\*(?![\w(\[*-]|\.[0-9])"
)
"""``so **2.4 mA** flow``: marks of bold text; a power has something on both sides."""
_MARKDOWN = regex(r"\s*(\*{1,3}|__?|`+)(?=[^*_`]).*[^*_`\s]\1\s*", re.DOTALL)
"""``*2.4 mA*``: marks of slanted, bold or typewriter text around a whole answer."""

_DECORATION = regex(
    r"\A\s*[\u2713\u2714\u2705\u2611]\ufe0f?(?=\s*[-+(\w.])|[(\[]?(?:(?![\u2715-\u2718\u274c\u274e])"
    r"[\u2190\u2191\u2193-\u21ff\u2300-\u23ff\u2460-\u27bf\u2900-\u297f\u2b00-\u2bff\ufe0f\U0001f000-\U0001faff])+[)\]]?(?=[\W_]*$)"
)
"""Arrows, ticks and little pictures behind an answer, a tick in front of it (Unicode blocks of arrows, dingbats, emoji); → is a sign, a cross takes back."""

_FRAME = regex(
    r"\A\s*(?:\(?(?:[1-9][a-h]?|[a-e])\)(?=\s+\S)|>{2,}|={2,}>?|=>(?=.*<=\s*\Z)|[1-9]\.\s+(?=[-+])|\*(?=\s*[^\s*])(?!.*\S\*\s*\Z))|(?:<{2,}|<=|={2,}|//)\s*\Z"
)
"""What stands around a whole answer: its number, a bullet, arrow heads, a double stroke."""
_LEFT_OPEN = regex(r"\*{2,}\s*\Z")
"""``30 ms**``: bold text that began in front of the item's name."""

NEEDS_PHRASES = regex(
    r"(?=[tbdcjlhpyravseuqkевзとにでな单単\u2190-\u2bff\U0001f000-\U0001faff])(?:\b(?:to\s+the|by|durch|cent|lim|limes)\b|\bt\s*(?:[-=→>]|to\b|gegen\b|goes\b)"
    r"|[hpy]\.[a-z]|lambda\s|\b(?:power|radians|degrees|complex|array|pi)\(|\bplus\b|equal|square|squared|\bcubed|quadrat|carré|cuadrado|quadrado|kwadratu|\bpow\(|\bp(?:ro|or|ar|er|re)\s|\b(?:every|each|je|cada|al|в|за)\s|なる|なります|です|である|\bas\s+well|reciprocal|parallel\b|paral[lè]+l|s[eé]ries?\b|reihe\b|\bdec|\beinh|\bunit[éà]|\bunidad|\bjedn|един|[单単]位|\bd\.?\s?p|\bs\.?\s?f|\bsig|[AVd]s\^?\(?-1|[\u2190-\u21ff\u2300-\u2bff\U0001f000-\U0001faff])|\A\s*(?:[^\W\d_]{1,10}'?[^\W\d_]*[\s,:.)]|[*_`]{1,2}[^*_`]|[(>]|[1-9]\))|(?:<<|//)\s*\Z|(?<![\w)\]}*])\*\*[^\s*]|/\s?[0-9.]+j|\b(?:roots|a(?:rc)?tan2)\(",
    re.IGNORECASE,
)
"""A glance that tells whether there may be anything to do; the set of first characters in front makes it a quick one."""


ODD_SIGNS = regex(
    r"'[^\W\d_]{4}|\A\s*0\s?[-+]\s*:|\A\s*=|(?=[|@(oOKA-H,;%h.t1aIi∫!'是于为はnp=w/cs#\[gd±…e约約およくぐ左大])(?:[约約左]|およ|[くぐ]ら|w/|[A-H]:\s|In\s?[(0-9]|\.\s?10|/\*|\([0-9.\s]+\)\s*:|#[0-9\s]|no\.?\s?[0-9]|[(\[]\s?see|print|disp|within|with\s[0-9]|give\s|±\s?[0-9]|\(\s?±|…|etc|\(\s?(?:ok|right|corr|hope|is|\?|[0-9]+\s?[pm])|%\s?[scdr]|c\.\s|ok[\s,]|see\s|to\s[0-9]|[∫是于为は]|'(?:ll|[rv]e)\b|!=|=[/!]=|!\s|I(?:'d)?\s|i\s[tgbhs]|\(\s?(?:[+±]|t\s?[>≥])|\|\s?[_{(t0]|@\s?[t(]|\bof\s+[aitw]|K[VC]L|,\s*(?:times|mult|div)|[,;]\s+(?:and\s+)?(?:\+|plus|minus)|%(?:e|pi)\b|half[\s-]?li|\bat\s|\b(?:not?|nicht|pas|não|non)\s|\.\.|\bt\s*[<>≥≤=]|[1a][).]\s)"
)
"""The same for what is rare: ``(+/-)``, ``|0+``, ``@(t)``, ``of it``, ``KVL:``, ``1)``."""


def without_frame(text: str) -> str:
    """The text without what stands around a whole answer; where options are asked their letters stand so, and are the answer."""
    if text.count("**") == 1:
        text = _LEFT_OPEN.sub(lambda match: " " * len(match[0]), text)
    return _FRAME.sub(lambda match: " " * len(match[0]), text)


def without_phrases(text: str) -> str:
    """The text with its phrases replaced.

    Examples
    --------
    >>> without_phrases("e to the power of -2").split()
    ['e', '^', '-2']
    """
    if (marked := _MARKDOWN.fullmatch(text)) is not None:
        inner, mark = text.strip(), len(marked[1])
        text = text.replace(inner, inner[mark:-mark].center(len(inner)))
    text = _EMPHASIS.sub(lambda match: match[1].center(len(match[0])), text)
    text = _DECORATION.sub(lambda match: " " * len(match[0]), text)
    text = with_signs(text, "row")
    text = _TO_INFINITY.sub(lambda match: _blank_or_name(text, match), text)
    return text


def with_signs(text: str, table: str) -> str:
    """The text with the words of a table as signs; ``roots``: what is said where roots are asked."""
    for pattern, sign in _signs(table):
        text = pattern.sub(_expanded(sign), text)
    return text


def _expanded(sign: str) -> Callable[[re.Match[str]], str]:
    return lambda match: match.expand(sign).ljust(len(match[0]))


def _blank_or_name(text: str, match: re.Match[str]) -> str:
    """``i(t→∞)`` becomes ``i(∞)``; elsewhere the phrase says when, and is overwritten."""
    before = text[match.start() - 1 : match.start()]
    if match[0][0] == "(" and match[0][-1] == ")" and before.isalnum() and not text[: match.start()].endswith("lim"):
        return "(∞)".ljust(len(match[0]))
    return " " * len(match[0])
