"""Of which instant a clause speaks: ``before: 2.44 V, after: -62.3 V`` has one answer to what is asked right after."""

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from grader.reading.line.chain import NEAR
from grader.reading.line.formulas import formulas, values_in
from grader.reading.line.phrases import opened, phrase_of, spelled
from grader.reading.line.records import Kind
from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.reading.tokens.units import look_up
from grader.regex import regex
from grader.values.dimension import ENERGY, Dimension

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
_WAS = regex(r"\b(?:was|were|war|était|era)\b", re.IGNORECASE)
_IS = regex(r"\b(?:is|are|becomes|gets|ist|wird|est|es|è|é)\b", re.IGNORECASE)
"""What is over where another clause says what is: ``was 3 A, is 6 A``."""
_SUPPOSED = regex(r"\b(?:would(?:n't)?\s+(?:be|have|give|get|make|come)|if\b.*\bwere)\b", re.IGNORECASE)
"""What is not so: ``R1 alone would give 3 ms``."""

_BORDER = regex(
    r"[;\n]|:(?=[^,;:]*(?:e\s?\^|\bexp\b))|\((?=[^()]*[^\W\d_]{4})|(?<=[^\W\d_]{3})\)|,(?![0-9])|\.(?=\s)|\s/\s(?=[^\W\d_]{3})|\b(?:and|but|so|with|where|while|und|aber|mais|pero)\b",
    re.IGNORECASE,
)
_VALUE = regex(r"(?<![^\W\d_(])[0-9]")
_CHANGE = regex(
    r"(?P<before>\b(?:from|out\s+of|von|de|da|by|corrected|changed)\s+(?:\w+\s+)?[-+]?[0-9.,]+\s?[^\W\d_]+\b)(?!\s*(?:[-+*/|=(]|(?:minus|plus|times|over|is|are)\b))",
    re.IGNORECASE,
)
"""``from 8 V it drops to 2 V``, ``by another 2 V to 8 V``, what it comes to being asked"""
_JUMPS = regex("jump|step|turns|flips|switches|revers|spring|saut|salta|at once|instantly|immediately|suddenly")
INSTANTS = ("before", "at first", "at first:", "after", "at last", "at last:")


def instant_asked(question: Question) -> str:
    """The instant whose value is asked, as its names tell it; "" for any other, or where none do."""
    for sign, instant in (("(0-)", "before"), ("(inf)", "at last"), ("(0)", "at first")):
        if any(name.endswith(sign) for name in question.called):
            return instant
    return ""


def of_other_instants(text: str, question: Question) -> Iterator[tuple[Kind, int, int]]:
    """Where clauses with a value stand that speak of another instant, if one is left that does not.

    Where that one names its instant, too, or the line says what it changes to, nothing else is the answer.
    """
    if question.expects == "roots":
        return
    asked = instant_asked(question)
    if changes := _changes(text, question, asked):
        yield from ((Kind.DENIED, *change.span("before")) for change in changes)
        return
    if asked == "" and question.dimension == ENERGY:
        return  # at whatever instant
    there = [*_there(text, question)]
    if True in there and not phrase_of(Kind.CONCLUSION, Kind.CORRECTION).search(text):
        yield from _not_there(text, there)
    else:
        yield from _of_others(text, question, asked)


def _not_there(text: str, there: list[bool | str | None]) -> Iterator[tuple[Kind, int, int]]:
    """Where the clauses stand that have their value elsewhere, or say nothing of where, another one being where it is asked."""
    for here, (start, end) in zip(there, clauses(text, _BORDER), strict=True):
        if here is _ELSEWHERE:
            yield Kind.DENIED, start, end
        elif here is False and "=" not in text[start:end]:
            yield Kind.ANOTHER_TIME, start, end


def _of_others(text: str, question: Question, asked: str) -> Iterator[tuple[Kind, int, int]]:
    """Where the clauses stand whose words name another instant or another case than the one asked."""
    instants = phrase_of(*INSTANTS)
    apart = _words_apart(text, asked)
    if not apart and not instants.search(text) and not _SUPPOSED.search(text):
        return
    with_value = [
        place for place in clauses(text, _BORDER) if _has_value(instants.sub("", text[slice(*place)]), question)
    ]
    others = [place for place in with_value if _is_of_another(text[slice(*place)], asked, question, apart)]
    own = "".join(f"{text[slice(*place)]};" for place in with_value if place not in others)
    has_value = bool(values_in(own, question))
    if own and (not apart or has_value or not values_in(text, question)):
        told = asked and has_value and (phrase_of(*INSTANTS, "now").search(own) or _WAS in apart)
        yield from ((Kind.DENIED if told else Kind.ANOTHER_TIME, *other) for other in others)


