"""One alphabet: unicode, LaTeX and text pasted from documents are brought to plain characters.

A single pass over the text; places in the result lead back to places in the original, so that a message to a
student points into what the student typed.
"""

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Callable
from html import unescape
from typing import NamedTuple

SINGLE = {
    # minus signs, dashes and what font losses make of them
    "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "‒": "-", "﹣": "-", "－": "-", "¯": "-", "Ϫ": "-", "˗": "-",
    "＋": "+", "ϩ": "+", "×": "*", "✕": "*", "✖": "*", "⋅": "*", "·": "*", "∙": "*", "•": "*", "∗": "*", "＊": "*",
    "÷": "/", "∕": "/", "⁄": "/", "／": "/", "＝": "=", "ϭ": "=", "≡": "=", "≙": "=", "≜": "=", "≐": "=", "≝": "=", "≅": "≈", "≃": "≈", "≒": "≈", "»": "≈",
    "∼": "≈", "～": "≈", "~": "≈", "≥": "≥", "⩾": "≥", "≧": "≥", "≤": "≤", "⩽": "≤", "≦": "≤", "＜": "<", "＞": ">",
    "（": "(", "）": ")", "［": "[", "］": "]", "｛": "{", "｝": "}", "，": ",", "；": ";", "：": ":", "．": ".", "٫": ".",
    "\u00b5": "\u03bc", "\u2126": "\u03a9", "\U0001d6fa": "\u03a9", "℃": "C", "º": "°", "˚": "°", "∘": "°", "ˆ": "^", "＾": "^", "↑": "^",
    "ℯ": "e", "ᴇ": "E", "⏨": "e", "⇒": "→", "⟹": "→", "⟶": "→", "➔": "→", "➡": "→", "ⅇ": "e", "𝑒": "e", "𝑡": "t", "ⅈ": "i", "ⅉ": "j", "𝑖": "i", "𝑗": "j", "ı": "i", "ϵ": "ε", "ϑ": "θ", "ϕ": "φ",
    "’": "'", "′": "'", "‘": "'", "`": "'", "´": "'", "″": "''", "‖": "∥", "∞": "∞", "√": "√", "\xa0": " ", "\u2009": " ",
    "\u202f": " ", "\u2007": " ", "\u2002": " ", "\u2003": " ", "\u2005": " ", "\u2006": " ", "\u2008": " ", "\u3000": " ",
    "\t": " ", "\r": "\n", "\u2028": "\n", "\u200b": "", "\u200c": "", "\u200d": "", "\ufeff": "", "\u2060": "", "\u2061": "",
    "\u2062": "", "\u2063": "", "\u200e": "", "\u200f": "", "\xad": "", "。": ".", "、": ",", "・": "*", "Α": "A", "Β": "B",
    "Ε": "E", "Η": "H", "Ι": "I", "Κ": "K", "Μ": "M", "Ν": "N", "Ρ": "P", "Χ": "X", "“": '"', "”": '"', "„": '"', "…": "...",
}  # fmt: skip
"""Look-alike characters and what they stand for.  Lost-font signs were seen in scanned textbooks."""

GREEK = {
    "τ": "tau", "Τ": "tau", "α": "alpha", "β": "beta", "ω": "omega", "ζ": "zeta", "σ": "sigma", "λ": "lambda",
    "φ": "phi", "Φ": "phi", "θ": "theta", "π": "pi", "ξ": "zeta", "δ": "delta", "ε": "epsilon", "ψ": "psi", "γ": "gamma",
}  # fmt: skip

