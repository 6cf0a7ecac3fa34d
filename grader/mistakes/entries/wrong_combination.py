"""R/C, C/R or L·R taken as the time constant."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import SEEN, TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_formula
from grader.mistakes.records import REPORTED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The wrong products and quotients."""
    tau, seen = case.solvers(TAU), case.solvers(SEEN)
    if case.find != TAU or tau is None or seen is None or not seen.terms:
        return
    if case.capacitive:
        for formula in ("R/C", "C/R"):
            yield from by_formula(case, formula, {"R": SEEN}, given={"C": tau / seen})
    elif case.capacitive is False:
        yield from by_formula(case, "L*R", {"R": SEEN}, given={"L": tau * seen})


ENTRY = Mistake(
    id="wrong-combination",
    title="Resistance and storage element combined wrongly",
    idea=(
        "A larger capacitor, or a larger resistance in front of it, makes things slower; a larger coil, or a "
        "smaller resistance, does, too. The combination used does not behave so, nor has it the unit of a time."
    ),
    nudge="Should a larger capacitor or coil make things slower or faster, and does your formula agree?",
    remark="R and C (or L) were combined by a wrong formula.",
    source=source.TEACHING_FILE,
    prior=REPORTED,
    wrong=wrong,
)
