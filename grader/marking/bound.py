"""A bound where one of many right values is asked: ``R ≥ 138 Ω``, ``138 ohm or more``."""

import re

from grader.quantities.design import Requirement, meeting
from grader.regex import regex
from grader.values.scalar import to_float

_IN_FRONT = regex(
    r"\s*(?:(?!not?\b)[A-Za-z]\w*\s*(?:\b(?:is|must\s+be|should\s+be|has\s+to\s+be|needs\s+to\s+be)\s*)?)?"
    r"(?:(?P<up>>=|=>|≥|⩾|>|\b(?:at\s+least|not?\s+less\s+than|more\s+than|mindestens|au\s+moins|al\s+menos)\b)"
    r"|<=|=<|≤|⩽|<|\b(?:at\s+most|not?\s+more\s+than|less\s+than|höchstens|au\s+plus|como\s+máximo)\b)\s*",
    re.IGNORECASE,
)
_BEHIND = regex(
    r"[\s,(]+(?:(?P<up>(?:or|and)\s+(?:more|higher|larger|greater|above|up(?:wards)?)|minimum|at\s+least)"
    r"|(?:or|and)\s+(?:less|lower|smaller|below)|maximum|at\s+most)\s*[).]?\s*$",
    re.IGNORECASE,
)


def without_bound(required: Requirement | None, text: str) -> str:
    """``R ≥ 138 Ω`` as its edge, where every value on that side meets what is asked of a designed element."""
    if required is None or required.goal.relation == "is":
        return text
    bound = _IN_FRONT.match(text) or _BEHIND.search(text)
    if bound is None:
        return text
    least, *_, most = required.tried()
    outermost = most if bound["up"] else least
    open_on_that_side = any(outermost in map(to_float, span) for span in meeting(required))
    return text[: bound.start()] + text[bound.end() :] if open_on_that_side else text
