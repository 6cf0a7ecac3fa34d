"""One of several switches left where it stood."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import ChangeoverSwitch, Switch
from grader.mistakes.altered import with_switch_left
from grader.mistakes.case import Case
from grader.mistakes.propagate import some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The circuit with each acting switch left in turn."""
    acting = [e for e in case.circuit.elements if isinstance(e, (Switch, ChangeoverSwitch)) and e.actions]
    if len(acting) < 2:
        return
    for switch in acting:
        yield from some(case.answer_on(with_switch_left(case.circuit, switch.name)), f"{switch.name} left")


ENTRY = Mistake(
    id="switch-action-missed",
    title="One switch's action missed",
    idea="With several switches each has its own instant. One of them was left where it stood.",
    nudge="Which switches have acted by then, and where does each of them stand?",
    remark="The answer fits the circuit with one switch that never acts.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
