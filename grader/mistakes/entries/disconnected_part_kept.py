"""A part that an open switch cuts off still counted at the end."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.network import positions
from grader.circuit.statics import SHORT
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The final value with one open switch taken as closed, each in turn."""
    if case.signal is None or not case.index:
        return
    where = positions(case.circuit, case.opens)
    for switch in case.switches:
        if not where[switch.name]:
            xf = case.read(case.static(case.opens, {switch.name: SHORT}))
            yield from some(from_ingredients(case, xf=xf), f"{switch.name} as if closed")


ENTRY = Mistake(
    id="disconnected-part-kept",
    title="Disconnected source or branch kept",
    idea="A source behind an open switch drives nothing any more. It was still counted in the final circuit.",
    nudge="Trace the loop after switching: is everything you counted still part of it?",
    remark="The final value was found with an open switch taken as closed.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
