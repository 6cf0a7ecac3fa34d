"""The switch read the wrong way round."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.altered import with_switches_reversed
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import some
from grader.mistakes.records import SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The circuit with every switch doing the opposite."""
    yield from some(case.answer_on(with_switches_reversed(case.circuit)))


ENTRY = Mistake(
    id="switch-read-backwards",
    title="Switch read backwards",
    idea=(
        '"Opens" was read as "closes", so that the circuits before and after changed places. Two small sketches, '
        "one for each side of the switching, settle it."
    ),
    nudge="Draw two small sketches, one for each side of the switching: do they agree with the text?",
    remark="The circuits before and after switching were exchanged.",
    source=source.BACKWARDS,
    prior=SUPPOSED,
    wrong=wrong,
)