_SUPERSCRIPTS = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻⁼⁽⁾ᵗⁿⁱʲᵉˢᴿᴸᶜ⋅ᐟᐧ·", "0123456789+-=()tnijesRLC*/*.", strict=True))
_RAISED = "".join(map(re.escape, (sign for sign, plain in _SUPERSCRIPTS.items() if plain not in "*.")))
_SUBSCRIPTS = dict(zip("₀₁₂₃₄₅₆₇₈₉₊₋ₜₑᵢⱼₙₛₐₕₒₓₗₘₚᵣᵤᵥ", "0123456789+-teijnsahoxlmpruv", strict=True))
_FRACTIONS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_FORMS_OF_LETTERS = re.compile("[\u2100-\u214f\u3371-\u33df\uff01-\uff5e\U0001d400-\U0001d7ff]")
"""Full-width and mathematical letters and digits, letter-like signs, units squared to one character (Unicode blocks)."""

_SPACE_COMMANDS = {
    "left", "right", "big", "Big", "bigl", "bigr", "Bigl", "Bigr", "displaystyle", "quad", "qquad", "limits",
}  # fmt: skip
_COMMANDS = {
    "cdot": "*", "times": "*", "ast": "*", "div": "/", "pm": "±", "mp": "±", "infty": "∞", "approx": "≈", "simeq": "≈",
    "sim": "≈", "ge": "≥", "geq": "≥", "geqslant": "≥", "le": "≤", "leq": "≤", "leqslant": "≤", "Omega": "Ω", "ohm": "Ω",
    "mu": "μ", "micro": "μ", "circ": "°", "degree": "°", "degrees": "°", "angle": "∠", "percent": "%", "to": "→",
    "parallel": "∥", "overline": "", "Re": "Re", "Im": "Im",
    "sqrt": "√", "lt": "<", "gt": ">", "mathrm{e}": "e", "prime": "'", "land": ",", "text": " ",
}  # fmt: skip

_TEXT_STYLES = r"text|mathrm|mathit|mathbf|mathsf|operatorname|textrm|textit|mbox|hbox|unit|si|rm|ensuremath|boxed"
_PIECE = re.compile(
    rf"\\(?:{_TEXT_STYLES})\b\*?\s*\{{(?P<styled>(?:[^{{}}]|\{{[^{{}}]*\}}|\{{[^{{}}]*\{{[^{{}}]*\}}[^{{}}]*\}})*)\}}"
    r"|(?P<environment>\\(?:begin|end)\s*\{[^{}]*\})"
    r"|\\(?P<command>[A-Za-z]+)\s?"
    r"|\\(?P<escaped>.)"
    r"|(?P<circ>\^\s*\{?\s*\\circ\b\s*\}?)"
    r"|(?P<entity>&#?\w{2,8};)"
    r"|(?P<column>&)"
    r"|(?P<comma>\{,\})"
    rf"|(?P<mixed>(?<=[0-9]) ?[{_FRACTIONS}])"
    rf"|(?P<super>[{_RAISED}](?:[{''.join(map(re.escape, _SUPERSCRIPTS))}]*[{_RAISED}])?)"
    rf"|(?P<sub>[{''.join(_SUBSCRIPTS)}]+(?:,[{''.join(_SUBSCRIPTS)}]+)*)"
    r"|(?P<limit>(?<=[^\W\d_])∞)"
    r"|(?P<other>[^\x20-\x23\x25-\x5b\x5d-\x7d]|\$)"
)
_NEEDS_WORK = re.compile(r"[^\x20-\x23\x25-\x5b\x5d-\x7d]|[$&]|\{,")
"""Anything but plain printable characters; backslash, dollar, ampersand and tilde count as work."""


class Plain(NamedTuple):
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
        return _command(found, match.string[match.end() : match.end() + 1])
    return _REPLACEMENTS[kind](found)


def _sign(found: str) -> str:
    """One character that is not plain."""
    if found in SINGLE:
        return SINGLE[found]
    if _FORMS_OF_LETTERS.match(found):
        return "".join(SINGLE.get(sign) or GREEK.get(sign) or sign for sign in unicodedata.normalize("NFKC", found))
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
    if found in _SPACE_COMMANDS:
        return " "
    return _COMMANDS.get(found, found if following == "_" else found + " ")


_REPLACEMENTS: dict[str, Callable[[str], str]] = {
    "other": _sign,
    "super": _raised,
    "sub": lambda found: "_" + "".join(_SUBSCRIPTS.get(sign, sign) for sign in found),
    "circ": lambda _: "°",
    "comma": lambda _: ",",
    "limit": lambda _: "(∞)",
    "mixed": lambda found: f" {_fraction(found[-1])}",
    "environment": lambda _: " ",
    "entity": lambda found: normalize(unescape(found)).text,
    "column": lambda _: ",",
    "styled": _styled,
    "escaped": lambda found: {"\\": ";", "%": "%", "{": "(", "}": ")"}.get(found, " "),
}


def _fraction(sign: str) -> str:
    """``⅔`` as ``2/3``."""
    return unicodedata.normalize("NFKC", sign).replace("\u2044", "/")
