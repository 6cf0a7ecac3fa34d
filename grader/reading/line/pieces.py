"""A response told piece by piece: ``2(1-e^-t) A until 1 s, then 1.3e^(-(t-1)) A`` as formulas for ranges of t.

A person sees a list of formulas and of what says where each holds: a range of t, in signs or in words, or a word for early
or late.  Whatever joins them, what says where belongs to the formula on that side which leaves the fewest without; a formula
of which nothing is said takes the interval that the others leave.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

from grader.reading.line.listed import as_list
from grader.reading.line.phrases import phrase_of
from grader.reading.line.piece_values import in_units, with_values
from grader.reading.line.split import is_strange
from grader.reading.line.unit_said import is_of_the_kind_asked, measured
from grader.reading.line.where import (
    ANEW,
    CORRECTED,
    EARLY,
    LATE,
    NOTHING,
    NUMBER,
    PLACE,
    SECONDS,
    Clock,
    Where,
    in_one_unit,
    marked,
    seconds,
)
from grader.reading.tokens import Question
from grader.regex import regex

_OTHERS = regex(r"\bor\b|\boder\b|\bou\b", re.IGNORECASE)
_TOKEN = regex(
    r"(?P<mark>[\ue000-\uf8ff])|(?P<most>[;\n∪#]|//|(?<!\|)\|(?!\|))|(?P<less>,(?![0-9])|(?<![0-9]),|\.\.+|…)|(?P<colon>:|[-=]+>|⇒|→)"
    r"|(?P<more>\.(?=\s|$)|(?<=\s)(?:and|but|und|et|y|e|и)(?=\s)(?!\s\^))|(?P<slash>(?<=\s)/(?=\s))|(?P<word>(?<![\w'])(?:[^\W\d_]{2,}(?![\w'(]|\s?[\^*])|(?-i:[aIà])(?=\s))|[\u3040-\u30ff\u4e00-\u9fff]+)",
    re.IGNORECASE,
)
_RANKS = {"most": 3.0, "slash": 3.0, "more": 2.0, "less": 1.0, "colon": 0.0}
"""What parts two pieces, and how surely."""
_WITHOUT, _TWO, _OVER_COLON, _ELSEWHERE = 4.0, 4.0, 4.0, 1.5
"""What counts against a pairing: a formula without any range, or with two, a range that leads to what follows, or is another interval's."""
_EXPONENTIAL = regex(r"(?<![^\W\d_])e\s?\^|\bexp\b", re.IGNORECASE)
_TIME = regex(r"(?<![^\W\d_])t(?![\w'])(?!\s*=)")
_VALUE = regex(r"(?<![^\W_])(?:[0-9]|\.[0-9])")
_AN_INSTANT = regex(rf"(?:[^=]*=)*\s*{NUMBER}\s*{SECONDS}\s*")
_T_IN = regex(
    r"[(\[,;]?\s*\b(?:t|times?|everything)\s+(?:is\s+)?(?:in|en|em)\s+(?P<unit>ms|μs|us|s|millis|micros)(?:ec(?:onds?)?)?\b"
)
_REMARK = regex(r"(?<!\w)\((?![^()]*\bt\b)[^()]*\b[^\W\d_]{4,}\b[^()]*\)")
"""Words in brackets, which deny no piece."""
_TAKEN_BACK = regex(rf"(?:e\s?\^|\bexp\b).*(?:{phrase_of('taken back').pattern})", re.IGNORECASE | re.DOTALL)
_DENIED = regex(rf"(?:{phrase_of('denied').pattern})[^;,\n]*?(?<![^\W_])[0-9]", re.IGNORECASE)
_GIVEN_BEHIND = regex(r"(?<=[^\W\d_]\s)\((\s*[^\W\d_]\w*\s?=[^()=]*)\)")
"""``2e^(-5t) A (tau = 0.2 s)``"""
_SAME = regex(r"\b(?:same|equal|identical)\s+(?:as|to)\b|\b(?:as|like)\s+(?:before|above|in)\b", re.IGNORECASE)
_LABELS = regex(r"(?<!\w)[ivu]_?([1-9])(?:\(t\))?\s*=")
_AROUND = " ,;:&|*·?"


