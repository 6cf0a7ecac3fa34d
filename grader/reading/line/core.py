"""What is left of a line between words: ``going from 1 A up to 2 A we have 2 - e^(-5t) A`` has three such cores.

A person is not put off by words.  Where what was read is not of the kind asked, or nothing could be, the core that is counts.
"""

import re
from collections.abc import Iterator
from contextlib import suppress
from typing import NamedTuple

from grader.reading.line.beside import free_values
from grader.reading.line.fit import OF_THE_KIND_ASKED, fit, is_formula_asked
from grader.reading.line.formulas import formulas
from grader.reading.line.records import Kind, Line
from grader.reading.line.remarks import matters
from grader.reading.line.split import is_strange, is_wordy
from grader.reading.record import Aside, Reading, Reads
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import SEPARATING_WORDS
from grader.reading.tree import Node, Roots
from grader.regex import regex


class Core(NamedTuple):
    """The core of the kind asked: what it says, its readings, and what stands beside it."""

    said: str
    readings: tuple[Reading, ...]
    aside: Aside


_NO_PART_OF_IT = {Kind.DENIED, Kind.STRUCK, Kind.CONTEXT, Kind.ANOTHER_TIME}
_WORD_NEXT = regex(r"\s*([^\W\d_]+)")
_ZERO = regex(r"(?<![\w.,/(<>=≤≥])(?<![<>=≤≥] )0(?![.,]?\w)")
_CALCULATES = regex(r"[-+0-9*/^(∥]")
_WORD = regex(r"(?<![\w'])[^\W\d_]{2,}(?![\w'(]|\s?[\^*])|\b(?:a|I)\s(?!=)")
_COMMAND = regex(r"\s*[=@]+\s*[^\W\d_][\w.]*\s*\(")
"""A spreadsheet's command such as ``=HYPERLINK(…)``: what stands in it is no prose."""
_ENDS = {*"0123456789)]}jt"}
_BORDER = regex(r"[=:→≈?!;]|[,.](?![0-9])|\b(?:is|so|with|at|for|when|if|where|after)\b")


def core_asked(
    line: Line,
    question: Question,
    read_part: Reads,
    *,
    unread: bool = False,
    several: bool = False,
) -> Core | None:
    """The one value of the kind asked, or the last core that is of it; None where there is none.

    ``unread``: nothing could be read of the whole, which signs and numbers alone may forbid.  ``several``: several values of
    that kind were.
    """
    if _COMMAND.match(line.text):
        return None
    text = that_counts(line, _NO_PART_OF_IT)
    spans = _spans(text, question, unread=unread, several=several)
    found = (_core(text, start, end, question, read_part) for start, end in spans)
    return next((core for core in found if core is not None), None)


def _spans(text: str, question: Question, *, unread: bool, several: bool) -> Iterator[tuple[int, int]]:
    """Where a core may stand: the value measured once where words allow for one, and what else there is between words."""
    wordy = is_wordy(text, question)
    if wordy or not unread:
        yield from _measured_once(text, question)
    if (wordy or unread) and not several:
        yield from cores(text, question)


def _core(text: str, start: int, end: int, question: Question, read_part: Reads) -> Core | None:
    """What stands between two places; None where it is no mathematics, not of the kind asked, or may be but a part of the answer."""
    said, rest = text[start:end].strip(" ,;:"), text[:start] + text[end:]
    either = text[:start].rstrip().endswith("±")  # both signs are one answer
    if either or not _CALCULATES.search(said) or said.count("(") != said.count(")"):
        return None
    try:
        readings = read_part(" " * start + text[start:end])
    except CannotRead:
        return None
    first = readings[0]
    in_letters = is_formula_asked(first.tree, question)
    another = _another_root(first.tree, rest) or (in_letters and _another_formula(rest, question, read_part))
    if another or (first.unit is None and _meets_a_word(text, end, question, in_letters=in_letters)):
        return None
    if first.others or not (in_letters or fit(first.tree, question) == OF_THE_KIND_ASKED):
        return None
    told = f"Only '{' '.join(said.split())}' was read."
    if goes_on(text[end:], question):
        readings = tuple(one._replace(changed=True) for one in readings)
    return Core(said, readings, Aside((told,), (rest.strip(),), matters(rest, question, first.tree)))


def _another_root(tree: Node, rest: str) -> bool:
    """Whether a second root may stand beside a single one."""
    return isinstance(tree, Roots) and len(tree.roots) < 2 and re.search("[0-9]", rest) is not None


def _meets_a_word(text: str, end: int, question: Question, *, in_letters: bool) -> bool:
    """Whether a word right behind may belong to it: behind a number as its unit, behind letters as one that is known."""
    word = _WORD_NEXT.match(text, end)
    if word is None:
        return False
    return not is_strange(word[1], question) if in_letters else text[:end].rstrip()[-1:] in _ENDS


def _another_formula(rest: str, question: Question, read_part: Reads) -> bool:
    """Whether an answer in letters has another beside it, zero or of the kind asked as well: start 0, end Vs/R1."""
    if _ZERO.search(rest):
        return True
    for formula in formulas(rest, question):
        with suppress(CannotRead):
            if is_formula_asked(read_part(formula[0])[0].tree, question):
                return True
    return False


def goes_on(rest: str, question: Question) -> bool:
    """Whether mathematics goes on right behind what was read: ``6 V e^(-5t)``, ``6 V R3/(R2 + R3)``; not ``6 V (24/4)``."""
    rest = rest.strip(" .")
    joined = _GOES_ON.match(rest) or _FUNCTION.match(rest)
    first = joined or _WORD_BEHIND.match(rest)
    if first is None or is_wordy(_FUNCTION.sub(" ", rest), question) or "=" in rest:
        return False
    return bool(joined) or question.vocabulary.find(first[0]) is not None


_FUNCTION = regex(r"(?:e\s?\^|(?:exp|sin|cos|u|delta|δ|σ|ε)\s?\()")
_GOES_ON = regex(r"[*·/^](?=\s*[\w(])|!|\((?=[^()]*(?:e\s?\^|exp\())")
_WORD_BEHIND = regex(r"[^\W\d_]\w*(?=\s*[/*·(])")


def cores(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """Everything that may be one in a text: between words nobody knows, and at its borders."""
    yield from _between_words(text, question)
    yield from _at_borders(text)


def that_counts(line: Line, without: set[Kind]) -> str:
    """The line behind its last correction, without parts of some kinds."""
    begin = max((part.start for part in line.parts if part.kind is Kind.CORRECTION), default=0)
    text = " " * begin + line.text[begin:]
    for part in line.parts:
        if part.kind in without:
            text = text[: part.start] + " " * (part.end - part.start) + text[part.end :]
    return text


def _measured_once(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """The one value of the kind asked: ``v(277 ms) = 4 V``, a time being asked."""
    values = free_values(text, question) if question.expects == "value" else []
    if len(values) == 1:
        yield values[0].span()


def _between_words(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """The cores of a text, the last first."""
    end = len(text)
    for word in reversed(list(_WORD.finditer(text))):
        if word[0] not in SEPARATING_WORDS and is_strange(word[0].strip(), question):
            if re.search("[0-9]", text[word.end() : end]):
                yield word.end(), end
            end = word.start()
    if end < len(text) and re.search("[0-9]", text[:end]):
        yield 0, end


def _at_borders(text: str) -> Iterator[tuple[int, int]]:
    """What a text ends with, and what it begins with."""
    borders = list(_BORDER.finditer(text))
    if borders:
        yield borders[-1].end(), len(text)
        yield 0, borders[0].start()
