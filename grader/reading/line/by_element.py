"""Values that a line tells apart by their elements: ``R2 takes 1 A, the coil 2 A``; ``3 A in all, 2 A of it in L1``."""

import re
from typing import NamedTuple

from grader.reading.line.chain import NEAR
from grader.reading.line.fit import NAMES_ANOTHER, NAMES_ASKED, naming
from grader.reading.line.formulas import values_in
from grader.reading.line.phrases import phrase_of
from grader.reading.line.records import Kind
from grader.reading.tokens import Question
from grader.regex import regex

WHOLE = "whole"
_ELEMENT = regex(
    r"(?<!\w)(?P<condition>(?:when|if|while|with|without)\s(?:the\s)?)?(?:(?:[WwEPpQqIiVvUu]_?)?(?P<name>[RLC][0-9]+)|(?P<kind>[Cc]ap(?:acitor)?|[Cc]oil|[Ii]nductor|(?:[Ss]ource|[Ss]upply|[Bb]attery)(?=\s+(?:[^\W\d_]+\s+)?[-+0-9]|\s*(?:[,;.]|$))))(?!\w)"
)
_CLAUSE = regex(
    r"(?:(?!\b(?:and(?!\s+(?:the\s+)?[RLC][0-9]\s*(?:[,;.]|$))|but|while|whereas)\b|:\s*[RLC][0-9])(?:[^,;.]|[,.](?=[0-9])))+"
)


_LABEL = regex(r"(?<!\w)(?!(?:[WwEPpQqIiVvUu]_?)?[RLC][0-9]+\s*=)[^\W\d_]\w*(?:\([^()]*\))?\s*=")
"""Another label than that of an element."""


class _Told(NamedTuple):
    """A clause with its one value, and the element that has it; "" for none, or all of them together."""

    start: int
    end: int
    element: str
    value: str


def with_labels(text: str, question: Question) -> str:
    """``2 A are in R4, 3 A in the coil`` as ``R4=2 A, L1=3 A``."""
    for start, end, element, value in _told(text, question):
        begin, said = end - len(text[start:end].lstrip()), f"{element}={value}" if element else value
        before = f"{text[: start - 1]};{text[start:begin]}" if start else text[:begin]  # a colon, or the a of and
        text = before + said.ljust(end - begin) + text[end:]
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
    """The clauses that give an element its value, and those with a whole; one that is told otherwise may be the one asked."""
    if question.expects != "value" or not question.called or _LABEL.search(text) or not _ELEMENT.search(text):
        return []
    found = _clauses(text, question)
    named = max((naming(one.element, question) for one in found), default=NAMES_ANOTHER)
    if named == NAMES_ANOTHER:
        return []
    unnamed = [one for one in found if not one.element]
    if not unnamed:
        return found
    whole = phrase_of(WHOLE).search(text, unnamed[0].start, unnamed[0].end) is not None
    whole = whole or "=" in text[unnamed[0].start : unnamed[0].end] or _adds_up(found, unnamed[0])
    told_otherwise = any(not one[0].endswith("rest") for one in phrase_of(*_TOLD_OTHERWISE).finditer(text))
    return found if _of_an_element(question) and not told_otherwise and (whole or named != NAMES_ASKED) else []


def _clauses(text: str, question: Question) -> list[_Told]:
    """The clauses with one value each and no more than one element; none where that does not take in every value of the line."""
    values = values_in(text, question)
    values += _NOTHING.finditer(text)
    if any(_WORKED.match(text, one.end()) for one in values):
        return []  # 2V/3 is not 2 V
    found: list[_Told] = []
    for clause in _CLAUSE.finditer(text) if len(values) > 1 else ():
        own = [_NAMED_FIRST.sub("", one[0]) for one in values if clause.start() <= one.start() < clause.end()]
        elements = {one["name"] or _the_only(one["kind"], question) for one in _ELEMENT.finditer(clause[0])}
        elements = {one for one in elements if naming(one, question) == NAMES_ASKED} or elements  # on R2 and C1
        if any(one["condition"] for one in _ELEMENT.finditer(clause[0])):
            return []  # 20 V when R2 was there
        if len(own) == 1 and len(elements) < 2:
            found.append(_Told(*clause.span(), "".join(elements), own[0].strip()))
    return found if len({one.element for one in found}) == len(found) == len(values) else []


_WORKED = regex(r"\s?[*/|∥^]")
_NAMED_FIRST = regex(r"^[RLC][0-9]+ (?=[^\W\d_])")
"""``C1 V0/3``"""
_NOTHING = regex(r"(?<![\w.,])0(?=\s(?:in|on|at|across|through)\s)")
"""``36 mJ in C1, 0 in L1``"""


def _adds_up(found: list[_Told], unnamed: _Told) -> bool:
    """Whether what no element has is what the others have together: ``9 A, 6 A in L1 and 3 A in R1``."""
    values = [_IN_FIGURES.fullmatch(one.value) for one in (unnamed, *(one for one in found if one is not unnamed))]
    if None in values or len(values) < 3 or len({value and value["unit"] for value in values}) > 1:
        return False
    together, *sizes = (float(value["number"].replace(",", ".")) for value in values if value is not None)
    return bool(sizes) and abs(sum(sizes) - together) <= NEAR * abs(together)


_IN_FIGURES = regex(r"(?P<number>-?[0-9]+(?:[.,][0-9]+)?)\s?(?P<unit>[^\W\d_]+)")


_TOLD_OTHERWISE = (
    *(kind.value for kind in (Kind.CONCLUSION, Kind.CORRECTION, Kind.DENIED)),
    "set aside",
    "taken back",
    "upheld",
)
"""Phrases by which a line tells which value counts, whatever elements it names."""


def _of_an_element(question: Question) -> bool:
    """Whether the quantity asked is that of one element."""
    return any(
        naming(name, question) == NAMES_ASKED for name in question.vocabulary.dimensions if _ELEMENT.fullmatch(name)
    )


def _the_only(kind: str, question: Question) -> str:
    """The one capacitor, inductor or source of the circuit; its kind where there are several."""
    of_the_kind = {"cap": "C[0-9]+", "coi": "L[0-9]+", "ind": "L[0-9]+"}.get(kind.lower()[:3], "[VI]s[0-9]*")
    found = [name for name in question.vocabulary.dimensions if re.fullmatch(of_the_kind, name)]
    return found[0] if len(found) == 1 else kind
