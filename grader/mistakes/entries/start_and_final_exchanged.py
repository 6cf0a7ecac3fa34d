"""Initial and final value in each other's place."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import FINAL, INITIAL, Case
from grader.mistakes.propagate import OF_EXPRESSION, by_expression, from_ingredients, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The final value as the initial one, the initial one as the final."""
    if case.find in OF_EXPRESSION:
        yield from by_expression(case, "x0+(xf-x0)*e^(-(t-t1)/tau)")
    elif case.signal is not None and case.index and not (case.find == INITIAL and not case.is_own()):
        x0, xf = case.solvers(INITIAL), case.solvers(FINAL)
        if x0 is not None and xf is not None:
            yield from some(from_ingredients(case, x0=xf, xf=x0))


ENTRY = Mistake(
    id="start-and-final-exchanged",
    title="Start and final value exchanged",
    idea=(
        "Both values were found rightly and put in each other's place: one question is about the first instant, "
        "the other about long afterwards."
    ),
    nudge="Read the two questions again: which is about the first instant, and which about long afterwards?",
    remark="The initial and the final value are in each other's place.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
