"""Tokens put in order before brackets are filled in: partners of brackets, several values side by side, ranges, remarks."""

from flint import fmpq

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.limits import MAX_NESTING
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question, Token, kinds, virtual
from grader.reading.tree import Number
from grader.values.dimension import TIME

_CLOSERS = {"(": ")", "[": "]", "{": "}"}
_APPLIED = {"FUNCTION", "EULER", "CARET", "STEP"}
_BREAKS = {"COMMA", "EQUALS", "BELOW", "ABOVE"}


def balance(tokens: list[Token], question: Question, forks: Ambiguities) -> tuple[list[Token], dict[int, int]]:
    """Close what was left open.

    Returns
    -------
    tokens : list of Token
    partner : dict
        For each opening bracket's index, that of its closing one.

    Raises
    ------
    CannotRead
        Where brackets nest beyond all reason.
    """
    done: list[Token] = []
    partner: dict[int, int] = {}
    waiting: list[tuple[int, str]] = []

    def close(place: int) -> None:
        forks.remark("A closing bracket was missing and was inserted.", "bracket-missing")
        partner[waiting.pop()[0]] = len(done)
        done.append(virtual("CLOSE", place))

    for token in tokens:
        if token.kind == "OPEN":
            waiting.append((len(done), _CLOSERS[token.value]))
            if len(waiting) > MAX_NESTING:
                raise CannotRead("nested-too-deep", token.start)
        elif token.kind == "CLOSE":
            if not waiting:
                forks.remark("A closing bracket without a partner was ignored.", "bracket-extra")
                continue
            if done[-1].kind == "OPEN" and (len(done) < 2 or done[-2].kind not in _APPLIED):
                done.pop()  # only words stood in them: 2.4 mA (dc)
                waiting.pop()
                continue
            if any(sign == token.value for _, sign in waiting):
                while waiting[-1][1] != token.value:
                    close(token.start)
            partner[waiting.pop()[0]] = len(done)
        done.append(token)
    if waiting and len(done) > 1 and _is_unit_asked(done[-1], question) and waiting[-1][0] < len(done) - 1:
        unit = done.pop()  # 6-4e^(-100t A: the unit of the whole stays outside
        while waiting:
            close(unit.start)
        done.append(unit)
    while waiting:
        close(tokens[-1].end)
    return done, partner


def _is_unit_asked(token: Token, question: Question) -> bool:
    return token.kind == "UNIT" and question.dimension is not None and token.value.dimension == question.dimension


def separate(tokens: list[Token], question: Question, forks: Ambiguities) -> list[Token]:
    """Set ranges, remarks in brackets and braces around several parts apart with commas."""
    if len(tokens) == 3 and question.expects == "value":
        tokens = _two_numbers(tokens, forks)
    if question.expects == "value" and len(tokens) > 3:
        tokens = _with_uncertainty(_values_apart(tokens, question), forks)
    elif question.expects == "roots":
        tokens = _roots_apart(_plus_minus(tokens), forks)
    if _BREAKS.isdisjoint(kinds(tokens)):
        return tokens
    tokens = _without_signs_of_instants(_opened(tokens))
    out: list[Token] = []
    for index, token in enumerate(tokens):
        if _begins_a_range(token, out):
            out.insert(-1, virtual("COMMA", out[-1].start))
        elif token.kind == "EQUALS" and len(out) > 1 and out[-1].value in {";", "\n"}:
            out.pop()  # the chain goes on
        elif _separates_nothing(token, out, last=index == len(tokens) - 1):
            continue
        out.append(token)
    while out and (out[-1].kind == "COMMA" or out[-1].value in _ARROWS):
        out.pop()
    return out


def _begins_a_range(token: Token, before: list[Token]) -> bool:
    """``6 A t > 0`` and ``6 A 0 < t``: whether what stands before a sign of comparison begins a range behind a value."""
    if token.kind not in {"BELOW", "ABOVE"} or len(before) < 2:
        return False
    value, bound = before[-2:]
    if bound.kind == "TIME":
        return value.kind not in {"COMMA", "BELOW", "ABOVE", "EQUALS", "PLUS", "MINUS", "STAR", "SLASH", "CARET"}
    return token.kind == "BELOW" and bound.kind == "NUMBER" and value.kind in {"UNIT", "CLOSE"}


def _separates_nothing(token: Token, before: list[Token], *, last: bool) -> bool:
    """Whether a comma or an equal sign has nothing on one side."""
    if token.kind not in {"COMMA", "EQUALS"}:
        return False
    return not before or before[-1].kind in {"COMMA", "EQUALS"} or (token.kind == "COMMA" and last)


_ARROWS = ("→", "->", "-->", "≈")
"""Equal signs that, at the end of an answer, tell a direction."""

_TWO_VALUES = Alternative("Two values were read.")


def _two_numbers(tokens: list[Token], forks: Ambiguities) -> list[Token]:
    """``1.636 / 2`` may be a fraction or two values, ``2, 5`` two values or 2.5."""
    first, sign, second = tokens
    if first.kind != "NUMBER" or second.kind != "NUMBER" or sign.start == first.end == second.start:
        return tokens
    if sign.kind == "SLASH" and "." in first.value.text + second.value.text and sign.start > first.end:
        if forks.choose("arrange", "list", sign.start, (Alternative("A fraction was read."), _TWO_VALUES)) == 1:
            return [first, sign._replace(kind="COMMA"), second]
    elif sign.value == "," and first.value.text.isdigit() and second.value.text.isdigit():
        decimal = Alternative("One number was read, the comma being the decimal sign.")
        if forks.choose("arrange", "list", sign.start, (_TWO_VALUES, decimal)) == 1:
            digits = second.value.text
            value = first.value.value + second.value.value / fmpq(10) ** len(digits)
            number = Number(value, f"{first.value.text}.{digits}", first.start)
            return [Token("NUMBER", number, first.start, second.end)]
    return tokens


