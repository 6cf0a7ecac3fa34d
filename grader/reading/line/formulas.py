"""Values of a line: numbers with a unit of the kind asked or, where there are none, formulas in the letters of the circuit."""

import re
from itertools import groupby

from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.regex import regex
from grader.values.dimension import CAPACITANCE, INDUCTANCE, RESISTANCE

_PIECE = regex(
    r"(?P<name>[^\W\d_]\w*)|[0-9]+(?:[.,][0-9]+)?|(?P<sign>\|\||//|[-+*/^·∥])|[()]|(?P<gap>(?<=[-+*/^·∥(]) | {1,2}(?![ 0-9]))|.",
    re.DOTALL,
)
MAX_PIECES = 100
"""Names, numbers and signs of one formula that are looked at."""
_PASSIVE = {RESISTANCE, INDUCTANCE, CAPACITANCE}
_LABEL = regex(r"\s*[=:≈]")
_CALCULATES = regex(r"[-+*/^·∥|]|\w[ (]+\w")
_WHOLE = regex(r".+", re.DOTALL)


def values_in(text: str, question: Question) -> list[re.Match[str]]:
    """The values of the kind asked that a line states, in figures or else in letters."""
    return measured(text, question) or formulas(text, question)


def formulas(text: str, question: Question) -> list[re.Match[str]]:
    """What is worked out of names of the circuit, ``V0*Rb/(Ra+Rb)``, or is the name of a source of the kind asked."""
    known = question.vocabulary
    found: list[re.Match[str]] = []
    pieces = _PIECE.finditer(text) if known.dimensions else ()
    for mathematics, run in groupby(pieces, lambda piece: _belongs(piece, question)):
        start, end = _trimmed(list(run)) if mathematics else (0, 0)
        said = text[start:end]
        names = [known.find(one) or one for one in re.findall(r"[^\W\d_]\w*", said)]
        kinds = {known.dimensions.get(name) for name in names} - _PASSIVE
        alone = question.dimension in kinds and not _LABEL.match(text, end)
        if names and (alone or _CALCULATES.search(said) or known.find(said) is None):
            found += filter(None, [_WHOLE.match(text, start, end)])
    return found


def _belongs(piece: re.Match[str], question: Question) -> bool:
    """Whether a piece of a line may stand in a formula: a name of the circuit, or several written together, a number, a sign, a bracket."""
    if (name := piece["name"]) is not None:
        return question.vocabulary.find(name) is not None or bool(question.vocabulary.names_only.fullmatch(name))
    return piece["gap"] is not None or (piece[0] != "|" and piece[0][0] in "0123456789()-+*/^·∥|")


def _trimmed(run: list[re.Match[str]]) -> tuple[int, int]:
    """Where the formula in a run of pieces begins and ends: without signs at its ends, and brackets that do not close."""
    del run[MAX_PIECES:]
    while run and (run[0][0].isspace() or (run[0]["sign"] and run[0][0] not in "-+") or run[0][0] == ")"):
        del run[0]
    while run and (run[-1][0].isspace() or run[-1]["sign"] or run[-1][0] == "(" or _open(run) < 0):
        del run[-1]
    while run and _open(run) > 0:
        del run[0]
    return (run[0].start(), run[-1].end()) if run else (0, 0)


def _open(run: list[re.Match[str]]) -> int:
    """How many brackets more open than close."""
    return sum((piece[0] == "(") - (piece[0] == ")") for piece in run)
