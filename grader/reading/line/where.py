"""Where a piece of a response holds: ranges of t in signs and in words, words for early and late, and a clock that starts anew."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from grader.reading.line.phrases import phrase_of
from grader.reading.line.split import denies_a_noun
from grader.reading.text.time_origin import T_COUNTS
from grader.reading.tokens.units import look_up
from grader.regex import regex

SECONDS = r"(?:(?:[mμun]|milli|micro)?s(?:ec(?:onds?)?|ekunden?)?|мк?с|с)(?![A-Za-z0-9_'^])"
NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)(?:e-?[0-9]+|\s?[*·×]\s?10\s?\^?\s?\(?-?[0-9]+\)?)?"
_INSTANT = rf"(?:t\s*=\s*)?(?:{NUMBER}(?:\s*{SECONDS})?|t_?[0-9]\b)"
_WHOLE = rf"(?:(?<=[sс])|(?!\w|\s?{SECONDS}|[.,^][0-9]|\s?[mkμ]?[AVWJC]\b|\s*[+*/(]|\s*-\s*[0-9.(]|\s*e\s?\^))"
"""Behind a bare number: no part of a formula, and without a unit."""
_LAST = rf"(?P<last>{_INSTANT}|∞|\+∞|inf\w*)"
_TO = r"(?:,|;|\.\.+|…|-|[〜~]|\b(?:to|until|bis|hasta|até|and|und|et|à|a|y|e|до)\b)"
_UNTIL, _SINCE = phrase_of("until"), phrase_of("since")
_NO_EXPONENT = r"(?!(?:(?<=[-−^{])|(?<=[-−^{]\s)|(?<=\^\())t\s)"
"""``e^(-t over 20 ms)`` is divided by a time constant."""
_EARLY_WORDS, _LATE_WORDS = (
    regex(rf"{_NO_EXPONENT}(?:{phrase_of(*kinds).pattern})", re.IGNORECASE)
    for kinds in (("until", "before", "at first"), ("since", "after", "at last", "then"))
)
RANGES = tuple(
    regex(pattern, re.IGNORECASE)
    for pattern in (
        rf"(?:(?P<first>{_INSTANT})\s*[<≤]=?\s*)?\bt\s*(?P<sign>[<>≤≥])=?\s*{_LAST}",
        rf"(?P<first>{_INSTANT})\s*[<≤]=?\s*t(?![\w'])",
        rf"[(\[]\s*(?:(?P<first>{NUMBER}\s*{SECONDS})\s*{_TO}\s*{_LAST}?|(?P<from>{_INSTANT})\s*{_TO}\s*(?P<to>{NUMBER}\s*{SECONDS}|∞|inf\w*))\s*[)\]\[]",
        rf"(?<![\w)*/+^-])[(\[]\s*(?P<first>{_INSTANT})\s*{_TO}\s*{_LAST}?\s*[)\]\[](?!\s*[\w(^*/])",
        rf"\b(?:from|between|during|on|in|von|zwischen|de|du|entre|от|с)\s+(?P<first>{_INSTANT})\s*(?!,[0-9]){_TO}\s*{_LAST}{_WHOLE}",
        rf"(?<![\w.,)^*/-])(?<![^t]=\s)(?<![^t]=)(?<!\s=\s)(?P<first>{_INSTANT})\s*(?![,;]|until){_TO}\s*(?P<last>{NUMBER}\s*{SECONDS}|∞)",
        rf"(?<![\w.,)^*/-])(?P<first>{_INSTANT})\s*(?:\.\.+|…)",
        rf"(?:^|(?<=[;\n|(,]))\s*(?P<sign>[<>≤≥])=?\s*(?P<last>{_INSTANT})",
        rf"(?<=\s)(?P<sign>[<>≤≥])=?\s*(?P<last>{NUMBER}\s*{SECONDS}|{_INSTANT}(?=\s*:))",
        rf"{_NO_EXPONENT}(?:{_UNTIL.pattern}|\bfor)\s+(?P<last>{_INSTANT}){_WHOLE}",
        rf"{_NO_EXPONENT}(?:{_SINCE.pattern}|\bfrom)\s+(?P<first>(?!0\s){_INSTANT}){_WHOLE}",
    )
)
"""A range of t: in signs, as an interval, by its end, by its start."""
PLACE = 0xE000
"""The first of the letters that mark a place in a text; nobody's, once `in_ranges` has taken them out."""
STRETCH = r"(?:interval[loe]*|phase|part|piece|section|stage|stretch|abschnitt|teil|tramo|étape)"
ORDINALS = {
    "first": 1, "1st": 1, "start": 1, "i": 1, "second": 2, "2nd": 2, "ii": 2, "third": 3, "3rd": 3, "iii": 3, "fourth": 4, "4th": 4, "iv": 4,
    "a": 1, "b": 2, "c": 3, "d": 4, "middle": 0, "last": -1, "final": -1, "end": -1,
}  # fmt: skip
"""Intervals by their order; from the end with a minus sign, 0 for the one between the first and the last."""
_NUMBERED = regex(
    rf"\b(?P<before>[1-9](?=\.|st|nd|rd|th|\s|{STRETCH}))(?:\.|st|nd|rd|th)?\s?{STRETCH}\b|\b(?P<word>(?!a\b)(?:{'|'.join(ORDINALS)}))\s{STRETCH}\b"
    rf"|\b{STRETCH}\s?(?P<behind>[1-9]|I{{1,3}}|IV|[A-D])\b(?![-+*/^(.,]|\s*[*/^]|\s[-+]\s)|(?:^|(?<=[;,|\n.]))\s*(?:the\s+)?(?P<alone>{'|'.join(ORDINALS)})(?=\s*:)",
    re.IGNORECASE,
)
_STATE = rf"(?P<state>{phrase_of('open').pattern}|{phrase_of('closed').pattern})"
_SWITCH = regex(
    rf"(?<!until )(?<!till )(?<!before )(?<!bis )\b(?:(?P<switch>(?-i:S[Ww]?|K|Q)_?[0-9A-Za-z]?)|(?:the\s+)?switch)\s+(?:is\s+|being\s+|still\s+|now\s+)*{_STATE}"
    rf"|(?:^|(?<=[;,\n.]))\s*{_STATE.replace('state', 'alone')}(?=\s*:)",
    re.IGNORECASE,
)
"""What a switch is while a formula holds."""
_EVENT = regex(
    r"\b(?P<when>after|once|when|since|as soon as|nachdem|sobald|until|till|before|bis|bevor)\s+(?P<event>S_?[0-9A-Z])\s+(?:has\s+|was\s+)?"
    r"(?:(?P<act>opens|closes|opened|closed)(?:\s+again)?\b|(?:goes|changes|switches|moves|flips|is\s+thrown)\s+over\b|acts\b|(?=[-(0-9]))",
    re.IGNORECASE,
)
"""Where a switch acts."""
_FROM_THE_START = regex(r"\b(?:start|beginning|first|0)\b", re.IGNORECASE)


