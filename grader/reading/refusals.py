"""What a student is told when an answer cannot be read: sentences from refusals.toml."""

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from grader.values.dimension import Dimension, unit_symbol

MAX_PIECE = 24
"""Characters of the answer quoted in a sentence."""

OPTIONS_LISTED = {"choice-unknown", "choice-several"}
"""Refusals that list options of the instructor's, in full."""


class Refusal(Struct, frozen=True, kw_only=True):
    """Why an answer was not read."""

    sentence: str
    """What could not be read, where, and what would help; for the student."""
    kind: str
    """The refusal's name in refusals.toml, say ``"blank"`` or ``"unknown-character"``."""
    place: int | None = None
    """Index of the character in the text as typed, if one place is to blame."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing was answered, which is no fault: ``-``, ``?`` and the like."""
        return self.kind == "blank"


class CannotRead(ValueError):
    """Raised inside reading and turned into a `Refusal` before it leaves.

    Parameters
    ----------
    kind : str
        Name of the refusal.
    place : int or None
        Index in the plain text.
    piece : str
        What stands there.
    """

    def __init__(self, kind: str, place: int | None = None, piece: str = "") -> None:
        super().__init__(kind, place, piece)
        self.kind = kind
        self.place = place
        self.piece = piece


@lru_cache(maxsize=1)
def table() -> dict[str, dict[str, Any]]:
    """By the kind of refusal, its sentence and samples of malformed answers that must get it."""
    return tomllib.loads(Path(__file__).with_name("refusals.toml").read_text(encoding="utf-8"))


def example_of(expects: str, dimension: Dimension | None) -> str:
    """An answer of the kind asked, invented."""
    unit = "mA" if dimension is None else unit_symbol(dimension) if any(dimension) else ""
    kinds = {"expression": f"2(1 - e^(-500t)) {unit}", "roots": "-200 ± j300 1/s", "equation": "s^2 + 30s + 200 = 0"}
    return kinds.get(expects, f"2.4 {unit}").strip()


def refusal(kind: str, typed: str, place: int | None = None, piece: str = "", example: str = "2.4 mA") -> Refusal:
    """Word a refusal; ``place`` is an index into the text as typed."""
    shown = (piece or (typed[place : place + 12] if place is not None else "")).strip()
    if len(shown) > MAX_PIECE and kind not in OPTIONS_LISTED:
        shown = f"{shown[:MAX_PIECE]}…"
    where = "at the end" if place is not None and place >= len(typed) else f"at character {(place or 0) + 1}"
    sentence = table()[kind]["sentence"].format(piece=shown, where=where, example=example)
    return Refusal(sentence=sentence, kind=kind, place=place)
