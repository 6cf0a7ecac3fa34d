"""Which of several claims a line itself sets aside: ``8 V cannot be, it must be 5 V`` gives 5 V.

Each claim stands in a clause of its own.  Where all but one of the clauses are set aside by their words, or one alone is upheld, that
one counts; where words do not tell, nothing is set aside here.
"""

from collections.abc import Iterator

from grader.reading.line.by_element import WHOLE
from grader.reading.line.formulas import values_in
from grader.reading.line.instants import clauses, instant_asked
from grader.reading.line.phrases import phrase_of
from grader.reading.line.records import Kind
from grader.reading.tokens import Question
from grader.regex import regex
from grader.values.dimension import RESISTANCE

_ASIDE, _UPHELD = ("set aside", "taken back"), ("upheld",)
TOLD_APART = (*_ASIDE, *_UPHELD, "now", WHOLE, "latter", "former")
"""Phrases by which a line tells which of its claims counts."""
_BORDER = regex(
    r"[;:!?()\[\]\n]|,(?![0-9])|\.(?=\s)|\s[-/]\s(?=[^\W\d_]{2}(?!\s?[*^]))|(?<=[^\W\d_]{4})\s/\s"
    r"|\b(?:so|thus|hence|therefore|but|yet|while|whereas|although|though|sondern|aber|mais|pero|sino|ma|mas|and|und|et|y|e)\b(?!\s*\^)"
)
_IN_BRACKETS = regex(r"[(\[{](?:(?![^\W\d_]{4})[^()\[\]{}])*+[)\]}]")
"""Brackets of mathematics, which end no clause."""
_SAID_IN_BRACKETS = regex(r"\((?=[^()]*[^\W\d_]{3})[^()]*\)")
_RESPONSE = regex(r"(?<![^\W\d_])e\s?\^|\b(?:exp|cos|sin)(?![^\W\d_])")
_WORDS = regex(r"[^\W\d_]{4}")


def set_aside(text: str, question: Question) -> Iterator[tuple[Kind, int, int]]:
    """Where the clauses stand whose claims do not count; none where a clause holds several, or not one is left.

    What another clause outdoes by *now* or *in all* is of another instant or case, and may be the answer after all.
    """
    if not phrase_of(*TOLD_APART).search(text):
        return
    if question.expects == "roots":
        said = phrase_of(*_ASIDE)
        yield from ((Kind.DENIED, *one.span()) for one in _SAID_IN_BRACKETS.finditer(text) if said.search(one[0]))
    yield from _other_of_two(text, question)
    claims = list(_claims(text, question))
    aside = [phrase_of(*_ASIDE).search(text, start, end) is None for start, end, *_ in claims]
    outdoing = (*["now"] * (instant_asked(question) != "before"), *[WHOLE] * (question.dimension == RESISTANCE))
    for kind, counts in (
        (Kind.DENIED, aside),
        *(
            (kind, [_is_upheld(kinds, text, *claim) for claim in claims])
            for kind, kinds in ((Kind.DENIED, _UPHELD), (Kind.ANOTHER_TIME, outdoing))
            if kinds
        ),
    ):
        if len(counts) > 1 and counts.count(True) == 1:
            yield from ((kind, start, end) for (start, end, *_), one in zip(claims, counts, strict=True) if not one)
            return


def _other_of_two(text: str, question: Question) -> Iterator[tuple[Kind, int, int]]:
    """``the latter of 8 V and 5 V``: where the one stands that is not meant."""
    values = values_in(text, question) if question.expects == "value" else []
    latter, former = (phrase_of(ordinal).search(text) is not None for ordinal in ("latter", "former"))
    if len(values) == 2 and latter is not former:
        yield (Kind.DENIED, *values[0 if latter else 1].span())


def without_set_aside(text: str, question: Question) -> str:
    """A text with what it sets aside overwritten by blanks."""
    for _, start, end in set_aside(text, question):
        text = text[:start] + " " * (end - start) + text[end:]
    return text


def is_response(text: str) -> bool:
    """Whether a text holds a function of t."""
    return _RESPONSE.search(text) is not None


def _is_upheld(kinds: tuple[str, ...], text: str, start: int, end: int, begin: int, behind: int) -> bool:
    """Whether words right in front of a claim, or right behind it, say that it counts: ``it must be 5 V``, ``5 V is right``."""
    upheld = phrase_of(*kinds)
    ends = max((one.end() for one in upheld.finditer(text[start:begin])), default=None)
    return (ends is not None and not _WORDS.search(text, start + ends, begin)) or upheld.match(
        text[behind:end].lstrip()
    ) is not None


def _claims(text: str, question: Question) -> Iterator[tuple[int, int, int, int]]:
    """The clauses with a claim: where each begins and ends, and where its claim does; none where one holds several."""
    if question.expects == "value":
        values = [one.span() for one in values_in(text, question)]
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
