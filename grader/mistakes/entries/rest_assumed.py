"""Every storage element taken as empty at the start."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import BEFORE, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_states, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """Zero volts on every capacitor and zero amperes in every inductor."""
    if case.index != 1:
        return
    if case.find == BEFORE:
        if case.is_own():
            yield Wrong(Waveform())
        return
    yield from some(from_states(case, {element.name: Waveform() for element in case.storage}))


ENTRY = Mistake(
    id="rest-assumed",
    title="Start at rest assumed",
    idea=(
        "Many first examples start from rest, so rest becomes a habit. Where something fed the element before the"
        " switch moved, it starts with what that left in it."
    ),
    nudge="Was anything feeding the element before the switch moved?",
    remark="All capacitors were taken as uncharged and all inductors as currentless at the start.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
