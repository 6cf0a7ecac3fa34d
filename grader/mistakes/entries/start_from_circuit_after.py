"""The state before switching found in the circuit after it."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import BEFORE, INITIAL, Case
from grader.mistakes.propagate import from_states, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The dc state of the circuit after switching, taken for the one before."""
    if case.index != 1 or any(element.initial is not None for element in case.storage):
        return
    static = case.static(case.opens, {})
    if case.find == BEFORE:
        yield from some(case.read(static))
    elif case.find != INITIAL or not case.is_own():
        yield from some(from_states(case, case.states(static)))


ENTRY = Mistake(
    id="start-from-circuit-after",
    title="Start value from the circuit after switching",
    idea=(
        "The element remembers what the circuit before switching did to it. Solving the dc problem with the "
        "switch already moved leaves no transient at all, which is the sign to look for."
    ),
    nudge="The element remembers the time before t = 0: which picture of the switch did you use?",
    remark="The state before switching was taken from the dc solution of the circuit after it.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
