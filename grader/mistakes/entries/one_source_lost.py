"""One of several sources left out."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.altered import with_source_times
from grader.mistakes.case import Case
from grader.mistakes.propagate import some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ZERO


def wrong(case: Case) -> Iterator[Wrong]:
    """The circuit with each independent source at zero in turn."""
    if len(case.sources) < 2:
        return
    for element in case.sources:
        yield from some(case.answer_on(with_source_times(case.circuit, element.name, ZERO)), f"without {element.name}")


ENTRY = Mistake(
    id="one-source-lost",
    title="One source left out",
    idea="With superposition every source has its turn; one of them was set to zero and never put back.",
    nudge="Count the sources in the drawing and those in your equation: are they equally many?",
    remark="The answer fits the circuit with one of its sources at zero.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
