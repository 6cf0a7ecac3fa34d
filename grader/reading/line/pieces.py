"""A response told piece by piece: ``first 2(1-e^-t) A, then 1.3e^(-(t-1)) A`` as expressions for ranges of t.

The ranges are those that the answer states, in signs or in words (``until 1 s``, ``[1 s, ∞)``); pieces that state none hold
on the intervals asked one after the other, unless words for early and late say otherwise.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from grader.reading.line.phrases import phrase_of
from grader.reading.tokens.vocabulary import FUNCTIONS, GREEK_NAMES
from grader.regex import regex

_INSTANT = r"(?:t\s*=\s*)?(?:(?:[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)(?:\s*[mμµu]?s(?:ec(?:onds?)?)?\b)?|t_?[0-9]\b)"
_LAST = rf"(?P<last>{_INSTANT}|∞|\\infty|inf\w*)"
_RANGES = (
    regex(
        rf"[,(\[&]?\s*(?:\b(?:for|if|when|where|while)\b\s*)?(?:(?P<first>{_INSTANT})\s*(?:[<≤]=?|\\leq?)\s*)?"
        rf"\bt\s*(?P<sign>[<>≤≥]|\\[gl]e)[=q]*\s*{_LAST}\s*[)\]]?",
        re.IGNORECASE,
    ),
    regex(
        rf",?\s*(?:[(\[]\s*(?:t\s*:\s*)?|\b(?:for|from|between|during|on|in)\b\s*[(\[]?\s*)(?P<first>{_INSTANT})\s*"
        rf"(?:,|;|\bto\b|\.\.+|…|–|-|\buntil\b|\bbis\b|\bhasta\b|\band\b)\s*{_LAST}\s*[)\]]?(?!\w)",
        re.IGNORECASE,
    ),
    regex(
        rf"[,(]?\s*\b(?:until|till|up\s+to|before|(?:for|in|during)\s+the\s+first|bis|vor)\s+(?P<last>{_INSTANT})\s*\)?(?!\w|\.[0-9])",
        re.IGNORECASE,
    ),
    regex(
        rf"[,(]?\s*\b(?:after|past|beyond|from|since|nach|ab)\s+(?P<first>{_INSTANT})(?:\s+on(?:wards?)?\b)?\s*\)?(?!\w|\.[0-9])",
        re.IGNORECASE,
    ),
)
"""A range of t: in signs, as an interval, by its end, by its start."""
_BEFORE_ALL = regex(r"t < 0\s*\w*")
_NUMBERED = regex(r"(?:^|(?<=[\s;,]))\(?[1-9a-c][.)](?=\s)")
_BORDER = regex(r"[;\n]|,(?![0-9])|\.(?=\s)|\b(?:and|und|but)\b|\b(?=(?:then|dann)\b)", re.IGNORECASE)
_EARLY = regex(
    r"\b(?:first|initial|start|rise|rising|charg|during|while|until|before|as long|zuerst|vorher)", re.IGNORECASE
)
_LATE = regex(r"\b(?:then|after|later|fall|decay|discharg|off|from then|danach|nachher|dann)", re.IGNORECASE)
_NO_WORDS = "|".join((*FUNCTIONS, *GREEK_NAMES))
_WORDS_FIRST = regex(
    rf"^(?:[\s:,]*(?!(?:{_NO_WORDS})\b)(?:[^\W\d_]{{3,}}|[Ii]t|[iuv](?=\s+[^\W\d_]{{3}})|is|on|if|of|at|in|as|to|by|a)(?=[\s:,]))+[\s:,]*(?=\S)"
)
_WORDS_LAST = regex(
    r"[\s,(]+(?:(?:while|when|as long as|once|during|where)\s+[^\W\d_]{2,}.*|[^\W\d_]{2,}(?:[\s'’-]+[^\W\d_]+)+|(?!(?:milli|micro|kilo)?(?:amp|volt))[^\W\d_]{4,})[\s).!]*$"
)
_SHIFTED = regex(
    r"[,;(]?\s*(?:\b(?:with|where|and|mit)\b\s*)?t\s*['’′]\s*=\s*\(?\s*t\s*-\s*(?P<start>[0-9.]+\s*[mμµu]?s?\b)\s*\)?"
)
_DEFINED = regex(r"(?![iuvIUV])[^\W\d_]\w*\s*=\s*[-+]?[0-9.,]+\s*[^\W\d_]*")
"""A value stated beside an expression."""
_OTHERWISE = regex(r"(?<![^\W\d_])u\s*\(|\\begin|\belse\b|\bor\b")
"""Steps and cases say by themselves what holds when, and alternatives are no pieces."""


class _Piece(NamedTuple):
    """An expression, its range ("" for none), and all that was written with it."""

    said: str
    condition: str
    words: str


def in_ranges(text: str, starts: Sequence[str]) -> str | None:
    """An answer of one piece for each interval, each with its range of t; None where it is anything else.

    Parameters
    ----------
    text : str
        As typed.
    starts : sequence of str
        Where the intervals asked begin, as instants with a unit.

    Examples
    --------
    >>> in_ranges("first 2(1-e^-t) A, then 1.3e^(-(t-1)) A", ("0 s", "1 s"))
    '2(1-e^-t) A for t < 1 s; 1.3e^(-(t-1)) A for t > 1 s'
    """
    told = _conclusion(text) or text
    corrected = _corrected(told)
    pieces = _pieces(_as_list(corrected, starts, by_itself=corrected == told))
    early = [piece for piece in pieces if _BEFORE_ALL.fullmatch(piece.condition)]
    meant = _in_order(_responses([piece for piece in pieces if piece not in early], len(starts)))
    if len(meant) != len(starts) or len(meant) < 2 or any(_DEFINED.fullmatch(piece.said) for piece in meant):
        return None
    ranges = [_range(*ends) for ends in zip(("", *starts[1:]), (*starts[1:], ""), strict=True)]
    held = [piece.condition or own for piece, own in zip(meant, ranges, strict=True)]
    held += [piece.condition for piece in early]
    return "; ".join(f"{piece.said} for {when}" for piece, when in zip((*meant, *early), held, strict=True))


_ARROW = regex(r"=>|⇒|→|-->?|\bso\b|\btherefore\b|\bhence\b|\balso\b")
_RESPONSE = regex(r"(?<![^\W\d_])e\s?\^|\bexp\b", re.IGNORECASE)


def _conclusion(text: str) -> str | None:
    """What stands behind the sign of a conclusion, if every exponential does; None where there is none."""
    arrows = list(_ARROW.finditer(text))
    return text[arrows[-1].end() :] if arrows and not _RESPONSE.search(text, 0, arrows[-1].end()) else None


def _corrected(text: str) -> str:
    """The text with each piece as it was corrected: ``t > 1 s: A, no: B`` says B of that range."""
    return "".join(_last_said(part) for part in re.split(r"(?<=[;\n])", text))


def _last_said(part: str) -> str:
    """A piece behind its last correction, with the range that it states before."""
    corrections = list(phrase_of("correction").finditer(part))
    said = corrections and _RESPONSE.search(part, 0, corrections[0].start())
    if not said or not _RESPONSE.search(part, corrections[-1].end()):
        return part
    stated = next((found for pattern in _RANGES if (found := pattern.search(part, 0, corrections[0].start()))), None)
    return f"{stated[0] if stated else ''} {part[corrections[-1].end() :]}"


def _as_list(text: str, starts: Sequence[str], *, by_itself: bool) -> str:
    """The text without numbering and without where t' counts from; "" where nothing tells of pieces, or t' counts from elsewhere.

    ``by_itself``: it can be read as it stands where every piece states its range.
    """
    if _OTHERWISE.search(text) or phrase_of("correction", "denied", "taken back", "turned").search(text):
        return ""
    stated = [_condition(match) for match in _RANGES[0].finditer(text)]
    if by_itself and len([one for one in stated if not _BEFORE_ALL.fullmatch(one)]) >= len(starts):
        return ""  # every piece states its range by itself
    if len(_NUMBERED.findall(text)) > 1:
        text = _NUMBERED.sub(";", text)
    shifted = _SHIFTED.search(text)
    if shifted is None:
        return text
    own = any(_seconds(shifted["start"]) == _seconds(start) for start in starts[1:])
    return text[: shifted.start()] + text[shifted.end() :] if own else ""


def _responses(pieces: list[_Piece], number: int) -> list[_Piece]:
    """The pieces with exponentials, where there are others and as many as are asked have one: ``…, there 3 A, then …``."""
    varying = [piece for piece in pieces if _RESPONSE.search(piece.said)]
    return varying if len(pieces) > number == len(varying) else pieces


def _in_order(pieces: list[_Piece]) -> list[_Piece]:
    """The pieces in the order of time: ``B afterwards, before that A``."""
    if len(pieces) < 2:
        return pieces
    first, last = pieces[0].words, pieces[-1].words
    late_first = pieces[0].condition.startswith("t >") and not pieces[-1].condition
    turned = late_first or (_LATE.search(first) and not _EARLY.search(first))
    return pieces[::-1] if turned and _EARLY.search(last) else pieces


def _range(first: str, last: str) -> str:
    """A range of t in signs, from its ends."""
    if first and last:
        return f"{first} < t < {last}"
    return f"t > {first}" if first else f"t < {last}"


def _pieces(text: str) -> list[_Piece]:
    """The pieces, each without its range and the words around it; what holds a range and nothing else belongs to what it follows."""
    found: list[_Piece] = []
    for words in _parts(text):
        condition, part = "", words
        for pattern in _RANGES:
            if (match := pattern.search(part)) is not None:
                condition, part = _condition(match), f"{part[: match.start()]} {part[match.end() :]}"
                break
        said = _WORDS_LAST.sub("", _WORDS_FIRST.sub("", part.strip(" ,;:"))).strip(" ,;:&")
        if re.search("[0-9]", said):
            found.append(_Piece(said, condition, words))
        elif found:
            last = found[-1]
            found[-1] = _Piece(last.said, last.condition or condition, last.words + words)
    return found


def _condition(match: re.Match[str]) -> str:
    """The range of t that one of `_RANGES` has found, in signs."""
    named = match.groupdict()
    if named.get("sign", "")[:2] in {">", "≥", "\\g"}:
        return f"t > {named['last']}"
    first, last = (re.sub(r"^t\s*=\s*", "", named.get(end) or "") for end in ("first", "last"))
    if "∞" in last or "inf" in last:
        last = ""
    return _range(first, last)


def _parts(text: str) -> list[str]:
    """What stands between borders, brackets being kept whole."""
    depth, start, found = 0, 0, []
    borders = {match.start(): match.end() for match in _BORDER.finditer(text)}
    for place, character in enumerate(text):
        depth += (character in "([{") - (character in ")]}")
        if depth <= 0 and place in borders and place >= start:
            found.append(text[start:place])
            start = borders[place]
    return [*found, text[start:]]


def _seconds(instant: str) -> float:
    """An instant with its unit in seconds; -1 for what is none."""
    number = re.match(r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+", instant)
    scale = {"m": 1e-3, "μ": 1e-6, "µ": 1e-6, "u": 1e-6}.get(re.sub(r"[0-9.\s]", "", instant)[:1], 1.0)
    return -1.0 if number is None else round(float(number[0]) * scale, 12)
