"""A current source set to zero as a wire."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import CurrentSource
from grader.circuit.statics import SHORT
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The resistance seen with current sources short, each and all."""
    names = [element.name for element in case.sources if isinstance(element, CurrentSource)]
    for group in dict.fromkeys([*((name,) for name in names), tuple(names)]):
        if group:
            seen = case.resistance(case.index, dict.fromkeys(group, SHORT))
            yield from some(from_resistance(case, seen), f"{', '.join(group)} as a wire")


ENTRY = Mistake(
    id="current-source-shorted",
    title="Current source replaced by a wire",
    idea="A current source at zero lets no current through: it is a gap, not a wire.",
    nudge="A source that delivers zero current: would it let current through?",
    remark="A current source was set to zero as a short circuit.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