class _Entry(NamedTuple):
    """One thing in a text: words, which may be a formula, what says where one holds, or a border by its rank."""

    said: str = ""
    where: Where | None = None
    rank: float | None = None


class _Piece(NamedTuple):
    """A formula and all that is said of where it holds."""

    said: str
    where: tuple[Where, ...]

    @property
    def range(self) -> Where | None:
        """The range of t that is stated."""
        return next((one for one in self.where if not one.word), None)


class _Found(NamedTuple):
    """The pieces of a text, values that it states for their names, values that are neither, what holds before all, and whether one is of a range of its own."""

    pieces: Sequence[_Piece] = ()
    given: Sequence[str] = ()
    aside: Sequence[str] = ()
    before: str = ""
    doubtful: bool = False


class Told(NamedTuple):
    """A response told by pieces: in signs, the values left aside, what holds before all, whether where they hold is in doubt, and whether two are told for the same time."""

    text: str
    aside: Sequence[str]
    before: str
    doubtful: bool
    twice: bool


def in_ranges(text: str, clock: Clock, question: Question) -> Told | None:
    """An answer of several pieces, each with its range of t; None where it is anything else.

    Parameters
    ----------
    text : str
        As typed.
    clock : Clock
        The intervals asked.
    question : Question
        What is asked: its dimension and its names tell mathematics from words.
    """
    text = as_list(text)
    claimed = _REMARK.sub(" ", text)
    if any(pattern.search(claimed) for pattern in (_DENIED, _OTHERS, _TAKEN_BACK, phrase_of("turned"))):
        return None
    counted = _T_IN.search(text)
    clock = clock._replace(scale=seconds(f"1 {counted['unit']}", 1.0) if counted else 1.0)
    found = _pieces(_T_IN.sub(" ", text), clock, question)
    ordered = _in_order(found.pieces, clock)
    if not ordered:
        return None
    labels = _LABELS.findall(text)
    same = _SAME.search(text) is not None  # and which formula that is, another item says
    doubtful = same or found.doubtful or labels != sorted(labels) or _is_out_of_order(ordered, clock)
    whole = "; ".join((*_placed(ordered, clock), *found.given))
    whole += {1.0: "", 1e-3: ", t in ms", 1e-6: ", t in μs"}[clock.scale]
    return Told(whole, found.aside, found.before, doubtful, _is_told_twice(found.pieces, clock))


def _is_told_twice(pieces: Sequence[_Piece], clock: Clock) -> bool:
    """Whether two pieces have ranges of one interval, or that overlap, no clock starting anew: ``t > 0: P; t > 0: Q``."""
    ranges = [piece.range for piece in pieces if piece.range and ANEW not in piece.where]
    known = [number for one in ranges if (number := clock.interval(one)) is not None]
    return len(known) > len(set(known)) or clock.overlap(ranges)


def tells_several(text: str, question: Question) -> bool:
    """Whether a text holds several functions of t, of which a reading as one leaves some out."""
    entries = _entries(as_list(text), Clock(()), question)
    return sum(_strength(one.said, question) == _FUNCTION for one in entries) > 1


def _pieces(text: str, clock: Clock, question: Question) -> _Found:
    """The formulas of a text, each with what says where it holds; none where it is not told by pieces."""
    entries = list(_entries(text, clock, question))
    strengths = [_strength(one.said, question) for one in entries]
    if sum(one.where is not None for one in entries) > _MOST_MARKS:
        return _Found()
    _without_corrected(entries, strengths)
    where, places = _paired(entries, strengths, clock)
    texts = {k: one.said for k, one in enumerate(entries)}
    said, given, stated = with_values(
        in_units(texts, places, question), {k: one for k, one in texts.items() if k not in places}
    )
    pieces = [piece for piece in map(_Piece, said.values(), where) if not (piece.range or NOTHING).is_before_all]
    left = [k for k, strength in enumerate(strengths) if strength > _NUMBER and k not in said and k not in stated]
    return _with_left(pieces, given, entries, left) if pieces else _Found()


