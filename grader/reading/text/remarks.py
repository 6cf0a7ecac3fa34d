"""Remarks in words beside an answer: ``2.4 mA (steady state)``, ``0 A because the inductor is still empty``."""

from __future__ import annotations

import re
from typing import NamedTuple

_REASONS = re.compile(
    r"\b(?:because|since|as|so|due|hence|thus|therefore|which|after|before|once|assuming|using|by|from|through|across|flowing|"
    r"downwards?|upwards?|clockwise|counterclockwise)\b",
    re.IGNORECASE,
)
_LINK = re.compile(r"[\s,;:(-]*(?:\b(?:for|when|if|where|with|and|or|while|at|then|is|the)\b[\s,;]*)*$", re.IGNORECASE)


class Parted(NamedTuple):
    """An answer and the remark beside it.

    Attributes
    ----------
    text : str
        The answer, the remark overwritten by blanks.
    remark : str
    plain : bool
        Whether it is plainly a remark (in brackets of its own, or a reason), whatever stands before it.
    """

    text: str
    remark: str
    plain: bool


def without_remark(text: str, place: int) -> Parted | None:
    """The answer without the remark that holds the word at ``place``; None if nothing would be left."""
    opening = _opening_bracket(text, place)
    if opening is not None:
        closing = text.find(")" if text[opening] == "(" else "]", place)
        inside = text[opening + 1 : closing if closing > 0 else len(text)]
        if not any(character.isdigit() for character in inside):
            end = closing + 1 if closing > 0 else len(text)
            return _parted(text, opening, end, plain=True)
    reason = _REASONS.search(text, 0, place + len("counterclockwise"))
    if reason is not None:
        place = min(place, reason.start())
    link = _LINK.search(text, 0, place)
    start = link.start() if link is not None else place
    if not text[:start].strip():
        return None
    return _parted(text, start, len(text), plain=reason is not None)


def _opening_bracket(text: str, place: int) -> int | None:
    """The bracket that is open at a place."""
    depth = 0
    for index in range(place - 1, -1, -1):
        if text[index] in ")]":
            depth += 1
        elif text[index] in "([":
            if depth == 0:
                return index
            depth -= 1
    return None


def _parted(text: str, start: int, end: int, *, plain: bool) -> Parted:
    return Parted(text[:start] + " " * (end - start) + text[end:], text[start:end].strip(" \t,;:()[]"), plain)
