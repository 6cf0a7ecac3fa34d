"""An answer that says there is no such value: right where the student's own earlier answers leave none."""

import re
from collections.abc import Mapping
from typing import NamedTuple

from grader.marking.follow import CarriedForward
from grader.marking.own_clock import INSTANTS, never_with_reason
from grader.quantities import Answer, Rule, follow
from grader.quantities.finding import Find
from grader.regex import regex
from grader.rubric.references import Reference
from grader.values.scalar import ZERO, to_float
from grader.values.waveform import Waveform, number_of

_SAYS_NONE = regex(
    r"(?:^|\W)(?:(?:does\s+not|doesn['’]?t|do\s+not|don['’]?t|cannot|can['’]?t)\s+exist|there(?:\s+is|['’]s)\s+(?:none|no(?:t\s+any)?\b)"
    r"|not\s+defined|undefined|non-?existent|not\s+real|imaginary(?!\s+(?:part|axis|unit))|gibt\s+es\s+nicht|existiert\s+nicht|n['’]existe\s+pas|no\s+existe|non\s+esiste)(?:\W|$)",
    re.IGNORECASE,
)


def says_none(text: str) -> bool:
    """Whether an answer says, in words, that there is no such value or instant."""
    return bool(_SAYS_NONE.search(text) or never_with_reason(text))


def understood_as(text: str) -> str:
    """What is told of such an answer."""
    return never_with_reason(text) or "This was understood as 'there is none'; a value is expected here."


class NoValue(NamedTuple):
    """What an answer that there is no such value is worth: right for own answers, for a person to look at, or wrong."""

    sources: tuple[str, ...] = ()
    """The own wrong answers from which there follows no value at all."""
    person: bool = False


def left_without(reference: Reference, carried: Mapping[str, CarriedForward]) -> NoValue:
    """Whether the student's own wrong answers leave no value; an own response tells by itself that they do not, of others a person decides."""
    for rule in reference.rules:
        if all(item in carried for item in rule.items):
            sources = dict.fromkeys(source for item in rule.items for source in carried[item].source)
            if sources:
                return _left_by(rule, tuple(sources), reference, carried)
    return NoValue(person=any(own.source for own in carried.values()))


def _left_by(
    rule: Rule, sources: tuple[str, ...], reference: Reference, carried: Mapping[str, CarriedForward]
) -> NoValue:
    """The same of one rule, by which the answer follows from own wrong ones."""
    wrong = [carried[id] for id in (*rule.items, *sources) if id in carried and carried[id].source]
    responses = [one for one in wrong if isinstance(one.right, Waveform) and not one.right.is_constant]
    led = follow(rule, {id: carried[id].answer for id in rule.items})
    if led is not None and not _is_over(led, reference):
        return NoValue(person=not responses)
    beyond = [one for one in responses if _is_beyond(one, reference)]
    if any(one.slip for one in responses) or not all(one.flat for one in beyond):
        return NoValue(person=True)
    return NoValue() if beyond else NoValue(sources)


def _is_beyond(own: CarriedForward, reference: Reference) -> bool:
    """Whether an own response begins on the other side of the level than the right one: there is nothing left to reach."""
    right, answer, start = own.right, own.answer, reference.start or ZERO
    if reference.find != Find.REACH or not isinstance(right, Waveform) or not isinstance(answer, Waveform):
        return False
    if not isinstance(reference.answer, Waveform) or any(one.is_symbolic for one in (right, answer, reference.answer)):
        return False
    level = right.at(number_of(reference.answer)).value()
    return (answer.at(start).value() - level) * (right.at(start).value() - level) < 0


def _is_over(led: Answer, reference: Reference) -> bool:
    """Whether an instant lies before the interval asked: a response that goes away from a level was there at some time before."""
    if not isinstance(led, Waveform) or led.is_symbolic or not led.is_constant or reference.find not in INSTANTS:
        return False
    return led.value() < to_float(reference.start or ZERO)