def _with_left(pieces: list[_Piece], given: list[str], entries: list[_Entry], left: list[int]) -> _Found:
    """Pieces with the formulas that are none of them: what holds before all, and those left aside."""
    before = next((k for k in left if _is_before_all(entries, k)), None)
    aside = [entries[k].said for k in left if k != before]
    ranges = sum(one.where is not None and not one.where.word for one in entries) - (before is not None)
    beyond = ranges > len(pieces) and any(re.search("[1-9]", one) for one in aside)
    return _Found(pieces, given, aside, "" if before is None else entries[before].said.strip(_AROUND), beyond)


def _is_before_all(entries: Sequence[_Entry], place: int) -> bool:
    """Whether ``t < 0`` stands beside a formula, nothing but a colon between."""
    kept = [one for k, one in enumerate(entries) if k == place or one.said or one.where or one.rank]
    own = next(k for k, one in enumerate(kept) if one is entries[place])
    beside = (one.where for one in kept[max(own - 1, 0) : own + 2])
    return any(where is not None and where.is_before_all for where in beside)


def _paired(entries: list[_Entry], strengths: list[int], clock: Clock) -> tuple[list[tuple[Where, ...]], list[int]]:
    """What says where, and the places of the formulas that it belongs to, at the least cost; none where nothing fits."""
    number = len(clock.starts)
    chosen = _candidates(entries, strengths, number)
    if any(len(places) <= number for places in chosen):
        entries = _without_before_all(entries)
    shared = ((*_shared(entries, places, clock), places) for places in chosen)
    paired = [one for one in shared if _all_told(strengths, *one[1:])]
    return min(paired, key=lambda one: one[0])[1:] if paired else ([], [])


def _without_before_all(entries: Sequence[_Entry]) -> list[_Entry]:
    """Entries in which t < 0 says nothing, no formula being left for it."""
    return [one._replace(where=NOTHING) if one.where and one.where.is_before_all else one for one in entries]


def _candidates(entries: Sequence[_Entry], strengths: list[int], number: int) -> list[list[int]]:
    """Which places may be the formulas: one for each interval, one more before t = 0, or as many functions of t as there are."""
    more = number + any(one.where is not None and one.where.is_before_all for one in entries)
    chosen = _formulas(strengths, number) or _formulas(strengths, more)
    if not chosen and strengths.count(_FUNCTION) < number:
        return [[place for place, strength in enumerate(strengths) if strength == _FUNCTION]]
    return chosen


def _all_told(strengths: list[int], where: list[tuple[Where, ...]], places: list[int]) -> bool:
    """Whether every bare number has something that says where it holds."""
    return all(own or strengths[place] > _NUMBER for own, place in zip(where, places, strict=True))


def _without_corrected(entries: Sequence[_Entry], strengths: list[int]) -> None:
    """Take away the formula before each correction, if one as sure stands behind it."""
    before: int | None = None
    for place, one in enumerate(entries):
        if strengths[place] > _NUMBER:
            before = place
        elif one.where == CORRECTED and before is not None and strengths[before] in strengths[place:]:
            strengths[before], before = 0, None


def _formulas(strengths: list[int], number: int) -> list[list[int]]:
    """Which places may be as many formulas as are wanted: functions of t first, then values of the kind asked, then numbers."""
    for level in (_FUNCTION, _QUANTITY, _NUMBER):
        sure, more = ([k for k, one in enumerate(strengths) if holds(one)] for holds in (level.__lt__, level.__eq__))
        wanted = number - len(sure)
        if len(more) == wanted or (level < _FUNCTION and 0 < wanted < len(more) <= _MOST_VALUES):
            return [sorted((*sure, *some)) for some in combinations(more, wanted)]
    return []


_NUMBER, _QUANTITY, _FUNCTION = 1, 2, 3
"""How surely words are a formula."""
_MOST_VALUES, _MOST_MARKS = 6, 16


