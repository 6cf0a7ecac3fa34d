"""Instants and expressions that a student counts from a switching of their own choice, brought to the problem's clock."""

import re
from collections.abc import Iterable

from flint import fmpq

from grader.marking.itemkey import ItemKey
from grader.quantities import Answer
from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal
from grader.reading.value.evaluate import evaluate
from grader.regex import regex
from grader.rubric.references import Reference
from grader.values.comparison import close
from grader.values.dimension import TIME
from grader.values.scalar import ZERO
from grader.values.waveform import Waveform, constant, number_of

INSTANTS = ("time to reach", "time when equal", "time of maximum", "time of minimum", "peak time")
"""What asks for an instant on the problem's clock."""
COUNTED = "It was counted from"
"""How what is told of such an answer begins."""
ORIGIN = regex(
    r"\b(?:after|from|since|past|following|counted|measured)\b.*"
    r"(?:\b(?:switch|clos|open|chang|begin|start|second action|puls|drop|turn)|\boff\b|[0-9]\s*[mμµu]?s\b)|\blater\b",
    re.IGNORECASE,
)
"""Words that say that an instant is counted from the switching and not on the problem's own clock."""
_LATER = regex(
    r"\b(?:after|since|past)\s+(?:the\s+)?(?:(?:end|pulse)\b(?!.*\b(?:start|begin|began|rise|ris)).*|.*\b(?:drops?|turn\w*[\s-]*off|off)\b)",
    re.IGNORECASE,
)
"""The end of a pulse, or what goes off, is not the beginning of all."""
_TIME = r"[0-9][0-9.,]*\s*[mμµu]?s(?:ec(?:onds?)?)?\b"
_FROM = regex(
    rf"[0-9]\s*[mμµu]?s(?:ec(?:onds?)?)?\b[\s,(]*(?:(?:counted|measured|reckoned)\s+)?(?:after|past|from|since|beyond)\s+"
    rf"(?:(?:the|instant|time)\s+)*(?:(?P<instant>{_TIME})|t\s*=\s*(?P<t>[0-9][0-9.,]*(?:\s*[mμµu]?s\b)?))(?!\s*(?:to|until)\b)"
    rf"|(?<!\w)t\s*[-−–]\s*\(?(?P<less>[0-9][0-9.]*(?:\s*[mμµu]?s\b)?)\)?\s*=",
    re.IGNORECASE,
)
"""``115 ms after t = 100 ms``, ``t - 100 ms = 115 ms``"""
_ORDINALS = {"first": 0, "1st": 0, "second": 1, "2nd": 1, "third": 2, "3rd": 2, "last": -1}
_ACTION = regex(
    r"(?<![\w.,])(?P<value>[0-9][0-9.,]*\s*[mμµu]?s)(?:ec(?:onds?)?)?\b[\s(]*(?:(?:counted|measured|reckoned)\s+)?"
    r"(?P<side>after|before|past|from|since|following)\s+(?:the\s+)?(?:(?:moment|instant|time)\s+(?:when\s+|of\s+)?)?"
    rf"(?:(?P<ordinal>{'|'.join(_ORDINALS)})\s+(?:switching|action|change|event|switch)\b"
    r"|(?:(?P<act>clos|open|switch)ing\s+of\s+)?(?P<name>[^\W\d_]\w*)\b(?:\s+(?:has|is|was|gets))*(?:\s+(?P<verb>clos|open|act|switch|chang))?)",
    re.IGNORECASE,
)
"""``23.3 ms after S2 closes``, ``5 ms before the second switching``"""
_OWN_TIME = regex(r"^\W*t\s*['’′]\s*=")
_DURATION = regex(r"^\W*(?:(?:Δ|∆|delta[\s_]*)t|t_?2\s*[-−–]\s*t_?1)\s*=", re.IGNORECASE)
_NEVER = regex(
    r"\W*(?:[^\W\d_]\w*(?:\([^()]*\))?\s+){0,3}(?:never\b|nie(?:mals)?\b|jamais\b|nunca\b|mai\b|(?:is|was|does|do|will|can)(?:\s+not|n't)\s+(?:be\s+)?(?:ever\s+)?reach)"
    r"(?:\s+reache?[sd]?)?(?P<why>.*)",
    re.IGNORECASE | re.DOTALL,
)
_NONE = regex(
    r"\W*(?:none|nil|no\s+such\s+(?:instant|time)|no(?:\s+such)?\s+(?:peak|overshoot|maximum|minimum|crossing|instant)"
    r"|(?:it\s+)?(?:does\s+not|doesn['’]t)\s+overshoot|keine?[nrs]?|aucune?|ningun[ao]|nessun[ao]|nenhum)"
    r"(?:\s+(?:exists?|at\s+all|here|is\s+reached))?\s*(?:$|(?:[,;:.!(–-]|(?:because|since|as)\b)[^0-9]*)",
    re.IGNORECASE,
)
"""Where an instant is asked, ``none`` is no zero."""
_INSTANT = regex(r"(?<![\w.,])[0-9][0-9.,]*\s*[mμ]?s?\b")
"""The instant from which ``t measured from 30 ms`` counts."""


_SINCE_WHAT = regex(
    r"(?<![\w.,])(?P<value>[0-9][0-9.,]*\s*[mμµu]?s)(?:ec(?:onds?)?)?\b[\s,(]*(?:after|since|past|following)\s+(?!t\b|[0-9])[^\W\d_]{2}",
    re.IGNORECASE,
)
"""``11.75 ms after the release``: an instant is counted from something, which may be the switching."""


