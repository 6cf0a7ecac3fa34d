"""The final value taken from the old switch position."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The dc solution of the circuit before the switching."""
    if case.signal is not None and case.index:
        yield from some(from_ingredients(case, xf=case.read(case.static(case.opened_before, {}))))


ENTRY = Mistake(
    id="final-from-circuit-before",
    title="Final value from the circuit before switching",
    idea=(
        "The element settles in the circuit it sees from the switching on. The dc solution used belongs to the "
        "old switch position."
    ),
    nudge="Which circuit will the element see for all the time to come?",
    remark="The final value is that of the dc circuit before switching.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
