"""Lines that are mathematics and nothing else, which most are: no words to look for, no parts to tell apart."""

from grader.reading.tokens import Question
from grader.regex import regex
from grader.values.laplace import VARIABLE

_LABEL = (
    r"(?:(?:[ivupwq](?:_?[A-Z0-9][A-Za-z0-9]{0,2}|[lcr])?|[VIRZCL](?:_?[A-Z0-9]{1,2}|_?th|eq)?|tau|alpha|omega_?[0d]?)"
    r"(?:\((?:t|0|0[-+]|∞)\))? ?= ?)?"
)
_WORD = (
    r"(?<![^\W\d_])(?:exp|cos|sin|sqrt|pi|tau|alpha|omega|e|t|(?:R|(?<![0-9])(?<![0-9] )[CILV])[0-9]?(?! ?[-+]?[0-9]))"
    r"(?![^\W\d_])"
)
"""What stands for a number or a function; a letter right before a number may be its label, behind one its unit."""
_UNIT = r"(?:[kMGnpuμm]?(?:A|V|W|J|C|F|H|s|Hz|Ω|S|Wb)|k|M|[mk]?ohms?|[kmμ]?[AV]/m?s|1/s|rad/s)"
_MATHEMATICS = regex(
    rf" *+(?![0-9] ?\)|[0-9]\. |\.\.){_LABEL}(?:[-+*^(). 0-9]|/(?!/)|{_WORD}|(?<=[0-9]) ?[mμu]?s(?=\)))*(?:(?<=[0-9) ]){_UNIT})? *"
)


def is_mathematics(text: str, question: Question) -> bool:
    """Whether a line holds numbers, signs, the commonest names and functions, and perhaps a unit at its end.

    Such a line is one part, and every step that looks for words leaves it as it is; a point may multiply in ``3.10^5``.
    """
    return (
        ".10" not in text
        and ". 10" not in text
        and _MATHEMATICS.fullmatch(text) is not None
        and VARIABLE not in question.vocabulary.dimensions
    )