def perhaps_since_the_switching(reference: Reference, answer: Answer, text: str) -> Waveform | None:
    """An instant on the problem's clock if words that nobody here knows tell of the switching; None where there are none."""
    since = _SINCE_WHAT.search(text) if reference.find in INSTANTS and reference.start else None
    if since is None or not isinstance(answer, Waveform) or _seconds(since["value"]) != number_of(answer):
        return None
    return answer + constant(reference.start or ZERO)


def never_with_reason(text: str) -> str:
    """What is told of an answer that says, with a reason, that there is no such instant; "" of any other."""
    said = _NEVER.match(text)
    if said is None or not re.search("[0-9]", said["why"]):  # without a value it is wrong whatever was answered before
        return ""
    return "This was understood as 'never', with the reason given; an instant is expected here."


def says_no_instant(text: str) -> bool:
    """Whether an answer says, without a value, that there is no such instant."""
    return _NONE.fullmatch(text) is not None


def since_the_switching(item: ItemKey, reading: Reading, answer: Answer, text: str) -> Waveform | None:
    """An instant or an expression that is said to count from where the interval asked begins, on the problem's own clock.

    An instant may be counted from any other that the answer names.
    """
    reference = item.reference
    if not isinstance(answer, Waveform):
        return None
    if reference.find in INSTANTS:
        return _instant_since(reference, reading, answer, text)
    start, words = reference.start, reading.origin
    if not start or not words or _is_of_another_switch(words, start, reference):
        return None
    instant = _INSTANT.search(words)
    return None if instant is not None and _seconds(instant[0]) not in {None, start} else answer.delayed(start)


def _instant_since(reference: Reference, reading: Reading, answer: Waveform, text: str) -> Waveform | None:
    """An instant on the problem's own clock: counted from an instant or an action that the answer names, else from the switching."""
    if (named := _named(text, reading.label)) is not None:
        return answer + constant(named) if named else None
    action = _ACTION.search(text)
    instant = _instant_of(action, reference)
    if action is not None and instant is not None:
        return _from_action(action, instant, answer)
    counts = ORIGIN.search(text) or _is_own_time(text, reading.label) or _DURATION.match(text)
    start, words = reference.start, text if counts else reading.origin
    if not start or not words or _is_of_another_switch(words, start, reference):
        return None
    return answer + constant(start)


def _from_action(action: re.Match[str], instant: fmpq, answer: Waveform) -> Waveform | None:
    """An instant that is told as so long before or after an action; None where that is said of another value, or comes to the same."""
    if _seconds(action["value"]) != number_of(answer):
        return None  # 53.3 ms, 23.3 ms after S2 closes
    if action["side"].lower() == "before":
        return constant(instant) - answer
    return answer + constant(instant) if instant else None


def _is_of_another_switch(words: str, start: fmpq, reference: Reference) -> bool:
    """Whether words name a switch that does not act where the interval asked begins."""
    others = (name for name, actions in reference.acting if start not in dict(actions))
    return any(re.search(rf"\b{re.escape(name)}\b", words) for name in others)


def counts_late(reference: Reference, own: Answer, led: Iterable[Answer], tolerance: float) -> fmpq:
    """By how much a wrong expression counts from another switching, or from t = 0, seconds: there it starts as it should here.

    ``led`` is what follows from earlier answers, where it may start as well.
    """
    if not isinstance(own, Waveform) or own.is_constant or own.is_symbolic:
        return ZERO
    start, waveform = reference.start or ZERO, own
    begins = [one.at(start) for one in (reference.answer, *led) if isinstance(one, Waveform) and not one.is_symbolic]

    def starts_at(instant: fmpq) -> bool:
        value = waveform.at(instant).value()
        return any(close(value, begin.value(), tolerance, reference.scale) for begin in begins)

    others = () if starts_at(start) else (instant for instant in reference.clocks if instant != start)
    return next((start - instant for instant in others if starts_at(instant)), ZERO)


def is_elsewhere(text: str, label: str, reference: Reference) -> bool:
    """Whether an instant with a label is certainly counted from another one than the problem's clock, so that it is none as it stands."""
    named = _instant_of(_ACTION.search(text), reference) is not None
    return named or _is_own_time(text, label) or any(pattern.search(text) for pattern in (_FROM, _LATER))


def _is_own_time(text: str, label: str) -> bool:
    """Whether a line begins with ``t' =`` and does not come to t itself: ``t' = 12 ms, so t = 27 ms``."""
    return label != "t" and _OWN_TIME.match(text) is not None


def _instant_of(action: re.Match[str] | None, reference: Reference) -> fmpq | None:
    """When something acts that words name, ``S2 closes``, ``the second switching``; None where they name nothing for certain."""
    if action is None:
        return None
    acts = [(at, name, closes) for name, actions in reference.acting for at, closes in actions]
    instants = sorted({at for at, *_ in acts})
    if action["ordinal"]:
        place = _ORDINALS[action["ordinal"].lower()]
        return instants[place] if -len(instants) <= place < len(instants) else None
    verb = (action["verb"] or action["act"] or "").lower()
    closes = {"clos": True, "open": False}.get(verb)
    named = {at for at, name, then in acts if name == action["name"] and (closes is None or then is closes)}
    return named.pop() if len(named) == 1 else None


def _named(text: str, label: str = "") -> fmpq | None:
    """The instant from which an answer says that it counts, seconds; None where it names none, or goes on to t itself."""
    found = _FROM.search(text)
    if found is None or (found["less"] and label == "t" and _ITSELF.search(text, found.end())):
        return None
    return _seconds(found["instant"] or found["t"] or found["less"])


_ITSELF = regex(r"(?<![\w-])t\s*=")


def _seconds(instant: str) -> fmpq | None:
    """An instant as typed, seconds; None where it cannot be read."""
    found = read(instant, dimension=TIME)
    return None if isinstance(found, Refusal) else number_of(evaluate(found[0].tree).waveform)
