"""A bound where one of many right values is asked: ``R ≥ 138 Ω``."""

from grader.quantities.design import Requirement, meeting
from grader.regex import regex
from grader.values.scalar import to_float

_BOUND = regex(r"\s*(?:[A-Za-z]\w*\s*)?(?P<sign>>=|=>|≥|⩾|>|<=|=<|≤|⩽|<)\s*")


def without_bound(required: Requirement | None, text: str) -> str:
    """``R ≥ 138 Ω`` as its edge, where every value on that side meets what is asked of a designed element."""
    bound = _BOUND.match(text)
    if required is None or bound is None or required.goal.relation == "is":
        return text
    least, *_, most = required.tried()
    outermost = least if set(bound["sign"]).isdisjoint(">≥⩾") else most
    open_on_that_side = any(outermost in map(to_float, span) for span in meeting(required))
    return text[bound.end() :] if open_on_that_side else text