def _values_apart(tokens: list[Token], question: Question) -> list[Token]:
    """``11.48 ms (11.5 ms)``, ``at 10 ms 0.147 A``, ``0.9 A / 900 mA``: values of one kind beside one another, or behind an instant, are no product and no quotient."""
    out: list[Token] = []
    for index, token in enumerate(tokens):
        start = index + (token.kind == "OPEN")
        value = tokens[start : start + 2]
        instant = (
            len(out) > 1 and out[-1].kind == "UNIT" and out[-1].value.dimension == TIME and out[-2].kind == "NUMBER"
        )
        factors = token.kind == "OPEN" and bool(out) and out[-1].kind == "CLOSE"  # (3 kΩ)(6 kΩ)/(9 kΩ)
        if kinds(value) == ["NUMBER", "UNIT"] and out and out[-1].kind in {"UNIT", "CLOSE"} and not factors:
            before = next((one.value.dimension for one in reversed(out[-2:]) if one.kind == "UNIT"), None)
            asked = value[1].value.dimension
            if before is not None and (before == asked or (instant and asked == question.dimension)):
                out.append(virtual("COMMA", token.start))
        if token.kind == "SLASH" and _is_between_values(tokens[index + 1 : index + 4], out[-3:], question):
            token = token._replace(kind="COMMA")  # noqa: PLW2901
        out.append(token)
    return out


def _is_between_values(behind: list[Token], before: list[Token], question: Question) -> bool:
    """Whether values of the kind asked stand on either side, and nothing else."""
    shape = kinds((*before, *behind))
    if shape[-1:] == ["COMMA"]:
        shape.pop()
    alone = shape[-4:] == ["NUMBER", "UNIT"] * 2 and (len(shape) == 4 or shape[0] in {"COMMA", "EQUALS"})
    return alone and _is_unit_asked(before[-1], question) and _is_unit_asked(behind[1], question)


_ROOTS_APART = Alternative("Two roots were read, side by side.")
_DIFFERENCE = Alternative("One root was read, the difference of two numbers.")


def _roots_apart(tokens: list[Token], forks: Ambiguities) -> list[Token]:
    """``-2000 -8000``, ``-3+4j -3-4j``: roots side by side, each with its sign glued to it and a blank before that.

    One complex number has one imaginary part, so that the second root begins between two of them.
    """
    imaginary = [index for index, token in enumerate(tokens) if token.kind == "IMAGINARY"]
    if len(imaginary) not in {0, 2}:
        return tokens
    for index in range(imaginary[0] + 1, imaginary[1]) if imaginary else range(2, len(tokens) - 1):
        before, sign, after = tokens[index - 1 : index + 2]
        if sign.kind not in {"PLUS", "MINUS"} or sign.end != after.start or before.end == sign.start:
            continue
        if not imaginary:
            if before.kind not in {"NUMBER", "UNIT"} or kinds([tokens[0], sign, after]) != ["MINUS", "MINUS", "NUMBER"]:
                continue
            if forks.choose("arrange", "roots", sign.start, (_ROOTS_APART, _DIFFERENCE)) == 1:
                return tokens
        return [*tokens[:index], virtual("COMMA", sign.start), *tokens[index:]]
    return tokens


_UNCERTAIN = Alternative("The +- was read as 'plus or minus'.")
_SIGNED = Alternative("The +- was read as a plus sign before a negative value.")


def _with_uncertainty(tokens: list[Token], forks: Ambiguities) -> list[Token]:
    """``93.75 +- 1 mA``: both signs together are one, where a value is asked."""
    together = _plus_minus(tokens)
    place = next((token.start for token in together if token.kind == "EITHER" and token.end > token.start + 1), None)
    if place is None or forks.choose("arrange", "plus-minus", place, (_UNCERTAIN, _SIGNED)) == 1:
        return tokens
    return together


def _opened(tokens: list[Token]) -> list[Token]:
    """``8 Ω (tau = 10 ms)`` and ``{0, t<0; 5, t>0}``: what holds several parts is no factor."""
    opened: set[int] = set()
    stack: list[tuple[int, bool]] = []  # where a bracket opens, and whether it holds several parts
    for index, token in enumerate(tokens):
        if token.kind == "OPEN":
            stack.append((index, False))
        elif token.kind == "CLOSE" and stack:
            start, several = stack.pop()
            opened |= {start, index} if several else set()
        elif token.kind in _BREAKS and stack:
            stack[-1] = stack[-1][0], True
    opened |= {start for start, several in stack if several}
    if not opened:
        return tokens
    return [virtual("COMMA", token.start) if index in opened else token for index, token in enumerate(tokens)]


def _without_signs_of_instants(tokens: list[Token]) -> list[Token]:
    """``t > 0+``: the sign after the zero belongs to the instant."""
    out: list[Token] = []
    for index, token in enumerate(tokens):
        if token.kind in {"PLUS", "MINUS"} and out and out[-1].kind == "NUMBER" and out[-1].value.value == 0:
            following = tokens[index + 1].kind if index + 1 < len(tokens) else "COMMA"
            if following in _BREAKS | {"CLOSE"}:
                continue
        out.append(token)
    return out


def _plus_minus(tokens: list[Token]) -> list[Token]:
    """``-50 +- j120``: both signs together."""
    out: list[Token] = []
    for token in tokens:
        if token.kind == "MINUS" and out and out[-1].kind == "PLUS" and out[-1].end == token.start:
            out[-1] = Token("EITHER", "±", out[-1].start, token.end)
        else:
            out.append(token)
    return out
