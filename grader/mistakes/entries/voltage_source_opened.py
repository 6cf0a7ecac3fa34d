"""A voltage source set to zero as a gap."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import VoltageSource
from grader.circuit.statics import OPEN
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The resistance seen with voltage sources open, each and all."""
    names = [element.name for element in case.sources if isinstance(element, VoltageSource)]
    for group in dict.fromkeys([*((name,) for name in names), tuple(names)]):
        if group:
            seen = case.resistance(case.index, dict.fromkeys(group, OPEN))
            yield from some(from_resistance(case, seen), f"{', '.join(group)} as a gap")


ENTRY = Mistake(
    id="voltage-source-opened",
    title="Voltage source replaced by a gap",
    idea=(
        "A voltage source at zero holds zero volts between its terminals whatever the current: it is a wire, not a gap."
    ),
    nudge="A source with zero volts across it: what does that look like between its terminals?",
    remark="A voltage source was set to zero as an open circuit.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
