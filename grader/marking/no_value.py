"""An answer that says there is no such value: right where the student's own earlier answers leave none."""

import re
from collections.abc import Mapping

from grader.marking.follow import CarriedForward
from grader.marking.own_clock import INSTANTS, never_with_reason
from grader.quantities import Answer, follow
from grader.regex import regex
from grader.rubric.references import Reference
from grader.values.scalar import ZERO, to_float
from grader.values.waveform import Waveform

_SAYS_NONE = regex(
    r"(?:^|\W)(?:(?:does\s+not|doesn['’]?t|do\s+not|don['’]?t|cannot|can['’]?t)\s+exist|there(?:\s+is|['’]s)\s+(?:none|no(?:t\s+any)?\b)"
    r"|not\s+defined|undefined|non-?existent|not\s+real|imaginary|gibt\s+es\s+nicht|existiert\s+nicht|n['’]existe\s+pas|no\s+existe|non\s+esiste)(?:\W|$)",
    re.IGNORECASE,
)


def says_none(text: str) -> bool:
    """Whether an answer says, in words, that there is no such value or instant."""
    return bool(_SAYS_NONE.search(text) or never_with_reason(text))


def understood_as(text: str) -> str:
    """What is told of such an answer."""
    return never_with_reason(text) or "This was understood as 'there is none'; a value is expected here."


def left_without(reference: Reference, carried: Mapping[str, CarriedForward]) -> tuple[str, ...]:
    """The student's own wrong answers from which there follows no value at all; none where one does."""
    for rule in reference.rules:
        if all(item in carried for item in rule.items):
            sources = dict.fromkeys(source for item in rule.items for source in carried[item].source)
            if sources:
                led = follow(rule, {id: carried[id].answer for id in rule.items})
                return tuple(sources) if led is None or _is_over(led, reference) else ()
    return ()


def _is_over(led: Answer, reference: Reference) -> bool:
    """Whether an instant lies before the interval asked: a response that goes away from a level was there at some time before."""
    if not isinstance(led, Waveform) or led.is_symbolic or not led.is_constant or reference.find not in INSTANTS:
        return False
    return led.value() < to_float(reference.start or ZERO)