def _entries(text: str, clock: Clock, question: Question) -> Iterator[_Entry]:
    """What a text consists of: formulas and other words, what says where, and borders by their rank."""
    (marked_text, marks), as_told, start = marked(text, clock), text, 0
    text = _GIVEN_BEHIND.sub(r",\1,", marked_text)
    for token in _TOKEN.finditer(text):
        kind = token.lastgroup or ""
        if kind == "word" and len(token[0]) > 1 and token[0] not in _LINKS and not is_strange(token[0], question):
            continue
        if kind == "slash" and not _ends_a_piece(text[start : token.start()], question):
            continue
        yield _Entry(_trimmed(text[start : token.start()]))
        start = token.end()
        if kind == "mark":
            yield _Entry(where=in_one_unit(marks[ord(token[0]) - PLACE], as_told, clock))
        elif kind != "word":
            yield _Entry(rank=_RANKS[kind])
    yield _Entry(_trimmed(text[start:]))


def _ends_a_piece(before: str, question: Question) -> bool:
    """Whether what stands before a stroke between blanks is a unit of the kind asked, a range, or in brackets that it closes."""
    unit = re.search(r"[^\W\d_]+$", before.rstrip(" )]"))
    opened, closed = (len(re.findall(signs, before)) for signs in (r"[(\[]", r"[)\]]"))
    beyond = before.rstrip()[-1:] in {")", "]"} and opened < closed
    return beyond or not before.strip() or (unit is not None and is_of_the_kind_asked(unit[0], question))


_LINKS = {"as", "is", "are", "equals"}


def _trimmed(said: str) -> str:
    """What stands between two tokens, without what brackets hold that were opened or closed beyond them."""
    begin, opened = 0, []
    for place, sign in enumerate(said):
        if sign in "([{":
            opened.append(place)
        elif sign in ")]}" and opened:
            opened.pop()
        elif sign in ")]}":
            if not said[place + 1 :].strip(_AROUND):
                return _trimmed(said[begin:place])
            begin = place + 1
    if opened:
        held = _VALUE.search(said, begin, opened[0]) is not None
        return _trimmed(said[begin : opened[0]] if held else f"{said[begin : opened[0]]} {said[opened[0] + 1 :]}")
    return said[begin:].strip(_AROUND).lstrip("=+" + _AROUND).rstrip("+" + _AROUND)


def _strength(said: str, question: Question) -> int:
    """How surely words are a formula: a function of t, a value of the kind asked, any other number, none at all."""
    if not _VALUE.search(said) or _AN_INSTANT.fullmatch(said):
        return 0
    if _EXPONENTIAL.search(said) or _TIME.search(said):
        return _FUNCTION
    return _QUANTITY if measured(said, question) else _NUMBER


def _shared(entries: list[_Entry], places: list[int], clock: Clock) -> tuple[float, list[tuple[Where, ...]]]:
    """What says where, shared out to the formulas at some places, and what counts against it.

    Of the marks between two formulas the first ones belong to the formula before; the cheapest way to share out every gap is
    built from that of the gaps before it.
    """
    gaps = [entries[a + 1 : b] for a, b in zip((-1, *places), (*places, len(entries)), strict=True)]
    own = tuple(one.where for one in reversed(gaps[0]) if one.where)  # the nearest first
    ways: list[tuple[float, list[tuple[Where, ...]], tuple[Where, ...]]] = [(_across(gaps[0], 0), [], own)]
    for number, gap in enumerate(gaps[1:]):
        marks = [one.where for one in gap if one.where]
        splits = range(len(marks) + 1) if number < len(places) - 1 else (len(marks),)
        following = []
        for split in splits:
            cost, done, own = min(
                (cost + _against((*own, *marks[:split]), number, clock), done, own) for cost, done, own in ways
            )
            following.append((cost + _across(gap, split), [*done, (*own, *marks[:split])], tuple(marks[split:][::-1])))
        ways = following
    return ways[0][:2]


def _against(where: tuple[Where, ...], number: int, clock: Clock) -> float:
    """What counts against a formula's having just these: none, two ranges that differ, another interval's."""
    ranges = {one if (at := clock.interval(one)) is None else at for one in where if not one.word}
    cost = _TWO * (len(ranges) - 1) if ranges else 0.0 if EARLY in where or LATE in where else _WITHOUT
    misplaced = any(isinstance(one, int) and one != number for one in ranges)
    misplaced |= (number == 0 and LATE in where) or (number == len(clock.starts) - 1 and EARLY in where)
    return cost + _ELSEWHERE * misplaced


