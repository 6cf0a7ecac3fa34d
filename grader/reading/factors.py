"""Options that are factors, in words or figures: twice as long, nine fourths, unchanged; half as fast is twice as long."""

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from grader.reading.claims import DENIED, SUPPOSED, Clause, claimed, counted
from grader.reading.options import listed
from grader.reading.parted import FRAME, STOPS
from grader.reading.refusals import CannotRead
from grader.reading.spelled import Token, spelled, tokens
from grader.reading.tokens.vocabulary import NUMBER_WORDS, WORDS

SCALED = {
    "doubled": Fraction(2), "halved": Fraction(1, 2), "tripled": Fraction(3), "quadrupled": Fraction(4),
    "quartered": Fraction(1, 4),
}  # fmt: skip
_COMPARATIVE = {"growing": 1, "slower": 1, "shrinking": -1, "quicker": -1}
_SIZES = {"long": 1, "large": 1, "slow": 1, "short": -1, "small": -1, "fast": -1}
_PACES = {"slow", "slower", "fast", "quicker"}
_OF_TIME = {*_PACES, "long", "short"}
_KINDS = ("unchanged", *_COMPARATIVE, *_SIZES, "percent", "times", "factor", "by", "divided", *SCALED)
_PARTS = {**WORDS["parts"], **{f"{word}s": number for word, number in WORDS["parts"].items()}}


def by_factor(text: str, options: tuple[str, ...]) -> str | None:
    """The option whose factor a text tells; None where options are no factors, or the text tells of none.

    Raises
    ------
    CannotRead
        If it tells of another factor than theirs, or of several.
    """
    own, theirs = _factors(options), _kinds_of(options)
    told = _claimed(text, options) if own else []
    if not told:
        return None
    kinds = {one.kind for one in told}
    found = {*_told(told)}
    if kinds.isdisjoint({*_COMPARATIVE, *_SIZES}) and theirs & {"fast", "short", "small"}:
        found = {1 / factor for factor in found}
    known = kinds.isdisjoint(_PACES) or not theirs.isdisjoint(_OF_TIME)
    grows = max(found, default=Fraction(0)) > 1 and {"by", "factor"} <= kinds  # by a factor of 2: up or down
    known &= not grows or not kinds.isdisjoint({*_COMPARATIVE, "divided", "times"})
    fitting = [option for option, factor in zip(options, own, strict=True) if known and {factor} == found]
    if not fitting:
        raise CannotRead("choice-unknown", None, listed(options))
    return fitting[0]


def _claimed(text: str, options: tuple[str, ...]) -> list[Token]:
    """What an answer claims of a factor; nothing where it denies one, or something stays."""
    clauses = claimed(text, options, *_KINDS, lettered=False, whole=False)
    clauses = [one for one in counted(clauses, lambda part: any(map(_tells, part))) if _tells(one)]
    words = [word for one in clauses if one.stance != SUPPOSED for word in (*one.words, Token(","))]
    denied = any(one.stance == DENIED or _is_denied([*one.words]) for one in clauses)
    return [] if denied or any(one.kind == "unchanged" for one in words) else words


def _tells(clause: Clause) -> bool:
    return bool(_told([*clause.words])) or any(one.kind == "unchanged" for one in clause.words)


def is_factor(text: str, options: tuple[str, ...]) -> bool:
    """Whether a phrase is a factor and so are options: ``half of``."""
    return bool(_factors(options) and _told(_stream(text)))


@lru_cache(maxsize=256)
def _factors(options: tuple[str, ...]) -> tuple[Fraction, ...]:
    """The factors of options, all different, where each tells of one, stays the same or goes to zero."""
    found = []
    for option in options:
        stream = _stream(option)
        kept = {Fraction(1) for one in stream if one.kind == "unchanged"}
        found.append({*_told(stream)} or kept or {Fraction(0) for one in stream if _number(one) == 0})
    known = tuple(min(one) for one in found if len(one) == 1)
    return known if len({*known}) == len(options) and len({*known} - {1}) > 1 else ()


