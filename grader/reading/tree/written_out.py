"""Expressions written out in full, ``2.4 - 2.4e^(-500t) mA``, straight to their tree.

Every bracket is there, every number is plain and every unit certain, so that nothing need be put in or set apart between tokens
and grammar.  Most expressions are such; of these the long way makes the same tree.
"""

from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token, virtual
from grader.reading.tokens.numerals import number_token
from grader.reading.tokens.scan_units import unit_node
from grader.reading.tokens.units import look_up
from grader.reading.tree import Constant, Node, Time
from grader.reading.tree.parse import parse
from grader.regex import regex
from grader.values.laplace import VARIABLE

MAX_LENGTH = 100
"""Characters; the bounds on numbers, nesting and tokens are out of reach of what is shorter."""

_DIGITS = r"[0-9]{1,9}(?:\.(?!000(?![0-9]))[0-9]{1,9})?"
_NUMBER = rf"{_DIGITS}(?:(?= ?e\^\()|(?![0-9.,'eERkKMmuμnp]| ?[0-9]| \.|(?<=10) ?[-+]))"
"""A number, of which nothing behind it is a part; ``10-3`` may be a power of ten, and ``50.000`` fifty thousand."""
_WRITTEN_OUT = regex(
    rf"(?=.*(?:e\^|exp|cos|sin)\()(?:(?<![)t])(?<![)t] ){_NUMBER}|[-+*()]| (?! )"
    rf"|(?:e\^|exp)\( ?(?:- ?)?(?:{_NUMBER} ?\*? ?)?t(?: ?/ ?{_NUMBER})? ?\)(?! ?[/^])"
    rf"|(?:cos|sin)\( ?{_NUMBER} ?\*? ?t ?\)(?! ?[/^])"
    r"|t(?=[-+*) ]|e\^|$)(?! ?[(/^]))++(?:(?<=[0-9)])|(?<=[0-9t)] ))(?:[kmμn]?[AVW] ?)?"
)

_TOKEN = regex(r"[0-9.]+|[-+*/()t ]|e\^|exp|cos|sin|[^ ]+")
"""A token or a blank: together they are the whole text, so that their lengths tell their places."""
_KINDS = {
    "-": "MINUS", "+": "PLUS", "*": "STAR", "/": "SLASH", "(": "OPEN", ")": "CLOSE", "t": "TIME", "e^": "EULER", "exp": "EULER",
    "cos": "FUNCTION", "sin": "FUNCTION",
}  # fmt: skip


def written_out(text: str, question: Question) -> Node | None:
    """The tree of an expression with exponentials or sinusoids of t written out in full; None for anything else."""
    if question.expects != "expression" or len(text) > MAX_LENGTH or VARIABLE in question.vocabulary.dimensions:
        return None
    if not _WRITTEN_OUT.fullmatch(text):
        return None
    tokens: list[Token] = []
    end = 0
    for written in _TOKEN.findall(text):
        start, end = end, end + len(written)
        kind = _KINDS.get(written)
        if written[0] in "0123456789":  # no point separates thousands: `_DIGITS`
            tokens.append(number_token(written, start))
        elif kind == "TIME":
            tokens.append(Token(kind, Time(start), start, end))
        elif kind == "EULER":
            tokens += Token(kind, Constant("e", start), start, end), virtual("CARET", end)
        elif kind is not None:
            tokens.append(Token(kind, written, start, end))
        elif written != " ":
            meanings = look_up(written, question.dimension)
            if len(meanings) != 1 or question.vocabulary.find(written) is not None:
                return None
            tokens.append(Token("UNIT", unit_node(meanings[0], start), start, end))
    try:
        ((tree,),) = parse(tokens)
    except CannotRead:
        return None
    return tree
