"""What stands below a slash.

In a power, written mathematics gives the denominator everything behind the slash: every published example of
``e^-t/RC`` meant the product of R and C.  Elsewhere the slash takes the next factor, or what is glued to it.
"""

from collections.abc import Sequence

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.tokens import Question, Token, kinds, virtual
from grader.values.dimension import CONDUCTANCE, CURRENT, NUMBER, POWER, RATE, TIME, VOLTAGE
from grader.values.laplace import VARIABLE

_NEUTRAL = {"PLUS", "MINUS", "COMMA", "EQUALS", "EITHER", "BELOW", "ABOVE"}

_OPERATORS = {"CARET", "STAR", "SLASH"}

_ALL_BELOW = Alternative("In the power, all that follows the slash was read as the denominator.")
_NEXT_BELOW = Alternative("In the power, the slash was read as dividing by the next factor alone.")
_TOGETHER = Alternative("What is written together below the slash was read as one denominator.")
_APART = Alternative("Only the first factor below the slash was read as the denominator.")


def gather(tokens: list[Token], forks: Ambiguities, formula: bool) -> list[Token]:
    """Inside a power: put what follows a slash in brackets; a t stays above unless one is there already.

    ``formula`` tells that the answer is a spreadsheet's formula, in which a slash takes the next factor.
    """
    if not any(token.kind == "SLASH" for token in tokens):
        return tokens
    out: list[Token] = []
    for term in _terms(tokens):
        out.extend(_gathered(term, forks, formula))
    return out


def _gathered(term: list[Token], forks: Ambiguities, formula: bool) -> list[Token]:
    slash = _first_outside(term, "SLASH")
    if slash is None:
        return term
    factors = _factors(term[slash + 1 :])
    if len(factors) < 2:
        return term
    above = any(token.kind == "TIME" for token in term[:slash])
    lifted = [] if above else [factor for factor in factors[1:] if len(factor) == 1 and factor[0].kind == "TIME"][:1]
    below = [factor for factor in factors if not any(factor is one for one in lifted)]
    if len(below) < 2:
        return term
    measured = len(below) == 2 and below[0][0].kind == "NUMBER" and below[1][0].kind == "UNIT"
    if not measured:
        ways = (_NEXT_BELOW, _ALL_BELOW) if formula else (_ALL_BELOW, _NEXT_BELOW)
        if ways[forks.choose("arrange", "slash", term[slash].start, ways)] is _NEXT_BELOW:
            return term
    out = [*term[: slash + 1], virtual("OPEN", term[slash].end)]
    for factor in below:
        out.extend(factor)
    out.append(virtual("CLOSE", term[-1].end))
    for factor in lifted:
        out.extend(factor)
    return out


def _terms(tokens: Sequence[Token]) -> list[list[Token]]:
    """Split at the plus and minus signs outside brackets; the signs lead their terms."""
    terms: list[list[Token]] = [[]]
    depth = 0
    for token in tokens:
        if token.kind == "OPEN":
            depth += 1
        elif token.kind == "CLOSE":
            depth -= 1
        elif depth == 0 and token.kind in _NEUTRAL and terms[-1] and terms[-1][-1].kind not in _OPERATORS:
            terms.append([])
        terms[-1].append(token)
    return terms


def _first_outside(tokens: Sequence[Token], kind: str) -> int | None:
    depth = 0
    for index, token in enumerate(tokens):
        if token.kind == "OPEN":
            depth += 1
        elif token.kind == "CLOSE":
            depth -= 1
        elif depth == 0 and token.kind == kind:
            return index
    return None


def _factors(tokens: Sequence[Token]) -> list[list[Token]]:
    """Split a product outside brackets; the signs between factors fall away."""
    factors: list[list[Token]] = []
    depth = 0
    joined = False
    for token in tokens:
        if depth == 0 and token.kind in {"STAR", "SLASH"}:
            joined = False
            continue
        if not factors or (depth == 0 and not joined and token.kind != "CARET"):
            factors.append([])
        factors[-1].append(token)
        if token.kind == "OPEN":
            depth += 1
        elif token.kind == "CLOSE":
            depth -= 1
        joined = depth > 0 or token.kind in {"CARET", "FUNCTION", "STEP", "FRACTION", "MINUS", "PLUS"}
    return factors


def denominator_end(
    tokens: Sequence[Token], index: int, stop: int, measured: bool, question: Question, forks: Ambiguities
) -> int:
    """Outside a power: index behind what a slash before ``index`` divides by, where that is more than one factor.

    ``1/2RC`` divides by 2RC, ``100 V/1 ohm`` by 1 ohm; in ``1/500 s`` the unit is that of the whole.  ``measured``
    tells that a unit, a name or t stands above the slash.  Gives ``index`` where one factor is all.  A last unit of
    the kind asked is that of the whole: ``36 V/13.5 Ω*6/8 A``.
    """
    end = index
    if _is_sum_of_s(tokens[index:], question):
        return index + 3 * forks.choose("arrange", "below", tokens[index].start, (_APART, _TOGETHER))
    if index < stop and tokens[index].kind == "NUMBER":
        end += 1
        if end < stop and tokens[end].kind == "UNIT":
            return end + 1 if _is_below(tokens, end, stop, measured, question, forks) else index
    factors, signs = int(end > index), 0
    of_s = VARIABLE in question.vocabulary.dimensions
    while end < stop and (end == index or tokens[end].start == tokens[end - 1].end):
        named = tokens[end].kind == "NAME"
        behind = _behind_power(tokens, end + 1, stop) if named else _behind_factor(tokens, end, stop)
        if behind == end:
            break
        signs += not of_s and tokens[end].kind == "OPEN"
        end, factors = behind, factors + 1
        if end + 1 < stop and tokens[end].kind == "STAR" and _behind_factor(tokens, end + 1, stop) > end + 1:
            end, factors, signs = _behind_factor(tokens, end + 1, stop), factors + 1, signs + 1
    ways = (
        (_APART, _TOGETHER) if signs else (_TOGETHER, _APART)
    )  # by its signs 5/(s+2)*(s+5) divides by s+2 alone, and 1/2(3 V + 5 V) by 2
    if factors > 1 and ways[forks.choose("arrange", "below", tokens[index].start, ways)] is _TOGETHER:
        return end
    return index


