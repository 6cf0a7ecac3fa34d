"""What stands left of an equal sign or a colon: a label of the answer, or, in ``L:R``, what is divided."""

import re

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.tokens import Question, Token
from grader.reading.tokens.units import look_up, look_up_prefix
from grader.reading.tokens.vocabulary import FUNCTIONS, INSTANT, SEPARATING_WORDS
from grader.regex import regex

SUBSCRIPT = r"(?:_\{[^{}]*\}|_[^\W_]+)"
COLON_DIVIDES = "The colon was read as a division sign."


def divides(text: str, place: int, tokens: list[Token]) -> bool:
    """``36:4,5`` and ``(R1+R2):2``: a colon glued to what it stands between, which is no label."""
    if not tokens or text[place - 1 : place + 2].strip() != text[place - 1 : place + 2]:
        return False
    return tokens[-1].kind in {"NUMBER", "NAME", "UNIT", "CLOSE"} and tokens[-1].end == place


_LABEL = regex(
    rf"(?:d\s?[^\W\d_]\w*\s?/\s?dt\s*(?:{INSTANT})?|(?:[^\W\d_]{{3,}}\s+){{0,3}}[^\W\d_](?:_\{{[^{{}}]*\}}|[\w'])*(?:,\s?[0-9])?\s*(?:{INSTANT}|\(\s*\w+\s*\)|\{{[^{{}}]*\}})?{SUBSCRIPT}?)\s*(?=[=:≈](?![<>]))"
)


_FUNCTION = regex(rf"(?:{'|'.join(FUNCTIONS)})(?![^\W\d_])")
_LET = regex(r"^(?:let|set|put|take)\s+", re.IGNORECASE)


def label_at(text: str, place: int, tokens: list[Token], question: Question, forks: Ambiguities) -> Token | None:
    """What stands left of an equal sign: ``i_L(0+) =``; it may follow a value directly (``1.64A i(0+)=1.64A``)."""
    before = tokens[-1].kind if tokens else "COMMA"
    stated = [token.kind for token in tokens[-4:] if token.kind != "MINUS"][-3:-1] == ["LABEL", "EQUALS"]  # A = 3 B = 5
    ends_value = before in {"UNIT", "CLOSE"} or (before == "NUMBER" and (stated or question.expects == "roots"))
    follows_value = ends_value and text[place - 1] == " "
    if not follows_value and before not in {"COMMA", "EQUALS", "OPEN"}:
        return None
    match = _LABEL.match(text, place)
    if (
        match is None
        or match[0].split(None, 1)[0].lower() in SEPARATING_WORDS
        or _names_divided(text, match, question, forks)
    ):
        return None
    name = _LET.sub("", match[0].strip())
    unit = look_up(name) or look_up_prefix(name) or _FUNCTION.match(name)
    if follows_value and not _is_used(name, text, question) and (unit or _is_of_another_kind(text, match, question)):
        return None  # the unit of that value, or a factor: 8 ln(4) ms = 11 ms, 8 ms ln4 = 11 ms, 2e^(-t) sin(3t) = …
    if follows_value:
        tokens.append(Token("COMMA", " ", place, place))
    label = Token("LABEL", name, place, match.end())
    tokens.append(label)
    return label


def _is_used(name: str, text: str, question: Question) -> bool:
    """Whether an expression uses a name, which is then no unit: ``A + B e^(-t/tau) A = 2 B = 10``."""
    one = rf"(?<![^\W\d_]){re.escape(name)}"
    used = rf"{one}\s?[*·]?\s?(?:e\s?\^|exp\b|cos\b|sin\b|t\b)|(?:^|[=(+-])\s?{one}\s?[-+(]"
    return question.expects == "expression" and re.search(used, text) is not None


def _is_of_another_kind(text: str, label: re.Match[str], question: Question) -> bool:
    """Whether a name is no label of what follows, but a factor: ``(R1 + R2) C1 = 50 ms``."""
    known, value = question.vocabulary.find(label[0].strip()), _VALUE.match(text, label.end())
    kind = question.vocabulary.dimensions[known] if known is not None else None
    units = look_up(value["unit"])[:1] if kind is not None and value is not None else ()
    return any(unit.dimension not in {None, kind} for unit in units)


_VALUE = regex(r"\s*=\s*[-+]?[0-9][0-9.,]*\s?(?P<unit>[^\W\d_]+)(?![\w/])")


def _names_divided(text: str, label: re.Match[str], question: Question, forks: Ambiguities) -> bool:
    """``L:R`` is a quotient of two names of the circuit, perhaps, where ``tau:10ms`` is a label."""
    end = label.end()
    name = question.vocabulary.find(label[0])
    if text[end] != ":" or name is None:
        return False
    if text[end + 1 :].lstrip()[:1] == "(":  # L1 : (R1 + R2), where no inductance is asked
        kinds = {question.vocabulary.dimensions[name], question.dimension}
        return (
            question.expects == "value"
            and len(kinds - {None}) > 1
            and forks.choose("scan", "label", label.start(), (_DIVIDES, _NAMES)) == 0
        )
    following = _NEXT_NAME.match(text, end + 1)
    if following is None:
        return False
    if following[0][0].isdigit():  # I0:3, and more often i0:3 A
        return forks.choose("scan", "label", label.start(), (_NAMES, _DIVIDES)) == 1
    known = question.vocabulary.find(following[0]) is not None
    return known and forks.choose("scan", "label", label.start(), (_DIVIDES, _NAMES)) == 0


_DIVIDES = Alternative(COLON_DIVIDES)
_NAMES = Alternative("What stands before the colon was read as a name for the answer.")
_NEXT_NAME = regex(r"[^\W\d_]\w*|[0-9]+(?![0-9.,]*\s*[^\W\d_])")
