"""Another series-parallel combination of the circuit's own resistors, found by search."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:  # noqa: ARG001 - one signature for every entry
    """None to be foreseen: `grader.mistakes.resistances` searches what was written, where nothing else explains it."""
    yield from ()


ENTRY = Mistake(
    id="resistors-combined-otherwise",
    title="Another combination of the circuit's resistors",
    idea=(
        "The resistance is a series or parallel combination of the circuit's own resistors, but not the one that "
        "the element looks into."
    ),
    nudge="Which nodes do the terminals of the element belong to, and which resistors lie between them?",
    remark="The resistance equals another combination of the circuit's resistors.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
