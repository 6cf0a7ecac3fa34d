"""The resistance at a source's terminals."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some, swapped
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """At each source, with storage elements in either role."""
    for element in case.sources:
        for treat in ({}, swapped(case)):
            seen = case.resistance_at(element.name, treat)
            yield from some(from_resistance(case, seen), f"at {element.name}")


ENTRY = Mistake(
    id="seen-from-the-source",
    title="Resistance seen from the source",
    idea=(
        "The resistance that matters is the one at the storage element's terminals, looking out from it. Here it "
        "was found at a source's terminals."
    ),
    nudge="Whose terminals are you looking out from?",
    remark="The resistance at a source's terminals was given.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
