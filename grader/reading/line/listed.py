"""What marks a list or a program as one, before a response told piece by piece is taken apart: ``1)``, ``np.where(``, ``i(t > 2 s) =``."""

import re

from grader.reading.limits import MAX_CHARACTERS
from grader.reading.line.phrases import phrase_of
from grader.reading.line.where import NUMBER, SECONDS, STRETCH
from grader.reading.text.cell import spelled_out
from grader.reading.text.glyphs import normalize
from grader.reading.tokens.scan_words import cell_for_time
from grader.regex import regex

_NUMBERED = regex(r"(?:^|(?<=[\s;,]))\(?(?:(?:[1-9a-c]|i{1,3})[.)]|[A-C][:)])(?=\s)")
_SHIFTED = regex(
    rf"[,(]?[ ]*(?:\b(?:with|where|and|mit|avec|con)\b\s*)?(?<![\w'])(?P<name>(?!(?:[te]|exp)\s*=)(?:tau|theta|[^\W\d_]\w?)[*']*)\s*=\s*\(?\s*(?P<own>t\s*-\s*{NUMBER}\s*(?:{SECONDS})?)\s*\)?(?![\w*])"
)
_CALL = regex(r"(?:=\s*)?\b(?:np\.|numpy\.)?(?:where|iff?|wenn|piecewise)\s*\(|(?<![\^_\w}])\{", re.IGNORECASE)
_TWO_LISTS = regex(r"\[(?P<where>[^\[\]]*[<>≤≥][^\[\]]*)\]\s*,\s*\[(?P<what>[^\[\]]*)\]")
_LIST_COMMA = regex(r",(?![^()]*\)|[^()]*\([^()]*\)[^()]*\))")
_BOTH = regex(r"([<>≤≥][^()]*\))\s*&{1,2}\s*\(")
_ELEMENT = regex(
    rf"\bt\s*(?:∈|\\in\b)\s*[\[\](]\s*(?P<first>{NUMBER})\s*[;,]\s*(?P<last>{NUMBER}|\+?\s?∞)\s*[\[\])](?:\s*(?P<unit>{SECONDS}))?"
)
"""``t ∈ [0 ; 0,1] s``"""
_WORKED = regex(
    r"(?<![^\s,;(])(?P<name>(?!(?:[te]|exp)\s*=)[^\W\d_]\w{0,3})\s*=(?:(?:(?!(?<![^\W\d_])t(?![^\W\d_])|\.\s|[^\W\d_]{4})[^=;,\n])+=)+(?=\s*[-+]?[0-9][^=;\n]*(?:[;\n]|$))"
)
"""The working of a value beside pieces: ``tau = L/R = 50 ms``."""
_MARKS = regex(r"[\ue000-\uf8ff]")
_NEXT = regex(rf"\b(?:third|fourth|fifth|last)(?!\s+of\b|\w|\s*:|\s+{STRETCH})", re.IGNORECASE)
_HOLDS_FOR = regex(r"[^\W\d_]\w{0,4}\(\s*(?P<range>(?:[^()=]{1,12}[<≤]=?\s*)?\bt\s*[<>≤≥][^()]{1,14})\)\s*=")
_REASON = regex(r"\b(?:because|since|(?-i:as)|weil|da|car|porque)\s[^0-9=]*$", re.IGNORECASE)
_WRONG_INSIDE = regex(rf"\(\s*(?:{phrase_of('taken back', 'denied').pattern})[^()]*\)", re.IGNORECASE)


def as_list(text: str) -> str:
    """A text as a list in the one alphabet, without letters that marks take the place of; "" for one that is too long."""
    text = _BOTH.sub(r"\1*(", _MARKS.sub(" ", text)) if len(text) <= MAX_CHARACTERS else ""
    text = _WORKED.sub(r"\g<name> =", _ELEMENT.sub(_interval, text))
    text = spelled_out(_NEXT.sub("then", _HOLDS_FOR.sub(r";\g<range>:", normalize(text).text)))
    return _in_semicolons(phrase_of("unchanged").sub(" ", _WRONG_INSIDE.sub(" ", _REASON.sub("", text))))


def _in_semicolons(text: str) -> str:
    """The text with semicolons for the marks of lists and programs, t for its cell, t - t1 for the name that it was given."""
    numbers = _NUMBERED.findall(text)
    if len(numbers) > 1 and _NUMBERED.match(text.lstrip()) is not None:
        in_order = numbers == sorted(numbers)
        text = _NUMBERED.sub(lambda one: ";" if in_order else f"; part {_number(one[0])}: ", text.lstrip())
    text = _TWO_LISTS.sub(_one_list, text)
    for shifted in [*_SHIFTED.finditer(text)][::-1]:
        text = text[: shifted.start()] + " " + text[shifted.end() :]
        text = re.sub(rf"(?<![^\W\d_]){re.escape(shifted['name'])}(?![\w'])", f"({shifted['own']})", text)
    cell = cell_for_time(text)
    text = text.replace(cell, "t") if cell else text
    calls = {call.end() - 1: call.start() for call in _CALL.finditer(text)}
    signs, open_calls, parts = list(text), [], "" if ";" in text else ","  # 0,5; 0,002: commas are decimal there
    for place, sign in enumerate(text):
        if sign in "([{":
            open_calls.append(place in calls)
            for within in range(calls.get(place, place + 1), place + 1):
                signs[within] = ";"
        elif open_calls and ((sign == parts and open_calls[-1]) or (sign in ")]}" and open_calls.pop())):
            signs[place] = ";"
    return "".join(signs)


def _interval(element: re.Match[str]) -> str:
    """``t ∈ [0 ; 0,1] s`` as ``(0 s ; 0,1 s)``."""
    unit, last = element["unit"] or "", element["last"]
    return f"({element['first']} {unit} ; {last if '∞' in last else f'{last} {unit}'})"


def _number(sign: str) -> int:
    """The number of ``2)``, ``b)`` or ``ii)``."""
    bare = sign.strip("().: ").lower()
    return int(bare) if bare.isdigit() else "abc".find(bare) + 1 or len(bare)


def _one_list(lists: re.Match[str]) -> str:
    """``[t < 1, t >= 1], [2t, 2]`` as ``t < 1: 2t; t >= 1: 2``."""
    where, what = (_LIST_COMMA.split(lists[kind]) for kind in ("where", "what"))
    return (
        "; ".join(f"{one}: {own}" for one, own in zip(where, what, strict=True))
        if len(where) == len(what)
        else lists[0]
    )
