"""A resistor that the switch shorts or cuts off still counted."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.network import positions
from grader.circuit.statics import OPEN, SHORT
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import REPORTED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The resistance seen with each switch in its other position."""
    where = positions(case.circuit, case.opens)
    for switch in case.switches:
        treat = {switch.name: OPEN if where[switch.name] else SHORT}
        yield from some(from_resistance(case, case.resistance(case.index, treat)), f"in spite of {switch.name}")


ENTRY = Mistake(
    id="bypassed-resistor-counted",
    title="Bypassed or cut-off resistor counted",
    idea=(
        "A closed switch shorts what lies beside it, an open one cuts off what lies behind it. The resistor was "
        "counted all the same."
    ),
    nudge="What does the switch do to the part beside it after the switching?",
    remark="The resistance was found as if a switch stood the other way.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
