"""Another element's current or voltage given."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import ChangeoverSwitch, CoupledInductors, Signal, Switch
from grader.mistakes.case import AT, BEFORE, EXPRESSION, FINAL, INITIAL, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.quantities.links import asked_value

MAX_NEIGHBOURS = 8
"""With more of them some neighbour fits any number."""


def wrong(case: Case) -> Iterator[Wrong]:
    """The right answer for every other element, same kind of quantity."""
    if case.signal is None or case.find not in (BEFORE, INITIAL, FINAL, EXPRESSION, AT):
        return
    named = [e.name for e in case.circuit.elements if not isinstance(e, (Switch, ChangeoverSwitch, CoupledInductors))]
    if case.signal.kind not in ("current", "voltage", "power") or len(named) > MAX_NEIGHBOURS:
        return
    for name in named:
        own = None if name == case.signal.of else asked_value(case.question, Signal(kind=case.signal.kind, of=name))
        if own is not None and own.terms:  # a zero belongs to nobody
            yield Wrong(own, f"{case.signal.kind} of {name}")


ENTRY = Mistake(
    id="neighbour-quantity-given",
    title="Quantity of another element given",
    idea=(
        "All quantities of the circuit share the time constant, so another element's answer looks familiar. The "
        "one given belongs to a neighbour."
    ),
    nudge="Underline the symbol in the question and the symbol in your answer: are they the same?",
    remark="The answer is that of another element.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