def _has_value(clause: str, question: Question) -> bool:
    """Whether a clause has a number, or a formula in letters."""
    return _VALUE.search(clause) is not None or bool(formulas(clause, question))


def instants_told(text: str, question: Question) -> frozenset[str]:
    """The instants of which a line speaks wherever it has a value, if none of them is the one asked."""
    asked = not phrase_of("now").search(text) and instant_asked(question)
    clauses_said = (_GOES_ON.sub("", text[slice(*place)]) for place in clauses(text, _BORDER))
    said = [_said(clause) for clause in clauses_said if _has_value(clause, question)]
    others = asked and said and all(one and one <= _OTHER[asked] for one in said)
    return frozenset().union(*said) if others else frozenset()


_GOES_ON = regex(
    r"\b(?:falling|decaying|rising|going|dropping|tending|to|towards)\s+(?:to\s+)?0\b.*|\bbefore\s+(?:it|that|this|the)\s+\w+s\b.*"
)
"""What becomes of a value behind it: ``0.6 mA falling to 0 in the end``, ``0.6 mA before it decays``."""


def _said(clause: str) -> set[str]:
    """The instants that words name."""
    return {opened(*INSTANTS)[spelled(one[0])].rstrip(":") for one in phrase_of(*INSTANTS).finditer(clause)}


def _words_apart(text: str, asked: str) -> list[re.Pattern[str]]:
    """Words of cases that a line tells apart, which mark the one not meant: ``without R2``, ``was``."""
    pairs = ((_WITHOUT, _WITH), *(((_WAS, _IS), (_WAS, phrase_of("after", "now"))) if asked != "before" else ()))
    return list(dict.fromkeys(one for one, other in pairs if one.search(text) and other.search(text)))


def _is_of_another(clause: str, asked: str, question: Question, apart: Sequence[re.Pattern[str]]) -> bool:
    """Whether all instants that a clause names are others than the one asked, or its words tell of another case."""
    if any(one.search(clause) for one in (*apart, _SUPPOSED)):
        return True
    said = _said(clause)
    said -= {"at last"} if "t" in question.called else set()  # a bit later: 5.5 ms
    return bool(said) and said <= _OTHER[asked]


def clauses(text: str, borders: re.Pattern[str]) -> Iterator[tuple[int, int]]:
    """What stands between the borders of a text."""
    start = 0
    for border in borders.finditer(text):
        yield start, border.start()
        start = border.end()
    yield start, len(text)


def _changes(text: str, question: Question, asked: str) -> list[re.Match[str]]:
    """From what, and by what, a line says that a value changes, if it says what to."""
    after = asked in {"", "at last"} or (asked == "at first" and _JUMPS.search(text) is not None)
    found = [*_CHANGE.finditer(text)] if after and question.expects == "value" else []
    if not found or measured(text[: found[0].start()], question):
        return []
    to, told = found[-1].end(), all(measured(one["before"], question) for one in found)
    return found if told and (measured(text[to:], question) or _TO_ZERO.match(text, to)) else []


_ELSEWHERE = "elsewhere"


def _there(text: str, question: Question) -> Iterator[bool | str | None]:
    """Whether each clause with a value says that it has it where it is asked, ``at 60 ms``, ``at 1.5 A``, or elsewhere; None where it has none."""
    where = _where(question.called) if question.expects == "value" else None
    if where is None:
        return
    asked, of_that_kind = where[0], question._replace(dimension=where[1])
    for clause in clauses(text, _BORDER):
        own = text[slice(*clause)]
        at = {_size(one) for one in measured(own, of_that_kind)}
        here = any(abs(one - asked) <= NEAR * abs(asked) for one in at)
        yield (here or (bool(at) and _ELSEWHERE)) if measured(own, question) else None


@lru_cache(maxsize=512)
def _where(called: frozenset[str]) -> tuple[float, Dimension | None] | None:
    """The instant or the level at which a quantity is asked, as its names tell it."""
    found = next(filter(None, map(_WHERE.search, called)), None)
    if found is None:
        return None
    unit = look_up(found["unit"] if "s" in found["unit"] else found["unit"].upper())[0]
    return float(found["number"]) * float(unit.scale), unit.dimension


def _size(value: re.Match[str]) -> float:
    """A number with its unit, in SI base units."""
    number = re.fullmatch(r"[0-9]*[.,]?[0-9]+", value["number"])
    return float(number[0].replace(",", ".")) * float(look_up(value["unit"])[0].scale) if number else 0.0


_WHERE = regex(r"\((?P<number>[0-9.e+-]+?)(?P<unit>s|ms|us|a|v|w|j|c)\)$")
_TO_ZERO = regex(r"\s*(?:down\s+|back\s+)?to\s+0(?![.,]?[0-9])")
