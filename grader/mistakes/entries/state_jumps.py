"""Capacitor voltage or inductor current jumps to its final or to a source's value."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.circuit.elements import CurrentSource, Signal, VoltageSource
from grader.mistakes.case import INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import some
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """The final value, or a source's, already at 0+."""
    if case.find != INITIAL or not case.is_own():
        return
    yield from some(case.read(case.static(case.opens, {})), "to the final value")
    for name, value in source_values(case, case.opens):
        yield Wrong(value, f"to the value of {name}")


def source_values(case: Case, when: fmpq | None) -> Iterator[tuple[str, Waveform]]:
    """What each source of the signal's own kind delivers, in either direction."""
    if case.signal is None or case.signal.kind not in ("voltage", "current"):
        return
    kind = VoltageSource if case.signal.kind == "voltage" else CurrentSource
    for element in case.sources:
        if isinstance(element, kind):
            value = case.read(case.static(when, {}), Signal(kind=case.signal.kind, of=element.name))
            if value is not None:
                yield element.name, value
                yield element.name, -value


ENTRY = Mistake(
    id="state-jumps",
    title="Capacitor voltage or inductor current jumps",
    idea=(
        "A jump of a capacitor's voltage would need an infinite current, a jump of an inductor's current an "
        "infinite voltage. The answer takes the new value at the very instant of switching."
    ),
    nudge="What current (or voltage) would such a sudden change need?",
    remark="The final value or a source's value was given as the value just after switching.",
    source=source.REVIEW_AND_TEACHING_FILE,
    prior=OBSERVED,
    wrong=wrong,
)
