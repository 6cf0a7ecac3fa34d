"""A power of ten that is none: what a catalogued mistake gives."""

from msgspec.structs import replace

from grader.marking.credit import Credit
from grader.marking.following import Verdict
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.key import Key
from grader.marking.marks import INCORRECT
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import ROUNDED
from grader.mistakes.records import Candidate

SLIPS = "slips"
"""The family of mistakes that change no way of working."""

OF_ANOTHER_UNIT = (
    "rl-time-constant-inverted", "wrong-combination", "rate-instead-of-time", "natural-rate-upside-down", "root-not-taken",
    "energy-square-lost",
)  # fmt: skip
"""Formulas that do not give the unit asked: whoever wrote that unit has hardly used them."""

NEAR = 0.1
"""Share of the tolerance within which an answer is a mistake's own value."""


def no_slip(key: Key, item: ItemKey, verdict: Verdict) -> Verdict:
    """The verdict on a value: what a catalogued mistake gives, to the digit, is no slip by ten or a hundred; a prefix keeps the benefit of the doubt, and so does a formula of another unit."""
    judgement, taken = verdict.judgement, verdict.taken
    decimal = judgement.size is Size.POWER_OF_TEN and judgement.exponent % 3 and judgement.comparison is None
    if not decimal or verdict.source or verdict.mistake:
        return verdict
    found = key.diagnoser.diagnose(item.problem, item.id, taken.meant(judgement.meant), digits=taken.digits)
    exact = (one for one in found.candidates if len(one.ids) == 1 and one.rank == ROUNDED)
    if not any(_tells(one) for one in exact):
        return verdict
    return replace(
        verdict,
        judgement=judgement._replace(size=Size.WRONG, exponent=0),
        credit=Credit(share=0.0, verdict=INCORRECT),
        reasons=(),
    )


def _tells(match: Candidate) -> bool:
    """Whether a mistake is another way of working to that very value."""
    (id,) = match.ids
    return catalogue()[id].family != SLIPS and id not in OF_ANOTHER_UNIT and match.relative_deviation <= NEAR
