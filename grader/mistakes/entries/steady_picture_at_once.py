"""The dc picture used right after the switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import some
from grader.mistakes.records import REPORTED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The final value as the initial one, of a quantity that may jump."""
    if case.find == INITIAL and case.index and not case.is_own():
        yield from some(case.read(case.static(case.opens, {})))


ENTRY = Mistake(
    id="steady-picture-at-once",
    title="Steady-state picture used at 0+",
    idea=(
        "Capacitor open and inductor short describe the circuit when all has settled. At the first instant the "
        "element still holds its old voltage or current."
    ),
    nudge="Immediately after switching, has the circuit had time to settle?",
    remark="The value just after switching was taken from the dc circuit of the long time after it.",
    source=source.CONCEPT_253,
    prior=REPORTED,
    wrong=wrong,
)