_ZERO = regex(r"0+(?:[.,]0+)?(?![0-9.,e*·×])")


class Where(NamedTuple):
    """What says where a formula holds: the ends of a range ("" for none), or a word for early or late, or that t counts anew."""

    first: str = ""
    last: str = ""
    word: str = ""

    @property
    def is_before_all(self) -> bool:
        """Whether it is ``t < 0``."""
        return _ZERO.match(self.last) is not None


EARLY, LATE, ANEW = Where(word="early"), Where(word="late"), Where(word="anew")
NOTHING, CORRECTED = Where(word="nothing"), Where(word="corrected")


class Clock(NamedTuple):
    """The intervals asked: where they begin, in seconds, which switches are closed on each, and how many seconds a bare number of an answer has."""

    starts: Sequence[float]
    closed: Sequence[Mapping[str, bool]] = ()
    scale: float = 1.0

    def interval(self, where: Where) -> int | None:
        """The interval asked that a range tells by one of its ends; None for any other."""
        first = seconds(where.first, self.scale)
        if first:
            return self._at(first)
        after = self._at(seconds(where.last, self.scale))
        return after - 1 if after else None if where.last else 0

    def _at(self, instant: float) -> int | None:
        return next((k for k, start in enumerate(self.starts) if abs(start - instant) <= 1e-6 * start), None)

    def overlap(self, ranges: Iterable[Where]) -> bool:
        """Whether two ranges that are told by both ends have time in common."""
        ends = sorted((seconds(one.first, self.scale), seconds(one.last, self.scale)) for one in ranges if one.first)
        return any(later[0] < before[1] * (1 - 1e-6) for before, later in pairwise(ends))

    def begin(self, number: int) -> str:
        """Where an interval begins; "" for the first one, and behind the last."""
        return f"{self.starts[number]:.12g} s" if 0 < number < len(self.starts) else ""

    def range_of(self, number: int) -> Where:
        """An interval as a range of t."""
        return Where(self.begin(number), self.begin(number + 1))

    def where_closed(self, switch: str, closed: bool) -> Where:
        """The one interval on which a switch is closed, or not; "" for the only one."""
        names = {*self.closed[0]} if self.closed else set()
        name = next((one for one in names if one.lower() == switch.lower() or (not switch and len(names) == 1)), None)
        found = [number for number, own in enumerate(self.closed) if own.get(name or "") is closed]
        return self.range_of(found[0]) if len(found) == 1 else NOTHING

    def shifted(self, number: int) -> str:
        """The time since an interval began, in the unit of t."""
        return f"(t-{self.starts[number] / self.scale:.12g})" if number else "t"


