"""One alphabet: unicode, LaTeX and text pasted from documents are brought to plain characters.

A single pass over the text; places in the result lead back to places in the original, so that a message to a
student points into what the student typed.
"""

import re
import tomllib
import unicodedata
from bisect import bisect_right
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

from msgspec import Struct

from grader.regex import regex

_TABLES: dict[str, Any] = tomllib.loads(Path(__file__).with_name("glyphs.toml").read_text(encoding="utf-8"))
_COMMANDS: dict[str, str] = {command: plain for plain, commands in _TABLES["commands"].items() for command in commands}
SINGLE, GREEK, _RAISED_ELSEWHERE = (
    {sign: str(plain) for plain, signs in _TABLES[name].items() for sign in signs}
    for name in ("single", "greek", "superscripts")
)


def _folded(signs: str) -> str:
    """Letters and signs in other forms (full-width, mathematical, raised, lowered) as plain ones."""
    return "".join(SINGLE.get(sign) or GREEK.get(sign) or sign for sign in unicodedata.normalize("NFKC", signs))


def _shifted(kind: str) -> dict[str, str]:
    """The raised or lowered characters of Latin-1, modifier letters, phonetic extensions, super- and subscripts, as plain ones."""
    blocks = ((0xB2, 0xB9), (0x2B0, 0x2FF), (0x1D00, 0x1DBF), (0x2070, 0x209F), (0x2C7C, 0x2C7D))
    signs = [chr(code) for first, last in blocks for code in range(first, last + 1)]
    return {sign: _folded(sign) for sign in signs if unicodedata.decomposition(sign).startswith(f"<{kind}>")}


_SUPERSCRIPTS, _SUBSCRIPTS = _shifted("super") | _RAISED_ELSEWHERE, _shifted("sub")
_RAISED = "".join(map(re.escape, (sign for sign, plain in _SUPERSCRIPTS.items() if plain not in "*.")))
_FRACTIONS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_FORMS_OF_LETTERS = regex("[\u2100-\u214f\u3371-\u33df\uff01-\uff5e\U0001d400-\U0001d7ff]")
"""Full-width and mathematical letters and digits, letter-like signs, units squared to one character (Unicode blocks)."""

_LIKE_LATIN = "АВЕКМНОРСТХаеорсух"
"""Cyrillic letters that a Latin one beside them was meant for."""
_BRACED = r"\b\*?\s*\{(?P<name>(?:[^{}]|\{[^{}]*\}|\{[^{}]*\{[^{}]*\}[^{}]*\})*)\}"
_IDEOGRAPHS = "\u3040-\u30ff\u4e00-\u9fff"
"""Letters of scripts without blanks between words (Unicode blocks); where others begin another word begins."""
_PIECE = regex(
    "|".join(
        rf"\\(?:{'|'.join(_TABLES[kind])})" + _BRACED.replace("name", name)
        for kind, name in (("styles", "styled"), ("strikes", "struck"), ("hides", "hidden"))
    )
    + r"|(?P<environment>\\(?:begin|end)\s*\{[^{}]*\})"
    r"|\\(?P<command>[A-Za-z]+)\s?"
    r"|\\(?P<escaped>.)"
    r"|(?P<circ>\^\s*\{?\s*\\circ\b\s*\}?)"
    r"|(?P<entity>&#?\w{2,8};)"
    r"|(?P<column>&)"
    r"|(?P<comma>\{,\})"
    rf"|(?P<mixed>(?<=[0-9]) ?[{_FRACTIONS}])"
    rf"|(?P<super>[{_RAISED}](?:[{''.join(map(re.escape, _SUPERSCRIPTS))}]*[{_RAISED}])?)"
    rf"|(?P<sub>[{''.join(_SUBSCRIPTS)}]+(?:,[{''.join(_SUBSCRIPTS)}]+)*)"
    r"|(?P<limit>(?<=[^\W\d_])(?:_\s?)?(?:∞|(?<=_)\\infty(?![^\W\d_])\s?))"
    rf"|(?P<latin>[{_LIKE_LATIN}](?=[A-Za-z])|(?<=[A-Za-z])(?!(?<=[\s0-9][mk])[сВ](?:ек)?\b)[{_LIKE_LATIN}])"
    rf"|(?P<script>(?<=[A-Za-z0-9Ω)\]])(?=[{_IDEOGRAPHS}])|(?<=[{_IDEOGRAPHS}])(?=[A-Za-z0-9(])|(?<=[0-9]秒)(?=[{_IDEOGRAPHS}]))"
    r"|(?P<other>[^\x20-\x23\x25-\x5b\x5d-\x7d]|\$)"
)
_NEEDS_WORK = regex(r"[^\x20-\x23\x25-\x5b\x5d-\x7d]|[$&]|\{,")
"""Anything but plain printable characters; backslash, dollar, ampersand and tilde count as work."""


