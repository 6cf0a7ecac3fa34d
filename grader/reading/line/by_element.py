"""Values that a line tells apart by their elements: ``R2 takes 1 A, the coil 2 A``; ``3 A in all, 2 A of it in L1``."""

import re
from typing import NamedTuple

from grader.reading.line.fit import NAMES_ANOTHER, naming
from grader.reading.line.phrases import phrase_of
from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.regex import regex

WHOLE = "whole"
_ELEMENT = regex(r"(?<!\w)(?:(?P<name>[RLC][0-9]+)|(?P<kind>[Cc]ap(?:acitor)?|[Cc]oil|[Ii]nductor))(?!\w)")
_CLAUSE = regex(r"(?:(?!\b(?:and|but|while|whereas)\b|:\s*[RLC][0-9])(?:[^,;.]|[,.](?=[0-9])))+")


class _Told(NamedTuple):
    """A clause with its one value, and the element that has it; "" for all of them together."""

    start: int
    end: int
    element: str
    value: str


def with_labels(text: str, question: Question) -> str:
    """``2 A are in R4, 3 A in the coil`` as ``R4=2 A, L1=3 A``."""
    for start, end, element, value in _told(text, question):
        said = f"{element}={value}" if element else value
        behind = f",{text[end + 1 :]}" if text.startswith(":", end) else text[end:]
        text = text[:start] + said.ljust(end - start) + behind
    return text


def without_other_elements(text: str, question: Question) -> str:
    """A text without the values that it gives to elements not asked about, overwritten by blanks."""
    told = _told(text, question)
    named = [naming(one.element, question) for one in told]
    for one, names in zip(told, named, strict=True):
        if names < max(named):
            text = text[: one.start] + " " * (one.end - one.start) + text[one.end :]
    return text


def _told(text: str, question: Question) -> list[_Told]:
    """The clauses that give an element its value, and those with a whole; none where any value is told otherwise."""
    if question.expects != "value" or not question.called or "=" in text or not _ELEMENT.search(text):
        return []
    values = measured(text, question)
    found: list[_Told] = []
    for clause in _CLAUSE.finditer(text) if len(values) > 1 else ():
        own = [one[0] for one in values if clause.start() <= one.start() < clause.end()]
        elements = {one["name"] or _the_only(one["kind"], question) for one in _ELEMENT.finditer(clause[0])}
        whole = {""} if phrase_of(WHOLE).search(clause[0]) else set()
        if len(own) == 1 and len(elements or whole) == 1:
            found.append(_Told(*clause.span(), (elements or whole).pop(), own[0].strip()))
    apart = len({one.element for one in found}) == len(found) == len(values)
    return found if apart and any(naming(one.element, question) != NAMES_ANOTHER for one in found) else []


def _the_only(kind: str, question: Question) -> str:
    """The one capacitor or inductor of the circuit; its kind where there are several."""
    letter = "C" if kind.lower().startswith("cap") else "L"
    found = [name for name in question.vocabulary.dimensions if re.fullmatch(f"{letter}[0-9]+", name)]
    return found[0] if len(found) == 1 else kind
