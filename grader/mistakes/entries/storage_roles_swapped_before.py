"""Capacitor taken as a short and inductor as an open in the steady state before switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import BEFORE, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_states, some, swapped
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The dc circuit before switching with the roles exchanged, and whatever starts from it."""
    if case.index != 1 or any(element.initial is not None for element in case.storage):
        return
    static = case.static(case.opened_before, swapped(case))
    if case.find == BEFORE:
        yield from some(case.read(static))
    else:
        yield from some(from_states(case, case.states(static)))


ENTRY = Mistake(
    id="storage-roles-swapped-before",
    title="Storage roles swapped before switching",
    idea=(
        "In the dc steady state nothing changes, so a capacitor carries no current (open) and an inductor has no "
        "voltage (short). The two were exchanged, often because the picture of an empty element just after "
        "switching is carried over to the long time before it."
    ),
    nudge="After a long time nothing changes any more: what does that say about dv/dt or di/dt in your element?",
    remark="The circuit before switching was solved with capacitors as shorts and inductors as opens.",
    source=source.REVIEW_BOTH,
    prior=OBSERVED,
    wrong=wrong,
)
