"""Which of several values a line itself sets aside: ``8 V cannot be, it must be 5 V`` gives 5 V.

Each value stands in a clause of its own.  Where all but one of the clauses are set aside by their words, or one alone is upheld, that
one counts; where words do not tell, nothing is set aside here.
"""

from collections.abc import Iterator

from grader.reading.line.phrases import phrase_of
from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.regex import regex

SET_ASIDE, UPHELD = ("set aside", "taken back"), ("upheld",)
_BORDER = regex(
    r"[;:!?()\[\]\n]|,(?![0-9])|\.(?=\s)|\s[-/]\s(?=\D)|(?<=[^\W\d_]{4})\s/\s|\b(?:so|thus|hence|therefore|but|yet|while|whereas|although|though|sondern|aber|mais|pero|sino|ma|mas|and|und|et|y|e)\b(?!\s*\^)"
)


def set_aside(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """Where the clauses stand whose values do not count; none where a clause holds several values, or not one is left."""
    values = measured(text, question) if question.expects == "value" else []
    if len(values) < 2 or not phrase_of(*SET_ASIDE, *UPHELD).search(text):
        return
    clauses = [
        (start, end, own)
        for start, end in _clauses(text)
        if (own := [one for one in values if start <= one.start() < end])
    ]
    if len(clauses) < len(values):
        return
    aside = [phrase_of(*SET_ASIDE).search(text, start, end) is not None for start, end, _ in clauses]
    upheld = [
        any(_is_upheld(text[start : one.start()], text[one.end() : end]) for one in own) for start, end, own in clauses
    ]
    for said, wanted in ((aside, False), (upheld, True)):
        if said.count(wanted) == 1:
            yield from ((start, end) for (start, end, _), one in zip(clauses, said, strict=True) if one is not wanted)
            return


def _is_upheld(before: str, behind: str) -> bool:
    """Whether words right in front of a value, or right behind it, say that it counts: ``it must be 5 V``, ``5 V is right``."""
    upheld = phrase_of(*UPHELD)
    ends = max((one.end() for one in upheld.finditer(before)), default=None)
    return (ends is not None and not _WORDS.search(before, ends)) or upheld.match(behind.lstrip()) is not None


_WORDS = regex(r"[^\W\d_]{4}")


def without_set_aside(text: str, question: Question) -> str:
    """A text with what it sets aside overwritten by blanks."""
    for start, end in set_aside(text, question):
        text = text[:start] + " " * (end - start) + text[end:]
    return text


def _clauses(text: str) -> Iterator[tuple[int, int]]:
    start = 0
    for border in _BORDER.finditer(text):
        yield start, border.start()
        start = border.end()
    yield start, len(text)
