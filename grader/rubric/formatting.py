"""Answers as an instructor would write them, and as exact text for other programs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from flint import fmpq

from grader.quantities import Answer, Roots
from grader.quantities.intervals import range_text
from grader.quantities.question import time_text
from grader.values.comparison import NEGLIGIBLE
from grader.values.dimension import NUMBER, Dimension, unit_symbol
from grader.values.exact_text import waveform_text
from grader.values.piecewise import Piecewise
from grader.values.scalar import ZERO, scalar_text
from grader.values.term import TermMode
from grader.values.text import number_text, prefixed_unit, value_text
from grader.values.waveform import Waveform, number_of

INEXACT_DIGITS = 17
"""Digits of a numeric value in the exact text: all that a float holds."""


def answer_text(answer: Answer, symbol: str, dimension: Dimension | None, start: fmpq | None = None) -> str:
    """An answer in engineering notation.

    Parameters
    ----------
    answer : Answer
        SI base units.
    symbol : str
        The unit's symbol without prefix.
    dimension : Dimension or None
        Of the answer; decides whether the unit takes prefixes.
    start : fmpq or None
        Where an expression's interval begins; later than 0, its exponentials are written from there.
    """
    dimension = NUMBER if dimension is None else dimension
    if isinstance(answer, str):
        return answer
    if isinstance(answer, tuple):
        return f"{_roots_text(answer)} {symbol}"
    if isinstance(answer, Piecewise):
        return "; ".join(
            f"{answer_text(piece, symbol, dimension, start)} for {range_text(start, end)}"
            for start, end, piece in answer.stretches()
        )
    if answer.is_symbolic:
        return symbolic_text(answer)
    if not answer.is_constant:
        return _expression_text(answer, dimension, ZERO if start is None else start)
    text = value_text(float(number_of(answer)), dimension)
    usual = unit_symbol(dimension)
    return f"{text.removesuffix(usual)}{symbol}" if usual != symbol else text


def _expression_text(waveform: Waveform, dimension: Dimension, start: fmpq) -> str:
    """Terms in one prefixed unit, t counted from the start of the interval; the slowest terms first."""
    modes = _without_cancelling(waveform.delayed(-start).modes())
    plain = [m for m in modes if m.power == 0] or modes
    scale, symbol = prefixed_unit(max(math.hypot(m.cosine, m.sine) for m in plain), dimension)
    clock = "t" if start == 0 else f"(t - {time_text(start)})"
    ordered = sorted(modes, key=lambda m: (m.rate != 0 or m.frequency != 0 or m.power, m.power, -m.rate))
    body = ""
    for sign, piece in (signed for mode in ordered for signed in _mode_pieces(mode, scale, clock)):
        body += f" {sign} {piece}" if body else f"{'-' if sign == '-' else ''}{piece}"
    several = " + " in body or " - " in body.replace("(t - ", "")
    return f"{f'({body})' if several and symbol else body} {symbol}".rstrip()


NEARLY_CRITICAL = 0.01
"""Share of the damping below which two exponents, or a frequency, are written as in critical damping."""


def _without_cancelling(modes: Sequence[TermMode]) -> list[TermMode]:
    """Near critical damping two large terms all but cancel: both become ``(A + B t) e^(-at)``, to first order.

    With s ± d for the exponents, ``c1 e^(dt) + c2 e^(-dt)`` is ``(c1 + c2) + (c1 - c2) d t``; ``sin wt`` is ``w t``.
    """
    found: list[TermMode] = []
    for mode in sorted(modes, key=lambda m: (m.power, m.frequency, m.rate)):
        last = found[-1] if found else None
        if mode.power or not mode.rate:
            found.append(mode)
        elif mode.frequency and mode.frequency <= NEARLY_CRITICAL * abs(mode.rate):
            found += _critical(mode.cosine, mode.sine * mode.frequency, mode.rate)
        elif last is not None and last[2:] == (0, last.rate, 0) and not mode.frequency and _near(last.rate, mode.rate):
            half = (mode.rate - last.rate) / 2
            found[-1:] = _critical(last.cosine + mode.cosine, (mode.cosine - last.cosine) * half, last.rate + half)
        else:
            found.append(mode)
    return found


def _near(one: float, other: float) -> bool:
    return abs(one - other) / 2 <= NEARLY_CRITICAL * abs(one + other) / 2


def _critical(at_start: float, ramp: float, rate: float) -> list[TermMode]:
    """``(A + B t) e^(rate t)``; a part that is rounding noise is left out."""
    pair = (TermMode(at_start, 0.0, 0, rate, 0.0), TermMode(ramp, 0.0, 1, rate, 0.0))
    size = max(abs(at_start), abs(ramp / rate))
    return [mode for mode in pair if abs(mode.cosine) / (abs(rate) if mode.power else 1) > NEGLIGIBLE * size]


def _mode_pieces(mode: TermMode, scale: float, clock: str) -> list[tuple[str, str]]:
    """Signed products: amplitude, power of t, exponential, cosine or sine."""
    factors = []
    if mode.power:
        factors.append(clock if mode.power == 1 else f"{clock}^{mode.power}")
    if mode.rate:
        factors.append(f"e^({number_text(mode.rate)} {clock})")
    waves = [("", mode.cosine)]
    if mode.frequency:
        angle = f"({number_text(mode.frequency)} {clock})"
        waves = [(f"cos{angle}", mode.cosine), (f"sin{angle}", mode.sine)]
    found = []
    for wave, amplitude in waves:
        if amplitude != 0:
            text = " ".join(filter(None, [number_text(abs(amplitude) / scale), *factors, wave]))
            found.append(("-" if amplitude < 0 else "+", text))
    return found


def _roots_text(roots: Roots) -> str:
    """``-3 ± j4``, or the real roots one by one."""
    texts: list[str] = []
    for real, imaginary in roots:
        if imaginary.is_symbolic or real.is_symbolic:
            texts.append(_complex_text(real, imaginary))
            continue
        size = imaginary.value()
        if size < 0:
            continue  # its conjugate stands for both
        text = number_text(real.value())
        texts.append(f"{text} ± j{number_text(size)}" if size else text)
    return ", ".join(texts)


def symbolic_text(waveform: Waveform) -> str:
    """A formula of symbols."""
    return tidied(waveform_text(waveform)).replace("**", "^")


def exact_text(answer: Answer) -> str:
    """What sympy's parser reads; roots are separated by commas, ``I`` being the imaginary unit.

    A response over several intervals is a ``Piecewise``, each piece with the condition up to when it holds.
    """
    if isinstance(answer, str):
        return answer
    if isinstance(answer, tuple):
        return ", ".join(_complex_text(real, imaginary) for real, imaginary in answer)
    if isinstance(answer, Piecewise):
        conditions = ("True" if end is None else f"t < {end}" for _, end, _ in answer.stretches())
        pieces = (exact_text(piece) for _, piece in answer.pieces)
        return f"Piecewise({', '.join(map('({}, {})'.format, pieces, conditions))})"
    if not answer.exact and answer.is_constant:
        return number_text(float(number_of(answer)), INEXACT_DIGITS)
    return tidied(waveform_text(answer))


def tidied(text: str) -> str:
    """Exact text without the brackets that change nothing.

    Examples
    --------
    >>> tidied("(-7)*exp((-50)*t) + (7)")
    '-7*exp(-50*t) + 7'
    >>> tidied("((V)/(R))*exp(((-R)/(L))*t)")
    'V/R*exp(-R/L*t)'
    """
    position = 0
    while (opened := text.find("(", position)) >= 0:
        closed = _closing(text, opened)
        before, inside, after = text[:opened], text[opened + 1 : closed], text[closed + 1 :]
        if _needless(before.rstrip(), inside, after.lstrip()):
            text = f"{before}{inside}{after}"
        else:
            position = opened + 1
    return text.replace("+ -", "- ")


def _closing(text: str, opened: int) -> int:
    """Where the bracket opened at a place is closed."""
    depth = 0
    for place in range(opened, len(text)):
        depth += {"(": 1, ")": -1}.get(text[place], 0)
        if depth == 0:
            return place
    raise ValueError(f"'{text}' has a bracket that is not closed")


def _needless(before: str, inside: str, after: str) -> bool:
    """Whether a bracket can go: of a call never; of a sum or a sign, at the start of a sum alone; of a product, unless divided by."""
    if before and (before[-1].isalnum() or before[-1] == "_"):
        return False
    if after.startswith("*") and after[1:2] == "*":
        return False
    outside = _top_level(inside)
    opens = before == "" or before[-1] in "(+"
    if "+" in outside[1:] or "-" in outside[1:]:
        return opens and (after == "" or after[0] in ")+-")
    if outside.startswith("-"):
        return opens
    return not (before.endswith(("/", "**")) and ("*" in outside or "/" in outside))


def _top_level(text: str) -> str:
    """A text without what stands in brackets."""
    kept, depth = [], 0
    for sign in text:
        depth -= sign == ")"
        if depth == 0 and sign not in "()":
            kept.append(sign)
        depth += sign == "("
    return "".join(kept)


def _complex_text(real: Waveform, imaginary: Waveform) -> str:
    left = tidied(waveform_text(real))
    if not imaginary.terms:
        return left
    right = imaginary.number
    if isinstance(right, fmpq):
        size = scalar_text(abs(right))
        joint = "-" if right < 0 else "+"
        return f"{left} {joint} {size}*I" if real.terms else f"{'-' if right < 0 else ''}{size}*I"
    return f"{left} + ({scalar_text(right)})*I" if real.terms else f"({scalar_text(right)})*I"
