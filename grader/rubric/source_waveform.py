"""What a source delivers, from an expression in t with or without unit steps.

A waveform made of dc and undamped sinusoids holds for all time.  Any other starts at t = 0, zero before, unless it
carries its own ``u(t)``: then it holds as written, and is zero only where its steps make it so.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from flint import fmpq

from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import NAMES, Dimension, unit_symbol
from grader.values.waveform import Waveform

Pieces: TypeAlias = tuple[tuple[fmpq | None, Waveform], ...]
"""(start in seconds, waveform from then on); the first start is None, since ever."""

SINCE_EVER = fmpq(-(10**15))
"""Seconds before which no unit step of a rubric acts (some thirty million years)."""


def pieces(text: str, dimension: Dimension, names: Mapping[str, Waveform]) -> Pieces:
    """Read a source's waveform.

    Raises
    ------
    ValueError
        With one sentence (without full stop) that says what is wrong.
    """
    found = read(text, expects="expression", dimension=dimension, names=dict.fromkeys(names, None))
    if isinstance(found, Refusal):
        raise ValueError(f"'{text}' cannot be read: {found.sentence}".rstrip("."))  # noqa: TRY004 - a refusal is a value
    try:
        worth = evaluate(found[0].tree, names, SINCE_EVER)
    except (ValueError, ZeroDivisionError) as error:
        reason = str(error).rstrip(".")
        raise ValueError(f"'{text}' cannot be worked out: {reason}") from None
    if worth.dimension not in (None, dimension) or not worth.consistent:
        raise ValueError(f"'{text}' must be a {NAMES.get(dimension, unit_symbol(dimension))} throughout")
    waveform: Waveform = worth.waveform
    if worth.later:
        return ((None, waveform), *worth.later)
    if all(term.power == 0 and term.rate == 0 for term in waveform.terms):
        return ((None, waveform),)
    return ((None, Waveform()), (fmpq(0), waveform))
