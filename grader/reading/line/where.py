"""Where a piece of a response holds: ranges of t in signs and in words, words for early and late, and a clock that starts anew."""

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple

from grader.reading.line.phrases import phrase_of
from grader.reading.text.time_origin import T_COUNTS
from grader.regex import regex

SECONDS = r"(?:(?:[mμun]|milli|micro)?s(?:ec(?:onds?)?|ekunden?)?|мк?с|с)(?![A-Za-z0-9_'^])"
NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)(?:e-?[0-9]+|\s?[*·×]\s?10\s?\^?\s?\(?-?[0-9]+\)?)?"
_INSTANT = rf"(?:t\s*=\s*)?(?:{NUMBER}(?:\s*{SECONDS})?|t_?[0-9]\b)"
_WHOLE = rf"(?:(?<=[sс])|(?!\w|\s?{SECONDS}|[.,^][0-9]|\s?[mkμ]?[AVWJC]\b|\s*[+*/(]|\s*-\s*[0-9.(]|\s*e\s?\^))"
"""Behind a bare number: no part of a formula, and without a unit."""
_LAST = rf"(?P<last>{_INSTANT}|∞|\+∞|inf\w*)"
_TO = r"(?:,|;|\.\.+|…|-|[〜~]|\b(?:to|until|bis|hasta|até|and|und|et|à|a|y|e|до)\b)"
_UNTIL, _SINCE = phrase_of("until"), phrase_of("since")
_EARLY_WORDS, _LATE_WORDS = phrase_of("until", "before", "at first"), phrase_of("since", "after", "at last", "then")
RANGES = tuple(
    regex(pattern, re.IGNORECASE)
    for pattern in (
        rf"(?:(?P<first>{_INSTANT})\s*[<≤]=?\s*)?\bt\s*(?P<sign>[<>≤≥])=?\s*{_LAST}",
        rf"(?P<first>{_INSTANT})\s*[<≤]=?\s*t(?![\w'])",
        rf"[(\[]\s*(?:(?P<first>{NUMBER}\s*{SECONDS})\s*{_TO}\s*{_LAST}?|(?P<from>{_INSTANT})\s*{_TO}\s*(?P<to>{NUMBER}\s*{SECONDS}|∞|inf\w*))\s*[)\]\[]",
        rf"(?<![\w)*/+^-])[(\[]\s*(?P<first>{_INSTANT})\s*{_TO}\s*{_LAST}?\s*[)\]\[](?!\s*[\w(^*/])",
        rf"\b(?:from|between|during|on|in|von|zwischen|de|du|entre|от|с)\s+(?P<first>{_INSTANT})\s*{_TO}\s*{_LAST}{_WHOLE}",
        rf"(?<![\w.,)^*/-])(?<![^t]=\s)(?<![^t]=)(?<!\s=\s)(?P<first>{_INSTANT})\s*(?![,;]|until){_TO}\s*(?P<last>{NUMBER}\s*{SECONDS}|∞)",
        rf"(?<![\w.,)^*/-])(?P<first>{_INSTANT})\s*(?:\.\.+|…)",
        rf"(?:^|(?<=[;\n|(,]))\s*(?P<sign>[<>≤≥])=?\s*(?P<last>{_INSTANT})",
        rf"(?<=\s)(?P<sign>[<>≤≥])=?\s*(?P<last>{NUMBER}\s*{SECONDS}|{_INSTANT}(?=\s*:))",
        rf"(?:{_UNTIL.pattern}|\bfor)\s+(?P<last>{_INSTANT}){_WHOLE}",
        rf"(?:{_SINCE.pattern}|\bfrom)\s+(?P<first>(?!0\s){_INSTANT}){_WHOLE}",
    )
)
"""A range of t: in signs, as an interval, by its end, by its start."""
PLACE = 0xE000
"""The first of the letters that mark a place in a text; nobody's, once `in_ranges` has taken them out."""
_STRETCH = r"(?:interval[loe]*|phase|part|section|stage|abschnitt|teil|tramo|étape)"
_NUMBERED = regex(
    rf"\b(?P<before>[1-9])(?:\.|st|nd|rd|th)?\s?{_STRETCH}\b|\b{_STRETCH}\s?(?P<behind>[1-9])\b(?![-+*/^(.,]|\s*[*/^]|\s[-+]\s)",
    re.IGNORECASE,
)
_FROM_THE_START = regex(r"\b(?:start|beginning|first|0)\b", re.IGNORECASE)


