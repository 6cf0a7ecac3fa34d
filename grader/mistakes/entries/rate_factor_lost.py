"""The derivative of the exponential taken without its rate."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Signal
from grader.mistakes.case import AT, EXPRESSION, INITIAL, SLOPE, TAU, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """The inductor's voltage or capacitor's current times τ; with the minus sign, and without it."""
    tau = case.solvers(TAU)
    if tau is None or case.signal is None or case.find not in (INITIAL, EXPRESSION, AT, SLOPE):
        return
    if not isinstance(case.right, Waveform):
        return
    derived = [
        Signal(kind="current" if isinstance(element, Capacitor) else "voltage", of=element.name)
        for element in case.storage
    ]
    if case.signal in derived or case.find == SLOPE:
        yield Wrong(case.right * tau)
        yield Wrong(-(case.right * tau), "minus sign lost, too")


ENTRY = Mistake(
    id="rate-factor-lost",
    title="Factor 1/τ lost in differentiating",
    idea=("Differentiating e^(−t/τ) brings down −1/τ. Without it L di/dt and C dv/dt are too large or too small by τ."),
    nudge="What comes down in front when you differentiate the exponential?",
    remark="The derivative was taken without the factor 1/τ.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