class Plain(Struct, frozen=True):
    """Text in the one alphabet; ``edits`` holds (place here, place in the original), ascending."""

    text: str
    edits: tuple[tuple[int, int], ...] = ()

    def original_place(self, place: int) -> int:
        """Where a character of the plain text stood in what was typed."""
        index = bisect_right(self.edits, (place, 1 << 30)) - 1
        if index < 0:
            return place
        here, there = self.edits[index]
        found = there + (place - here)
        if index + 1 < len(self.edits):  # within a replacement that is longer than what it replaces
            found = min(found, max(self.edits[index + 1][1] - 1, there))
        return found


def normalize(text: str) -> Plain:
    """Bring a text into the one alphabet, in one pass.

    Examples
    --------
    >>> normalize("2·(1−e⁻⁵⁰⁰ᵗ) µA").text
    '2*(1-e^(-500t)) μA'
    """
    if not _NEEDS_WORK.search(text):
        return Plain(text)
    if "\\" in text:
        text = text.replace("~", " ")  # in LaTeX a blank that does not break; elsewhere "about"
    pieces: list[str] = []
    edits: list[tuple[int, int]] = []
    length = last = 0
    for match in _PIECE.finditer(text):
        start, end = match.span()
        before = text[last:start]
        replacement = _replacement(match)
        pieces.append(before)
        pieces.append(replacement)
        length += len(before)
        edits.append((length, start))
        length += len(replacement)
        edits.append((length, end))
        last = end
    pieces.append(text[last:])
    return Plain("".join(pieces), tuple(edits))


def _replacement(match: re.Match[str]) -> str:
    kind = match.lastgroup
    assert kind is not None
    found = match[kind]
    if kind == "command":
        plain = _command(found, match.string[match.end() : match.end() + 1])
        return f" {plain}" if match.string[: match.start()][-2:-1] == "_" else plain  # V_s\\frac{…}
    return _REPLACEMENTS[kind](found)


def _sign(found: str) -> str:
    """One character that is not plain."""
    if found in SINGLE:
        return SINGLE[found]
    if _FORMS_OF_LETTERS.match(found):
        return _folded(found)
    if found in _FRACTIONS:
        return f"({_fraction(found)})"
    return GREEK.get(found) or ("" if found == "$" else found)


def _raised(found: str) -> str:
    written = "".join(_SUPERSCRIPTS[sign] for sign in found)
    return written if written in {"(", ")"} else f"^({written})"


def _styled(found: str) -> str:
    return found.strip() if found.strip() in {"e", "d"} else f" {normalize(found).text.strip()} "


def _command(found: str, following: str) -> str:
    """A command of LaTeX; its blank stays away where a subscript follows."""
    if found in {"frac", "dfrac", "tfrac", "cfrac"}:
        return "frac"
    if found in _TABLES["spaces"] or found in _TABLES["styles"]:
        return " "  # a style without braces is that of the next letter, or of all that follows
    return _COMMANDS.get(found, found if following == "_" else found + " ")


def _entity(found: str) -> str:
    """``&omega;`` of a web page as the sign; what is none stays as it is."""
    sign = unescape(found)
    return found if sign == found else normalize(sign).text


_REPLACEMENTS: dict[str, Callable[[str], str]] = {
    "other": _sign,
    "script": lambda _: " ",
    "latin": lambda found: "ABEKMHOPCTXaeopcyx"[_LIKE_LATIN.index(found)],
    "super": _raised,
    "sub": lambda found: "_" + "".join(_SUBSCRIPTS.get(sign, sign) for sign in found),
    "circ": lambda _: "°",
    "comma": lambda _: ",",
    "limit": lambda _: "(∞)",
    "mixed": lambda found: f" {_fraction(found[-1])}",
    "environment": lambda _: " ",
    "entity": _entity,
    "column": lambda _: ",",
    "styled": _styled,
    "struck": lambda found: f" ≈≈{normalize(found).text.replace('≈', ' ')}≈≈ ",
    "hidden": lambda _: " ",
    "escaped": lambda found: {"\\": ";", "%": "%", "{": "(", "}": ")"}.get(found, " "),
}


def _fraction(sign: str) -> str:
    """``⅔`` as ``2/3``."""
    return unicodedata.normalize("NFKC", sign).replace("\u2044", "/")