def _stream(text: str) -> list[Token]:
    return tokens(spelled(text), *FRAME, *_KINDS)


def _kinds_of(options: tuple[str, ...]) -> set[str]:
    return {one.kind for option in options for one in _stream(option)}


def _told(part: list[Token]) -> list[Fraction]:
    """The factors of which a part tells, of what is large, long or slow; none that is denied."""
    return [factor for clause in _clauses(part) for factor in _of_clause(clause)]


def _clauses(part: list[Token]) -> list[list[Token]]:
    clauses: list[list[Token]] = [[]]
    for one in part:
        if one.text in STOPS or one.kind == "but":
            clauses.append([])
        else:
            clauses[-1].append(one)
    return clauses


def _is_denied(clause: list[Token]) -> bool:
    """Whether a denial stands behind all factors of a clause: ``twice is not right``."""
    last = max((place for place in range(len(clause)) if _factor_at(clause, place)[0]), default=len(clause))
    return any(one.kind == "not" for one in clause[last:])


def _of_clause(clause: list[Token]) -> Iterator[Fraction]:
    sizes = {_SIZES[one.kind] for one in clause if one.kind in _SIZES}
    compared = {_COMPARATIVE[one.kind] for one in clause if one.kind in _COMPARATIVE}
    place = 0
    while place < len(clause):
        factor, end = _factor_at(clause, place)
        if factor and all(one.kind != "not" for one in clause[:place]):
            before = [one.kind for one in clause[max(place - 2, 0) : place]]
            share = "by" in before and "factor" not in before and (factor < 1 or clause[end - 1].kind == "percent")
            if share and len(compared) == 1:
                factor = 1 + min(compared) * factor
            elif factor > 1 and compared == {-1}:
                factor = 1 / factor
            yield factor ** (min(sizes) if len(sizes) == 1 else 1)
        place = max(end, place + 1)


def _factor_at(clause: list[Token], place: int) -> tuple[Fraction | None, int]:
    """The factor that stands at a place, and where it ends."""
    one, before = clause[place], clause[place - 1].kind if place else ""
    following = [*clause[place + 1 : place + 3], Token(""), Token("")]
    number = Fraction(1) if one.text == "a" and following[0].text in _PARTS else _number(one)
    if one.kind in SCALED:
        return SCALED[one.kind], place + 1
    if one.text[0] == "x" and one.text[1:].isdigit():
        return Fraction(one.text[1:]), place + 1
    if number is None:
        below = _number(following[0]) if one.text == "/" or one.kind == "divided" else None
        return (1 / below, place + 2) if below and not following[1].text[:1].isalnum() else (None, place)
    part, end = _with_part(number, following)
    if part is not None:
        return part, place + end
    if following[0].kind in {"times", "the time constant"} or before in {"times", "factor"}:  # 0.5 tau
        return number, place + 2
    return (number, place + 1) if one.text[0] == "0" and not following[0].text else (None, place)


def _with_part(number: Fraction, following: list[Token]) -> tuple[Fraction | None, int]:
    """A number with the part or what it is divided by behind it, and how many words it has; none for a number alone."""
    first, second = following[:2]
    if first.kind == "and" and second.kind in SCALED:
        return number + SCALED[second.kind], 3
    below = _number(second) if first.text == "/" else None
    if below:
        return number / below, 3
    if first.text in _PARTS:
        return number / _PARTS[first.text], 2
    return (number / 100, 2) if first.kind == "percent" else (None, 0)


def _number(one: Token) -> Fraction | None:
    text = one.text.replace(",", ".")
    if text in NUMBER_WORDS:
        return Fraction(NUMBER_WORDS[text])
    return Fraction(text) if text.replace(".", "", 1).isdigit() and not one.kind else None
