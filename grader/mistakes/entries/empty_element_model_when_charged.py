"""Charged capacitor taken as a short, current-carrying inductor as an open, just after switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import from_ingredients, some, swapped
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The first instant with every storage element as if it were empty."""
    if case.signal is None or case.index == 0 or case.is_own():
        return
    yield from some(from_ingredients(case, x0=case.read(case.static(case.opens, swapped(case)))))


ENTRY = Mistake(
    id="empty-element-model-when-charged",
    title="Model of the empty element used on a charged one",
    idea=(
        "Just after switching a capacitor holds its voltage and an inductor its current. Only without stored "
        "energy do they look like a short and an open circuit."
    ),
    nudge="That picture belongs to an element with no stored energy: does yours have any?",
    remark=(
        "Just after switching the capacitor was taken as a short, the inductor as an open, in spite of their "
        "stored energy."
    ),
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
