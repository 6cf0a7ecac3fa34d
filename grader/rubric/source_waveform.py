"""What a source delivers, from an expression in t with or without unit steps.

A waveform made of dc and undamped sinusoids holds for all time.  Any other starts at t = 0, zero before, unless it
carries its own ``u(t)``: then it holds as written, and is zero only where its steps make it so.  Letters are symbols of the
problem, as in element values.
"""

import re
from collections.abc import Mapping
from itertools import pairwise

from flint import fmpq

from grader.circuit.elements import Drive
from grader.quantities.quantities import quoted
from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.tokens.units import look_up
from grader.reading.tree import Node
from grader.reading.value.evaluate import Quantity, evaluate
from grader.regex import regex
from grader.values.dimension import NAMES, TIME, Dimension, unit_symbol
from grader.values.laplace import DELTA, IMPULSE, without_impulse
from grader.values.scalar import ZERO
from grader.values.waveform import Waveform, constant

SINCE_EVER = fmpq(-(10**15))
"""Seconds before which no unit step of a rubric acts (some thirty million years)."""


_RIGHT = '; write it as in "10 cos(377 t) V", "5 u(t) - 5 u(t - 2 ms) A" or "(12 + 5 u(t)) V"'


_WORD = regex(r"(?<![\w.])[A-Za-z]\w*", re.ASCII)
FUNCTIONS = frozenset({"t", "e", "u", "pi", "exp", "sqrt", "sin", "cos", IMPULSE, "delta", "dirac"})


def letters(text: str) -> tuple[str, ...]:
    """The symbols in a waveform, ``V0`` and ``w`` in ``V0 cos(w t) u(t)``: words that are neither functions nor units."""
    words = (word for word in _WORD.findall(text) if word not in FUNCTIONS)
    return tuple(word for word in words if all(unit.slip for unit in look_up(word)))


def _fits(tree: Node, names: Mapping[str, Waveform], worth: Quantity, dimension: Dimension) -> bool:
    """Whether the unit is that of the source on every piece; where nothing is delivered, the source's per second, too: ``25 A/s t u(t)``."""
    pieces = (worth, *(evaluate(tree, names, since) for since, _ in worth.later))
    allowed = (None, dimension), (None, dimension, dimension.over(TIME))
    return all(piece.consistent and piece.dimension in allowed[not piece.waveform.terms] for piece in pieces)


def drive(text: str, dimension: Dimension, names: Mapping[str, Waveform]) -> Drive:
    """Read a source's waveform, with ``δ(t)`` or ``δ(t - 2 ms)`` for a unit impulse.

    Raises
    ------
    ValueError
        With one sentence (without full stop) that says what is wrong.
    """
    names = {**names, IMPULSE: constant(DELTA)}
    found = read(text, expects="expression", dimension=dimension, names=dict.fromkeys(names, None))
    text = quoted(text)
    if isinstance(found, Refusal):
        raise ValueError(f"'{text}' cannot be read: {found.sentence}".rstrip("."))  # noqa: TRY004 - a refusal is a value
    plain = [reading for reading in found if not reading.slips and not reading.others]
    if not plain:
        raise ValueError(f"'{text}' is no clear waveform{_RIGHT}")
    try:
        worths = [(reading.tree, evaluate(reading.tree, names, SINCE_EVER)) for reading in plain]
        fitting = [worth for tree, worth in worths if _fits(tree, names, worth, dimension)]
    except (ValueError, ZeroDivisionError) as error:
        reason = str(error).rstrip(".")
        raise ValueError(f"'{text}' cannot be worked out: {reason}") from None
    if not fitting:
        raise ValueError(f"'{text}' must be a {NAMES.get(dimension, unit_symbol(dimension))} throughout")
    worth = fitting[0]
    if any((other.waveform, other.later) != (worth.waveform, worth.later) for other in fitting[1:]):
        raise ValueError(f"'{text}' can be read in more than one way{_RIGHT}")
    return _delivered(text, worth)


def _delivered(text: str, worth: Quantity) -> Drive:
    """What a source delivers: the pieces as they begin, from t = 0 on unless they never change, and the impulse."""
    try:
        (area, waveform), *later = (without_impulse(part) for part in (worth.waveform, *(w for _, w in worth.later)))
    except ValueError as error:
        raise ValueError(f"'{text}': {error}") from None
    areas = [ZERO, area, *(held for held, _ in later)]
    times = [fmpq(0), *(start for start, _ in worth.later)]
    impulses = tuple(
        (time, now - before) for time, (before, now) in zip(times, pairwise(areas), strict=True) if now != before
    )
    if any(rest != waveform for _, rest in later):
        starts = (None, *(start for start, _ in worth.later))
        parts = (waveform, *(rest for _, rest in later))
        return Drive(pieces=tuple(zip(starts, parts, strict=True)), impulses=impulses)
    if all(term.power == 0 and term.rate == 0 for term in waveform.terms):
        return Drive(pieces=((None, waveform),), impulses=impulses)
    return Drive(pieces=((None, Waveform()), (fmpq(0), waveform)), impulses=impulses)