def _is_sum_of_s(tokens: Sequence[Token], question: Question) -> bool:
    """``-200/s+50`` may want its brackets: a sum with s, written together, that ends the answer."""
    if VARIABLE not in question.vocabulary.dimensions or len(tokens) != 3:
        return False
    s, sign, number = tokens
    glued = s.end == sign.start and sign.end == number.start
    named = s.kind == "NAME" and s.value.name == VARIABLE
    return glued and named and sign.kind in {"PLUS", "MINUS"} and number.kind == "NUMBER"


def _is_below(
    tokens: Sequence[Token], place: int, stop: int, measured: bool, question: Question, forks: Ambiguities
) -> bool:
    """Whether the unit after a number below a slash belongs to that number, and not to the whole."""
    unit, question = tokens[place], _asked_by_label(tokens[:place], question)
    if not _ends_the_whole(tokens, place, stop, question):
        return measured or _unit_below(tokens, unit, question, forks)
    if measured:
        ways = tuple(Alternative(way.format(unit.value.symbol)) for way in (_OF_THE_WHOLE, _OF_THE_DENOMINATOR))
        return forks.choose("arrange", "unit-below", unit.start, ways) == 1
    return place + 1 == stop and _unit_below(tokens, unit, question, forks)


def _asked_by_label(before: Sequence[Token], question: Question) -> Question:
    """The question that a value with a label of its own answers: ``2 e^(-t/tau) A, tau = 1/40 s``."""
    sign = next((place for place in range(len(before) - 1, 0, -1) if before[place].kind in {"EQUALS", "COMMA"}), 0)
    if not sign or before[sign].kind != "EQUALS" or before[sign - 1].kind != "LABEL":
        return question
    name = before[sign - 1].value
    known = question.vocabulary.find(name)
    kind = TIME if name == "tau" else question.vocabulary.dimensions.get(known or "")
    return question if kind is None else question._replace(dimension=kind)


def _behind_factor(tokens: Sequence[Token], index: int, stop: int) -> int:
    """Behind a factor in brackets without t, with its power: ``5/(s+1)(s+2)^2``, where s is, means both to be below.

    Elsewhere it may be: ``L V^2/2(R1+R2)^2``.
    """
    if tokens[index].kind != "OPEN":
        return index
    depth = 0
    for end in range(index, stop):
        if tokens[end].kind in {"TIME", "EULER"}:
            return index
        depth += {"OPEN": 1, "CLOSE": -1}.get(tokens[end].kind, 0)
        if depth == 0:
            return _behind_power(tokens, end + 1, stop)
    return index


def _behind_power(tokens: Sequence[Token], index: int, stop: int) -> int:
    """``1/2R^2``: the index behind the power of a name that ends before ``index``; the power is that of the name alone."""
    for power in (["CARET", "NUMBER"], ["CARET", "OPEN", "NUMBER", "CLOSE"]):
        end = index + len(power)
        if end <= stop and kinds(tokens[index:end]) == power:
            return end
    return index


_OF_THE_WHOLE = "The unit {} was read as that of the whole fraction."
_OF_THE_DENOMINATOR = "The unit {} was read as part of the denominator."


def _ends_the_whole(tokens: Sequence[Token], index: int, stop: int, question: Question) -> bool:
    """Whether the unit at ``index`` is of the kind asked and nothing of its term follows."""
    end, dimension = index + 1, tokens[index].value.dimension
    while end + 1 < stop and dimension is not None and tokens[end].kind == "SLASH" and tokens[end + 1].kind == "UNIT":
        dimension = dimension.over(tokens[end + 1].value.dimension or NUMBER)  # 6/0.05 A/s
        end += 2
    last = end >= stop or tokens[end].kind in _NEUTRAL | {"CLOSE"}
    return last and question.dimension is not None and dimension == question.dimension


def _unit_below(tokens: Sequence[Token], token: Token, question: Question, forks: Ambiguities) -> bool:
    unit = token.value
    if unit.dimension is None:
        place = next(
            one.start for one in tokens if one.kind == "UNIT" and one.value.dimension is None
        )  # all alike: 1/6k + 1/3k
        # 24/10k: below the line where a current or a voltage is asked, in front of the whole for a resistance (3/4k)
        ways = (
            Alternative(f"The {unit.symbol} was read as part of the denominator."),
            Alternative(f"The {unit.symbol} was read as in front of the whole."),
        )
        if question.dimension in {CURRENT, VOLTAGE, POWER, TIME, RATE, CONDUCTANCE}:
            return forks.choose("arrange", "prefix-below", place, ways) == 0
        return forks.choose("arrange", "prefix-below", place, ways[::-1]) == 1
    if question.dimension is None or unit.dimension == question.dimension:
        return False
    below, whole = Alternative(_OF_THE_DENOMINATOR.format(unit.symbol)), Alternative(_OF_THE_WHOLE.format(unit.symbol))
    return forks.choose("arrange", "unit-below", token.start, (below, whole)) == 0
