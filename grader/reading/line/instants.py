"""Of which instant a clause speaks: ``before: 2.44 V, after: -62.3 V`` has one answer to what is asked right after."""

import re
from collections.abc import Iterator

from grader.reading.line.phrases import opened, phrase_of, spelled
from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.regex import regex

_OTHER = {
    "before": {"after", "at first", "at last"},
    "at first": {"before", "at last"},
    "at last": {"before", "at first"},
    "": {"before", "at last"},
}
"""By the instant asked the instants that are others; whatever else is asked is asked after the switching."""

_WITHOUT = regex(r"\b(?:without|excluding|excl|not counting|leaving out|ohne)\b", re.IGNORECASE)
_WITH = regex(r"\b(?:with|including|incl|mit)\b", re.IGNORECASE)
"""What one clause leaves out of the circuit that another one has in it: ``6 ohm without R3, 9 ohm with it``."""
_SUPPOSED = regex(
    r"\b(?:would\s+have\s+[^\W\d_]|if\b.*\b(?:were|had\s+been|would)\b|(?:alone|otherwise)\b.*\bwould\b|would\b.*\b(?:alone|otherwise)\b)",
    re.IGNORECASE,
)
"""What is not so: ``if R2 were there it would be 3 ms``."""

_BORDER = regex(
    r"[;\n]|:(?=[^,;:]*(?:e\s?\^|\bexp\b))|,(?![0-9])|\.(?=\s)|\b(?:and|but|so|with|where|while|und|aber|mais|pero)\b",
    re.IGNORECASE,
)
_VALUE = regex(r"(?<![^\W\d_(])[0-9]")
_JUMPS = ("jump", "step", "spring", "saut", "salta", "at once", "instantly", "immediately", "suddenly")
_JUMP = regex(
    rf"(?:\b(?:{'|'.join(_JUMPS[:5])})\w*|(?=.*(?:{'|'.join(_JUMPS[5:])})))\s+"
    r"(?P<before>(?:from|von|de|da)\s.*?[0-9].*?\s(?:to|auf|nach|à|a)\b)",
    re.IGNORECASE,
)
"""``it jumps from 8 V to 20 V``, ``it goes from 8 V to 20 V at once``"""
_CHANGE = regex(
    r"(?P<before>\b(?:from|von|de|da|by)\s+(?:\w+\s+)?[-+]?[0-9.,]+\s?[^\W\d_]+\b)(?!\s*[-+*/|=(])", re.IGNORECASE
)
"""``from 8 V it drops to 2 V``, ``by another 2 V to 8 V``, what it comes to being asked"""
INSTANTS = ("before", "at first", "after", "at last")


def instant_asked(question: Question) -> str:
    """The instant whose value is asked, as its names tell it; "" for any other, or where none do."""
    for sign, instant in (("(0-)", "before"), ("(inf)", "at last"), ("(0)", "at first")):
        if any(name.endswith(sign) for name in question.called):
            return instant
    return ""


def of_other_instants(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """Where clauses with a value stand that speak of another instant, if one is left that does not."""
    instants = phrase_of(*INSTANTS)
    if question.expects == "roots":
        return
    asked = instant_asked(question)
    jump = _jump(text, question, asked)
    if jump is not None and asked != "before":
        yield jump.span("before")
        return
    apart = _WITHOUT.search(text) is not None and _WITH.search(text) is not None
    if not apart and not instants.search(text) and not _SUPPOSED.search(text):
        return
    others, aside, own, start = [], [], "", 0
    for border in (*_BORDER.finditer(text), None):
        end = len(text) if border is None else border.start()
        clause = text[start:end]
        if _VALUE.search(instants.sub("", clause)):
            said = {opened(*INSTANTS)[spelled(one[0])] for one in instants.finditer(clause)}
            said -= {"at last"} if "t" in question.called else set()  # a bit later: 5.5 ms
            if said and said <= _OTHER[asked]:
                others.append((start, end))
            elif (apart and _WITHOUT.search(clause)) or _SUPPOSED.search(clause):
                aside.append((start, end))
            else:
                own += f"{clause};"
        start = end if border is None else border.end()
    if own:
        yield from others
        yield from aside if question.expects != "value" or measured(own, question) else ()


def _jump(text: str, question: Question, asked: str) -> re.Match[str] | None:
    """Where a line says from what to what it jumps or changes."""
    jump = _JUMP.search(text) if any(word in text for word in _JUMPS) else None
    if jump is None and asked in {"", "at last"} and question.expects == "value":
        change = _CHANGE.search(text)
        if change is None or measured(text[: change.start()], question) or not measured(change["before"], question):
            return None
        return change if measured(text[change.end() :], question) else None
    return jump
