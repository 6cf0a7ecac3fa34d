"""The start value with the wrong sign."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import BEFORE, INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_ingredients, from_states, some, states_before
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """The start value with its sign reversed, in itself and in what begins with it."""
    if case.find == BEFORE and isinstance(case.right, Waveform):
        yield Wrong(-case.right)
        return
    x0 = case.solvers(INITIAL) if case.signal is not None and case.index else None
    if x0 is not None:
        yield from some(from_ingredients(case, x0=-x0))
    if case.find == INITIAL and not case.is_own() and case.index:
        yield from some(
            from_states(case, {name: -value for name, value in states_before(case).items()}), "of the state"
        )


ENTRY = Mistake(
    id="start-sign-turned",
    title="Sign of the start value turned",
    idea=(
        "Signs belong to reference directions. The value is right in size but counted against the arrow or the + "
        "mark of the drawing."
    ),
    nudge="Put the given arrow or + mark back on your sketch: what do you read along it?",
    remark="The start value has the right size and the opposite sign.",
    source=source.SIGN_RULES,
    prior=REPORTED,
    wrong=wrong,
)
