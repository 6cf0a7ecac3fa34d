"""A power of ten that is none: what the circuit has when it is misread."""

from msgspec.structs import replace

from grader.marking.credit import Credit
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.key import Key
from grader.marking.marks import INCORRECT
from grader.marking.verdict import Verdict
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import ROUNDED

MISREAD = ("final_value", "misread_circuit", "resistance_seen", "start_value")
"""Families of mistakes by which a value is that of another circuit, or of another part of it."""

NEAR = 0.1
"""Share of the tolerance within which an answer is a mistake's own value."""


def no_slip(key: Key, item: ItemKey, verdict: Verdict) -> Verdict:
    """The verdict on a value: what a misread circuit has, to the digit, is no slip by ten or a hundred; a wrong formula, as a prefix, keeps the benefit of the doubt."""
    judgement, taken = verdict.judgement, verdict.taken
    decimal = judgement.size is Size.POWER_OF_TEN and judgement.exponent % 3 and judgement.comparison is None
    if not decimal or verdict.source or verdict.mistake:
        return verdict
    found = key.diagnoser.diagnose(item.problem, item.id, taken.meant(judgement.meant), digits=taken.digits)
    exact = (one for one in found.candidates if len(one.ids) == 1 and one.rank == ROUNDED)
    if all(catalogue()[one.ids[0]].family not in MISREAD or one.relative_deviation > NEAR for one in exact):
        return verdict
    return replace(
        verdict,
        judgement=judgement._replace(size=Size.WRONG, exponent=0),
        credit=Credit(share=0.0, verdict=INCORRECT),
        reasons=(),
    )
