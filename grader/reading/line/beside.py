"""Values of the kind asked that stand in a line beside the one that was read: each may be what is meant."""

import re
from collections.abc import Iterator, Sequence
from itertools import combinations

from grader.reading.line.chain import NEAR
from grader.reading.line.choose import CLAIMS
from grader.reading.line.formulas import values_in
from grader.reading.line.phrases import phrase_of
from grader.reading.line.records import Kind, Line
from grader.reading.line.split import MULTIPLE, is_wordy
from grader.reading.line.unit_said import measured
from grader.reading.record import Reading, Reads
from grader.reading.tokens import Question
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import FUNCTIONS
from grader.reading.value.evaluate import Quantity, evaluate
from grader.regex import regex

_NO_CANDIDATES = {Kind.DENIED, Kind.STRUCK, Kind.CONTEXT}
_COMES_TO = regex(
    r"(?:[=:≈→]|\b(?:(?:it|this|that|which|result|answer|total|sum)\s+is|it's|makes?|gives?))\s*$", re.IGNORECASE
)


def with_values_beside(
    found: tuple[Reading, ...],
    line: Line,
    question: Question,
    read_part: Reads,
) -> tuple[Reading, ...]:
    """The readings; before them the last value of the kind asked, where prose comes to it."""
    prose = any(note.startswith("The remark") for note in found[0].notes)
    values = (
        measured(line.text, question)
        if question.expects == "value" and (prose or line.parts or ":" in line.text)
        else []
    )
    candidates = list(_candidates(line, values))
    if not candidates or candidates[-1][0] is not values[-1]:
        return found
    readings = [read_part(" " * value.start() + value[0])[0] for value, _ in candidates]
    worths = [_worth(one) for one in readings]
    last, kind = candidates[-1]
    if worths[-1] == _worth(found[0]) or not _comes_to(line.text, last, found[0], question):
        return found
    if (
        (kind in CLAIMS and is_wordy(line.text, question))
        or _goes_on(line.text, values)
        or _adds_up([one for one in (_worth(found[0]), *worths[:-1]) if one], worths[-1])
    ):
        note = f"'{last[0].strip()}' was taken as what the line comes to."
        return readings[-1]._replace(notes=(note,)), *(one._replace(rival=True) for one in found)
    return found


def _candidates(line: Line, values: Sequence[re.Match[str]]) -> Iterator[tuple[re.Match[str], Kind]]:
    """The values behind the last correction that may be an answer, each with the kind of its part."""
    begin = max((part.start for part in line.parts if part.kind is Kind.CORRECTION), default=0)
    for value in values:
        kind = next((part.kind for part in line.parts if part.start <= value.start() < part.end), Kind.CLAIM)
        if value.start() >= begin and kind not in _NO_CANDIDATES and not is_operand(line.text, value):
            yield value, kind


_OPERATOR = regex(r"\s*[-+*/|∥^]")
_OPENS, _CLOSES = regex(r"\(\s*$"), regex(r"\s*\)")
_ALTERNATIVE = regex(r"\([^()0-9]{3,}\)\s*/\s*$")
"""``4 ms (without M1) / 6 ms (with it)``: what stands behind words in brackets divides nothing."""
_DENIED = regex(
    rf"(?:[-+*/|∥^]|(?<![^\W\d_])(?:{'|'.join(FUNCTIONS)})|(?<!\w)[0-9]+|[0-9)%]\s+(?:of|times)|\bof\s+the|{phrase_of(Kind.DENIED).pattern})\s*$",
    re.IGNORECASE,
)


def free_values(text: str, question: Question) -> list[re.Match[str]]:
    """The values of the kind asked that nothing is worked out of."""
    return [one for one in values_in(text, question) if not is_operand(text, one)]


def is_operand(text: str, value: re.Match[str]) -> bool:
    """Whether a value is worked with, or is denied: ``4 A (3 A + 1 A)``, ``1/(8 kohm)``, ``tau ln 2 ms``, ``not 3 A``."""
    if _ALTERNATIVE.search(text, 0, value.start()):
        return False
    start, end = value.span()
    while (opening := _OPENS.search(text, 0, start)) and (closing := _CLOSES.match(text, end)):
        start, end = opening.start(), closing.end()
    factor = end > value.end() and (text[:start].rstrip().endswith(")") or text[end:].lstrip().startswith("("))
    return factor or (_OPERATOR.match(text, end) or _DENIED.search(text, 0, start)) is not None


def _goes_on(text: str, values: Sequence[re.Match[str]]) -> bool:
    """``= 4.8 A and by division 4.8*75/125 = 2.88 A``: whether the last value is worked out from one before it."""
    last_step = text[values[-2].end() : values[-1].start()] if len(values) > 1 else ""
    return any(re.search(rf"(?<![\w.,]){re.escape(one['number'])}\s?[-+*/·]", last_step) for one in values[:-1])


def _adds_up(values: list[Quantity], last: Quantity | None) -> bool:
    """Whether the last value is the sum or the difference of two before it."""
    sizes = [one.waveform.value() for one in values if last and one.dimension == last.dimension]
    return any(
        abs(abs(one + sign * other) - abs(last.waveform.value())) <= NEAR * abs(one)
        for one, other in combinations(sizes, 2)
        for sign in (1, -1)
        if last
    )


def _worth(reading: Reading) -> Quantity | None:
    """What a reading comes to; None where that takes a circuit."""
    try:
        return evaluate(reading.tree)
    except (ValueError, ZeroDivisionError):
        return None


_MULTIPLE = regex(rf"(?<!\w){MULTIPLE}\s*$")


def _comes_to(text: str, value: re.Match[str], first: Reading, question: Question) -> bool:
    """``0.75 mA from the source plus 0.17 mA from R2 = 0.92 mA``: whether a line ends so, what it began with being unnamed."""
    before, behind = text[: value.start()], text[value.end() :]
    multiple = _MULTIPLE.search(before)
    inside = before.count("(") > before.count(")")
    if (
        first.label
        or inside
        or (multiple and not look_up(multiple["name"]))
        or re.search(r"(?<![^\W\d_])[0-9]|=", behind)
    ):
        return False
    last_clause = re.search(r"[^,;:=]*[^,;:=0-9][0-9][^,;:=]*,\s*$", before)
    ends = last_clause is not None and not behind.strip(" .!") and is_wordy(last_clause[0], question)
    return ends or _COMES_TO.search(before) is not None
