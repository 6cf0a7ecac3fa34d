"""Waveforms as exact text that other programs read."""

from typing import Any

from grader.values.scalar import scalar_text
from grader.values.term import Term
from grader.values.waveform import Waveform


def waveform_text(w: Waveform) -> str:
    """Exact text in ``t`` that sympy's parser reads: ``exp``, ``cos``, ``sin``, ``sqrt``, fractions."""
    return " + ".join(_term_text(t) for t in w.terms) or "0"


def _term_text(t: Term) -> str:
    factors: list[str] = []
    if t.power:
        factors.append("t" if t.power == 1 else f"t**{t.power}")
    exponent = _linear_text(t.rate, t.offset)
    if exponent:
        factors.append(f"exp({exponent})")
    angle = _linear_text(t.frequency, t.phase)
    if not angle:
        return "*".join([f"({scalar_text(t.cosine)})", *factors])
    waves = []
    if t.cosine != 0:
        waves.append(f"({scalar_text(t.cosine)})*cos({angle})")
    if t.sine != 0:
        waves.append(f"({scalar_text(t.sine)})*sin({angle})")
    return "*".join([*factors, f"({' + '.join(waves)})"])


def _linear_text(slope: Any, offset: Any) -> str:
    pieces = []
    if slope != 0:
        pieces.append(f"({scalar_text(slope)})*t")
    if offset != 0:
        pieces.append(f"({scalar_text(offset)})")
    return " + ".join(pieces)
