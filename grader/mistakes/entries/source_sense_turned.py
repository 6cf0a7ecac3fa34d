"""One of several sources entered with the wrong sign."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.altered import with_source_times
from grader.mistakes.case import Case
from grader.mistakes.propagate import some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ONE


def wrong(case: Case) -> Iterator[Wrong]:
    """The circuit with each independent source reversed in turn."""
    if len(case.sources) < 2:
        return
    for element in case.sources:
        yield from some(case.answer_on(with_source_times(case.circuit, element.name, -ONE)), f"{element.name} turned")


ENTRY = Mistake(
    id="source-sense-turned",
    title="Sense of one source turned",
    idea=(
        "One source helps where it should oppose, or the reverse: its + mark or arrow was not followed into the "
        "equation."
    ),
    nudge="Compare the + mark or the arrow of each source with your equation: do all signs agree?",
    remark="The answer fits the circuit with one of its sources reversed.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
