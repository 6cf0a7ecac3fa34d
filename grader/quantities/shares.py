"""Shares as an item states them: ``"2 %"``, ``0.02``."""

from __future__ import annotations

import re

from flint import fmpq

from grader.values.scalar import rational

_SHARE = re.compile(r"(\d{1,4}(?:\.\d{1,12})?)\s*(%?)")


def is_share(text: str) -> bool:
    """Whether a text states a share between 0 and 1, without these."""
    return _SHARE.fullmatch(text.strip()) is not None and 0 < share_of(text) < 1


def share_of(text: str) -> fmpq:
    """The share.

    Raises
    ------
    ValueError
        If the text states none.
    """
    found = _SHARE.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"'{text}' is no share; write it as in \"2 %\"")
    return rational(found[1]) / (100 if found[2] else 1)