class Where(NamedTuple):
    """What says where a formula holds: the ends of a range ("" for none), or a word for early or late, or that t counts anew."""

    first: str = ""
    last: str = ""
    word: str = ""

    @property
    def is_before_all(self) -> bool:
        """Whether it is ``t < 0``."""
        return self.last.strip("0 ms") == "" != self.last


EARLY, LATE, ANEW = Where(word="early"), Where(word="late"), Where(word="anew")
NOTHING, CORRECTED = Where(word="nothing"), Where(word="corrected")


class Clock(NamedTuple):
    """Where the intervals asked begin, in seconds, and how many seconds a bare number of an answer has."""

    starts: Sequence[float]
    scale: float

    def interval(self, where: Where) -> int | None:
        """The interval asked that a range tells by one of its ends; None for any other."""
        first = seconds(where.first, self.scale)
        if first:
            return self._at(first)
        after = self._at(seconds(where.last, self.scale))
        return after - 1 if after else None if where.last else 0

    def _at(self, instant: float) -> int | None:
        return next((k for k, start in enumerate(self.starts) if abs(start - instant) <= 1e-6 * start), None)

    def begin(self, number: int) -> str:
        """Where an interval begins; "" for the first one, and behind the last."""
        return f"{self.starts[number]:.12g} s" if 0 < number < len(self.starts) else ""

    def shifted(self, number: int) -> str:
        """The time since an interval began, in the unit of t."""
        return f"(t-{self.starts[number] / self.scale:.12g})" if number else "t"


def marked(text: str) -> tuple[str, list[Where]]:
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
    text = mark(text, phrase_of("correction"), lambda _: CORRECTED)
    text = mark(text, _NUMBERED, lambda match: EARLY if "1" in match.groups() else LATE)
    text = mark(text, _EARLY_WORDS, lambda _: EARLY)
    return mark(text, _LATE_WORDS, lambda _: LATE), found


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


def in_one_unit(entry: str | Where | float, text: str, clock: Clock) -> str | Where | float:
    """``0 < t < 2 ms; t > 2``: a bare end of a range in the unit that others have, where an interval asked begins so."""
    unit = re.search(r"[0-9]\s*([mμun]s)\b", text)
    if not isinstance(entry, Where) or unit is None:
        return entry
    ends = (f"{end} {unit[1]}" if re.fullmatch(NUMBER, end) else end for end in entry[:2])
    other = entry._replace(**dict(zip(("first", "last"), ends, strict=True)))
    return other if clock.interval(entry) is None and clock.interval(other) is not None else entry


SCALES = {"s": 1.0, "ms": 1e-3, "millis": 1e-3, "μs": 1e-6, "us": 1e-6, "micros": 1e-6}


def seconds(instant: str, scale: float) -> float:
    """An instant in seconds, a bare number in the unit of t; 0 for none."""
    found = _SECONDS.match(instant)
    if found is None:
        return 0.0 if not instant else -1.0
    power = found["power"] or found["exponent"] or "0"
    size = float(f"{found['number'].replace(',', '.')}e{power}")  # of more than a float holds infinite: nobody's end
    unit = (
        instant[found.end() :].strip().replace("micro", "μ").replace("мк", "μ").replace("м", "m").replace("u", "μ")[:1]
    )
    return size * {"": scale, "m": 1e-3, "μ": 1e-6, "n": 1e-9}.get(unit, 1.0)


_SECONDS = regex(
    r"(?P<number>[0-9]*[.,]?[0-9]+)(?:e(?P<exponent>-?[0-9]+)|\s?[*·×]\s?10\s?\^?\s?\(?(?P<power>-?[0-9]+)\)?)?"
)
