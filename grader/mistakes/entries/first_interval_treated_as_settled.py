"""A later interval started from the final value of the one before, or with its time constant."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import BEFORE, Case
from grader.mistakes.propagate import OF_EXPRESSION, from_resistance, from_states, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """From the dc state of the interval before; with the time constant of the interval before."""
    if case.index < 2:
        return
    static = case.static(case.opened_before, {})
    if case.find == BEFORE:
        yield from some(case.read(static), "settled")
        return
    yield from some(from_states(case, case.states(static)), "settled")
    earlier = case.resistance(case.index - 1, {})
    if case.find in OF_EXPRESSION:
        yield from some(from_resistance(case, earlier), "time constant of the interval before")


ENTRY = Mistake(
    id="first-interval-treated-as-settled",
    title="Earlier interval treated as settled, or its time constant kept",
    idea=(
        "At the second switching the element has what the first interval left in it, which is its final value "
        "only after several time constants; and each interval has its own time constant."
    ),
    nudge="Had enough time passed before this switching, and which circuit sets the pace after it?",
    remark="The interval before was taken as settled, or its time constant was kept.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