def _across(gap: list[_Entry], split: int) -> float:
    """What counts against what crosses borders on its way to its formula."""
    places = [place for place, one in enumerate(gap) if one.where]
    cost = 0.0
    for index, place in enumerate(places):
        crossed = gap[:place] if index < split else gap[place:]
        cost += sum(one.rank or 0.0 for one in crossed)
        border = next((one.rank for one in gap[place:] if one.rank is not None), None)
        cost += _OVER_COLON * (index < split and border == 0.0)
    return cost


_SINCE = regex(rf"(?<=t)\s*-\s*(?P<instant>{NUMBER}\s*[mμun]s)\b")
_FACTOR = regex(r"(?<!e\^\(-)(?<!xp\(-)(?<!e\^-)(?<![0-9.])[0-9.]+\s*[*·]?\s*\(\s*t\s*-[^()]*\)(?!\s*/)")


def _in_seconds(since: re.Match[str]) -> str:
    """``5 + 1700(t - 2 ms)``: an instant in the unit of t, where t is a factor of bare numbers."""
    return f"-{seconds(since['instant'], 1.0):.12g}"


def _is_out_of_order(ordered: Sequence[tuple[int, _Piece]], clock: Clock) -> bool:
    """Whether words put the pieces at the other ends of time: ``third 5 V, second 4 V, first 2 V``."""
    ends = {0: LATE, len(clock.starts) - 1: EARLY}
    return len(ordered) > 1 and all(ends.get(number) in piece.where for number, piece in (ordered[0], ordered[-1]))


def _placed(ordered: Sequence[tuple[int, _Piece]], clock: Clock) -> Iterator[str]:
    """Each piece with the range on which it holds, in the order of time; what is not said follows from its neighbours'."""
    ranges = [Where(), *(piece.range or Where() for _, piece in ordered), Where()]
    for index, (number, piece) in enumerate(ordered, 1):
        before, own, behind = ranges[index - 1 : index + 2]
        first = own.first or before.last or clock.begin(number)
        last = own.last or behind.first or clock.begin(number + 1)
        yield f"{_on_one_clock(piece, clock, number)} for {_between(first, last)}"


def _in_order(pieces: Sequence[_Piece], clock: Clock) -> list[tuple[int, _Piece]]:
    """The pieces with the numbers of their intervals, by these; none where they are too few, or some have no place."""
    told = [None if piece.range is None else clock.interval(piece.range) for piece in pieces]
    known = [number for number in told if number is not None]
    if len(known) > len(set(known)):
        told, known = [None] * len(pieces), []
    free = [number for number in range(len(clock.starts)) if number not in known]
    unplaced = [piece for piece, number in zip(pieces, told, strict=True) if number is None]
    if not _are_several(pieces) or (unplaced and len(unplaced) != len(free)):
        return []
    if len(unplaced) == 2 and LATE in unplaced[0].where and EARLY in unplaced[1].where:
        free.reverse()
    numbers = iter(free)
    return sorted(
        (next(numbers) if number is None else number, piece) for piece, number in zip(pieces, told, strict=True)
    )


def _are_several(pieces: Sequence[_Piece]) -> bool:
    """Whether there are several pieces, or one beside a range of which nothing is known: 0 < t < 1 s: A, t > 1 s: no idea."""
    return len(pieces) > 1 or any(piece.range is not None and len(piece.where) > 1 for piece in pieces)


def _on_one_clock(piece: _Piece, clock: Clock, number: int) -> str:
    """The formula of a piece, counted on the clock of all, its instants in the unit of t."""
    formula = piece.said
    if ANEW in piece.where and "t-" not in formula.replace(" ", ""):
        return _TIME.sub(clock.shifted(number), formula)
    return _SINCE.sub(_in_seconds, formula) if _FACTOR.search(formula) else formula


def _between(first: str, last: str) -> str:
    """A range of t by its ends, "" for none."""
    if first and last:
        return f"{first} < t < {last}"
    return f"t > {first}" if first else f"t < {last}"