def marked(text: str, clock: Clock) -> tuple[str, list[Where]]:
    """The text with a mark for each thing that says where a formula holds, and what they say."""
    found: list[Where] = []

    def mark(text: str, pattern: re.Pattern[str], said_by: Callable[[re.Match[str]], Where]) -> str:
        def letter(match: re.Match[str]) -> str:
            found.append(said_by(match))
            return chr(PLACE + len(found) - 1)

        return pattern.sub(letter, text)

    text = mark(text, T_COUNTS, lambda match: NOTHING if _FROM_THE_START.search(match[0]) else ANEW)
    for pattern in RANGES:
        text = mark(text, pattern, _range)
    text = mark(text, phrase_of("correction"), lambda match: NOTHING if denies_a_noun(match) else CORRECTED)
    text = mark(text, _EVENT, lambda match: _by_event(match, clock))
    text = mark(text, _SWITCH, lambda match: _by_switch(match, clock))
    text = mark(text, _NUMBERED, lambda match: _numbered(match, clock))
    text = mark(text, _EARLY_WORDS, lambda _: EARLY)
    return mark(text, _LATE_WORDS, lambda _: LATE), found


def _numbered(match: re.Match[str], clock: Clock) -> Where:
    """``phase 2``, ``last:``: an interval by its number or place."""
    said, count = next(filter(None, match.groups())).lower(), len(clock.starts)
    number = int(said) if said.isdigit() else ORDINALS[said]
    number = count + 1 + number if number < 0 else number or (2 if count == 3 else count + 1)
    return clock.range_of(number - 1) if number <= count else LATE


def _by_event(match: re.Match[str], clock: Clock) -> Where:
    """``after S1 closes``, ``until S2 opens``: from or up to where a switch comes to be so."""
    closes = match["act"].lower().startswith("clos") if match["act"] else None
    before = match["when"].lower() in {"until", "till", "before", "bis", "bevor"}
    states = [own.get(match["event"].upper()) for own in clock.closed]
    changes = ((k, states[k]) for k in range(1, len(states)) if states[k] is not states[k - 1])
    later = [k for k, closed in changes if closes in {closed, None}]
    if len(later) == 1:
        return Where(last=clock.begin(later[0])) if before else clock.range_of(later[0])
    at_once = closes is not None and not later and not before and states[:1] == [closes]
    return clock.range_of(0) if at_once else EARLY if before else LATE


def _by_switch(match: re.Match[str], clock: Clock) -> Where:
    """``S1 open``, ``off:``: an interval by what a switch is in it."""
    is_closed = phrase_of("closed").fullmatch(match["state"] or match["alone"]) is not None
    return clock.where_closed(match["switch"] or "", is_closed)


_ENDS = (("first", "from"), ("last", "to"))


def _range(match: re.Match[str]) -> Where:
    """The range of t that one of `RANGES` has found."""
    named = match.groupdict()
    first, last = (re.sub(r"^t\s*=\s*", "", named.get(end) or named.get(other) or "") for end, other in _ENDS)
    if named.get("sign") in {">", "≥"}:
        first, last = last, ""
    unit = re.search(rf"{SECONDS}$", last)
    if unit is not None and re.fullmatch(NUMBER, first) and seconds(first, 1.0) >= seconds(last, 1.0):
        first += unit[0]  # 3 to 5 ms
    return Where(first, "" if "∞" in last or "inf" in last else last)


def in_one_unit(own: Where, text: str, clock: Clock) -> Where:
    """``0 < t < 2 ms; t > 2``: a bare end of a range in the unit that others have, where an interval asked begins so."""
    unit = re.search(r"[0-9]\s*([mμun]s)\b", text)
    if unit is None:
        return own
    first, last = (f"{end} {unit[1]}" if re.fullmatch(NUMBER, end) else end for end in own[:2])
    other = own._replace(first=first, last=last)
    return other if clock.interval(own) is None and clock.interval(other) is not None else own


def seconds(instant: str, scale: float) -> float:
    """An instant in seconds, a bare number in the unit of t; 0 for none."""
    found = _SECONDS.match(instant)
    if found is None:
        return 0.0 if not instant else -1.0
    power = found["power"] or found["exponent"] or "0"
    size = float(f"{found['number'].replace(',', '.')}e{power}")  # of more than a float holds infinite: nobody's end
    unit = instant[found.end() :].strip()
    return size * (float(look_up(unit)[0].scale) if look_up(unit) else 1.0 if unit else scale)


_SECONDS = regex(
    r"(?P<number>[0-9]*[.,]?[0-9]+)(?:e(?P<exponent>-?[0-9]+)|\s?[*·×]\s?10\s?\^?\s?\(?(?P<power>-?[0-9]+)\)?)?"
)
