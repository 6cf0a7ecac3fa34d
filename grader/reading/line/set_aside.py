"""Which of several claims a line itself sets aside: ``8 V cannot be, it must be 5 V`` gives 5 V.

Each claim stands in a clause of its own.  Where all but one of the clauses are set aside by their words, or one alone is upheld, that
one counts; where words do not tell, nothing is set aside here.
"""

from collections.abc import Iterator

from grader.reading.line.instants import clauses
from grader.reading.line.phrases import phrase_of
from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.regex import regex

SET_ASIDE, UPHELD = ("set aside", "taken back"), ("upheld",)
_BORDER = regex(
    r"[;:!?()\[\]\n]|,(?![0-9])|\.(?=\s)|\s[-/]\s(?=[^\W\d_]{2}(?!\s?[*^]))|(?<=[^\W\d_]{4})\s/\s"
    r"|\b(?:so|thus|hence|therefore|but|yet|while|whereas|although|though|sondern|aber|mais|pero|sino|ma|mas|and|und|et|y|e)\b(?!\s*\^)"
)
_IN_BRACKETS = regex(r"[(\[{](?:(?![^\W\d_]{4})[^()\[\]{}])*+[)\]}]")
"""Brackets of mathematics, which end no clause."""
_RESPONSE = regex(r"(?<![^\W\d_])e\s?\^|\b(?:exp|cos|sin)(?![^\W\d_])")
_WORDS = regex(r"[^\W\d_]{4}")


def set_aside(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """Where the clauses stand whose claims do not count; none where a clause holds several, or not one is left."""
    if not phrase_of(*SET_ASIDE, *UPHELD).search(text):
        return
    claims = list(_claims(text, question))
    aside = [phrase_of(*SET_ASIDE).search(text, start, end) is not None for start, end, *_ in claims]
    upheld = [_is_upheld(text[start:begin], text[behind:end]) for start, end, begin, behind in claims]
    for said, wanted in ((aside, False), (upheld, True)):
        if len(said) > 1 and said.count(wanted) == 1:
            yield from ((start, end) for (start, end, *_), one in zip(claims, said, strict=True) if one is not wanted)
            return


def without_set_aside(text: str, question: Question) -> str:
    """A text with what it sets aside overwritten by blanks."""
    for start, end in set_aside(text, question):
        text = text[:start] + " " * (end - start) + text[end:]
    return text


def _is_upheld(before: str, behind: str) -> bool:
    """Whether words right in front of a claim, or right behind it, say that it counts: ``it must be 5 V``, ``5 V is right``."""
    upheld = phrase_of(*UPHELD)
    ends = max((one.end() for one in upheld.finditer(before)), default=None)
    return (ends is not None and not _WORDS.search(before, ends)) or upheld.match(behind.lstrip()) is not None


def _claims(text: str, question: Question) -> Iterator[tuple[int, int, int, int]]:
    """The clauses with a claim: where each begins and ends, and where its claim does; none where one holds several."""
    if question.expects == "value":
        values = [one.span() for one in measured(text, question)]
        parts = list(clauses(text, _BORDER))
    elif question.expects == "expression":
        flat = text
        while (bracketed := _IN_BRACKETS.search(flat)) is not None:
            flat = flat[: bracketed.start()] + "0" * len(bracketed[0]) + flat[bracketed.end() :]
        parts = [clause for clause in clauses(flat, _BORDER) if _RESPONSE.search(flat, *clause)]
        values = [(_first_digit(flat, *clause), clause[1]) for clause in parts]
    else:
        return
    found = [
        (start, end, *own[0])
        for start, end in parts
        if len(own := [one for one in values if start <= one[0] < end]) == 1
    ]
    if len(found) == len(values):
        yield from found


def _first_digit(text: str, start: int, end: int) -> int:
    """Where the mathematics of a clause begins, at the latest."""
    return next((place for place in range(start, end) if text[place].isdigit()), start)
