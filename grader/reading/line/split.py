"""A line to its parts: by the phrases that open them, by brackets behind a complete claim, by comments."""

import re
from collections.abc import Iterator

from grader.reading.line.by_element import with_labels
from grader.reading.line.instants import INSTANTS, instant_asked, of_other_instants
from grader.reading.line.phrases import in_table, opened, phrase_of, spelled
from grader.reading.line.records import Kind, Line, Part
from grader.reading.line.set_aside import TOLD_APART, set_aside
from grader.reading.line.struck import struck_out
from grader.reading.line.unit_said import is_of_the_kind_asked, measured, without_unit
from grader.reading.tokens import Question
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import FUNCTIONS, GREEK_NAMES, INSTANT, NUMBER_WORDS, OPERATOR_WORDS
from grader.regex import regex
from grader.values.dimension import CAPACITANCE, ENERGY, INDUCTANCE, NUMBER, RESISTANCE, TIME
from grader.values.laplace import VARIABLE

_OPENERS = tuple(kind.value for kind in Kind)
_IN_BRACKETS = regex(r"[(\[](?P<said>(?:[^()\[\]0-9=+*/^<>∞]|(?<=[^\W\d_])[0-9])+)[)\]]")
_APPLIED = regex(rf"(?:^|[-+*/^=,;(]|\b(?:{'|'.join(FUNCTIONS)}|{'|'.join(GREEK_NAMES)}|[^\W\d_]))\s*$", re.IGNORECASE)
"""What brackets are a part of: a sign, a function, a letter such as the i of ``i(initial)`` in front of them."""
_AT_AN_INSTANT = regex(rf"\w{INSTANT}", re.IGNORECASE)
"""The end of ``vo(inf)``: brackets without a blank before them that hold an instant belong to a symbol of any length."""
_NAMED = regex(r"\s+\w+(?:\([^()]*\))?\s*=")
_NO = {"no", "non", "não", "nie", "нет"}
_LIKE = regex(r"\b(?:counts?|acts?|works?|looks?|behaves?|seen|serves?|well)\s*$", re.IGNORECASE)
"""What *as* compares behind, and gives no reason."""
_PART = regex(r"\s+(?:the\s+|an?\s+)?(?:real|imag)")
_NOUN = regex(r"\s+(?!(?:thats?|this|its?|it's|the)\b)[^\W\d_]{3}", re.IGNORECASE)
_SMILEY = regex(r"\s[:;]['-]?[()DPp|/]+\s*$")
_TIME = regex(r"(?<![^\W\d_])t(?![^\W\d_])")
_COMMENT = regex(
    r"#|(?<=[\w)\];] )\s*(?://|(?<![0-9]\s)%)(?=\s*(?:[^\W\d_]{2}|[^\W\d_]\s*=|[^\W\d_]\s[^\W\d_]{3}|[AVWJsΩ]\s*$))|(?<=[^\W\d_] )\s*%(?=\s)"
    r"|(?<=;)\s*%|(?<=[^\W\d_] )\s*(?P<strokes>//)"
)

_RESULT = regex(r"\s*=\s*(?=[-+0-9.])")
"""What a comment comes to: ``0.5*2e-6*30**2  # = 9e-4 J``."""
_BOUND = regex(
    r"(?<=[\w)])(?<!\bt)\s*[(\[]?\s*[<>≤≥]=?\s*(?:[0-9.,]+|(?!t\b)[^\W\d_]\w*(?:\s*=\s*[0-9.,]+[^,;→]*)?)\s*[)\]]?\s*(?=(?P<words>(?:\s+[^\W\d_]{4,})*)\s*$|[→,;]|[-=]>|\b(?:so|thus|hence)\b)"
)
"""``1.25 > 1``: a value compared with a number says no more than the value."""
_TOLD = regex(
    r"^[^:]*(?:[^\W\d_]{4}\s[^:]*|\s[^:]*[^\W\d_]{4}|(?<![<>])=(?:(?!\bt\b)[^:])*[0-9](?:\s?[^\W\d_]{1,3}\s*|(?=:\s)))(?<!\bcheck)(?P<colon>:)(?=\s*[^\W\d_]\w*(?:\([^()]*\))?\s*=|[^;:]*(?:e\s?\^|\bexp\b|[0-9(+]\s?[*·]?\s?s\b[^;:]*\)))"
)
"""The colon of ``it falls from 10 V to 2 V with tau = 0.2 s: v = 2 + 8e^(-t/0.2) V``, behind words or values."""
_DEFINED = regex(r"=\s*[0-9][^:;=]*(?P<colon>:)(?=[^:=]*$)")
"""The colon of ``-a ± sqrt(a^2 - w^2), a = 50, w = 40: -20, -80``, behind what the letters are."""
_DENIED_FIRST = regex(
    rf"(?:^\s*|(?P<correction>{phrase_of(Kind.CORRECTION).pattern})[\s,:]*)(?:{phrase_of(Kind.DENIED).pattern}|forgot\b(?=[^.]*[,;:]))[^,;!:]*?(?:[,;!:]|\bbut\b|\bsondern\b)(?=.*[0-9])",
    re.IGNORECASE,
)
_CORRECTED_INSIDE = regex(
    rf"[(\[]\s*(?!wrong)(?:(?:{phrase_of(Kind.CORRECTION).pattern})[\s:,]*){{1,3}}(?:(?:it|that)(?:'s|\s+is)\s+)?(?P<value>[-+]?[0-9.](?:[^()\[\]]|\([^()]*\))*+)[)\]]?\s*$",
    re.IGNORECASE,
)
_NO_ANSWER_INSIDE = regex(
    rf"[(\[]\s*(?:{phrase_of(Kind.DENIED).pattern}|(?P<over>(?:(?:it|this)\s+)?(?:was|had\s+been|war|était|era)\b))"
    r"(?=[^()]*[0-9])(?:[^()\[\]]|[(\[][^()\[\]]*[)\]])*+[)\]]",
    re.IGNORECASE,
)
"""``2 A (not 3 A)``, ``2 A (was 3 A)``: what is not the answer, or no longer."""
_DENIAL_ENDS = regex(
    rf"(?:{phrase_of(Kind.DENIED).pattern})(?:[^,;:0-9\n]*(?:[,;\n]|(?<=[^\W\d_]{{3}})\.(?=\s))|[^,;:0-9]*[^\W\d_]{{3}}\s*:|\s*[-+]?[0-9][0-9.]*\s?[^\W\d_]{{0,3}}\s*:|[^,;!:\n]*?,?\s*\b(?:but|sondern|(?<!that )it\s+is|(?<!that )it's)\b)(?=.*[0-9])",
    re.IGNORECASE,
)
"""``R2 does not matter, 2 ms`` denies no value, ``it is not 9 ms but 2 ms`` and ``i is 3 A, not 4: 2 ms`` but the one."""
_SENTENCE_ENDS = regex(r"(?<=[\w)])\.\s+(?=[^\W\d_]+\b[^.]*[0-9]|[0-9])|,\s+(?=[-+(]?[0-9][^,;=]*[-+*/|∥][^,;=]*=)")
"""Where a reason ends, and another claim begins."""
_BEFORE_A_LABEL = regex(r"(?<=[\w)])\.\s+(?=(?:[^\W\d_]{2,}\s+){0,3}[^\W\d_][\w]{0,4}(?:\([^()]{1,3}\))?\s?=)")
_UNDER_CONDITION = regex(r"\b(?:t|for|if|when)\b|[<>≤≥]", re.IGNORECASE)
_TO_COME = regex(
    r"\b(?:from|without|en|em|out|would|wouldn|were|was|war|era|était)\b|#|//|%|≈≈|~~|\bin\b|\b(?:at|after|nach|bei)\b|\.\s|[(\[<>≤≥:]|\bunit|,\s*(?:1/)?[^\W\d_]+\s*\.?\s*$|\s-+\s+[^\W\d_]{2}",
    re.IGNORECASE,
)
"""A glance that tells whether anything but phrases may part a line."""


def split(text: str, question: Question) -> Line:
    """The parts of a line, in the one alphabet; a name of the circuit is no phrase."""
    if (smiley := _SMILEY.search(text)) is not None:
        text = text[: smiley.start()].ljust(len(text))
    if not _TO_COME.search(text) and not phrase_of(*_OPENERS, *INSTANTS, *TOLD_APART).search(text):
        return Line(text)
    text, unit = without_unit(text, question)
    parts = tuple(_parts(text, question))
    whole = len(parts) == 1 and parts[0].end - parts[0].start == len(text)
    return Line(text, () if whole else parts, unit)


_LABEL = regex(
    r"(?<![^\s,;:])(?P<symbol>[ivu](?:_?[A-Z0-9][A-Za-z0-9]{0,2}|[lcr])?|[VIRZ](?:_?[A-Za-z0-9]{1,3})?|tau_?[0-9]?|alpha|omega_?[0d]?)"
    rf"(?P<instant>{INSTANT})? (?=[-+]?[0-9][0-9.,]*\s?(?P<unit>[^\W\d_]+)\b|(?P<zero>0\s*(?:[,;]|$)))"
)


_UNSIGNED = (RESISTANCE, INDUCTANCE, CAPACITANCE, TIME, ENERGY)
"""Of what no value is negative, so that a dash behind a word is no sign."""
_DASH = regex(r"(?<!\w)(?P<word>(?!is\b|are\b|equals?\b)[^\W\d_]{2,})\s-\s(?=[0-9.])", re.IGNORECASE)


def with_equal_signs(text: str, question: Question) -> str:
    """``iL 2.4 A``: an equal sign between a symbol and its value with its unit."""
    text = with_labels(text, question)
    if question.expects == "value" and question.dimension in _UNSIGNED:
        text = _DASH.sub(lambda dash: f"{dash['word']} ; " if is_strange(dash["word"], question) else dash[0], text)

    def equal(match: re.Match[str]) -> str:
        symbol, instant = match["symbol"], match["instant"] or ""
        if match["zero"] is not None:
            return f"{symbol}{instant}=" if instant else match[0]
        of_the_circuit = question.vocabulary.find(symbol) is not None and symbol not in GREEK_NAMES
        if question.expects == "value":
            fits = is_of_the_kind_asked(match["unit"], question)
        else:
            fits = symbol.startswith("tau") and any(one.dimension == TIME for one in look_up(match["unit"])[:1])
        labels = not of_the_circuit and fits
        before = text[: match.start()].rstrip()
        return match[0] if not labels or before.endswith(tuple("+-*/^=(0123456789")) else f"{symbol}{instant}="

    return _LABEL.sub(equal, text) if question.expects != "roots" else text


def _comment(text: str, question: Question) -> re.Match[str] | None:
    """What a programmer says behind a sign; ``86.5 % of 5 A`` and ``3 k // 6 k`` hold none."""
    for sign in _COMMENT.finditer(text):
        if sign["strokes"] is not None and not _ends_in_a_value(text[: sign.start()].rstrip(), question):
            continue
        of = phrase_of(Kind.CONTEXT).match(text[sign.end() :].lstrip())
        if of is None or not text[: sign.start()].rstrip()[-1:].isdigit():
            return sign
    return None


def _ends_in_a_value(before: str, question: Question) -> bool:
    """Whether a text ends in a value of the kind asked that can stand in parallel with nothing."""
    values = measured(before, question) if question.dimension not in {RESISTANCE, INDUCTANCE, CAPACITANCE} else []
    return bool(values) and values[-1].end() == len(before)


def _parts(text: str, question: Question) -> Iterator[Part]:
    kind, start = Kind.CLAIM, 0
    for opens, begin, end, behind in _marks(text, question):
        if begin < start:
            continue  # within what was taken already
        if text[start:begin].strip(" ,;:.-"):
            yield Part(kind, start, begin)
        if behind > end:  # a part that ends by itself: brackets, struck text
            yield Part(opens, end, behind)
            kind, start = (kind if opens in {Kind.WORKING, Kind.ANOTHER_TIME, Kind.DENIED} else Kind.CORRECTION), behind
            continue
        corrects = kind is Kind.CORRECTION and opens in {Kind.CLAIM, Kind.CONCLUSION} and not text[start:begin].strip()
        kind, start = kind if corrects else opens, end  # no, so 5 V
    if text[start:].strip(" ,;:.-"):
        yield Part(kind, start, len(text))


def _marks(text: str, question: Question) -> list[tuple[Kind, int, int, int]]:
    """Where parts open: (kind, start of what opens it, start of the part, its end where it ends by itself, else 0)."""
    found: list[tuple[Kind, int, int, int]] = [(Kind.STRUCK, *place) for place in struck_out(text)]
    found += [(kind, start, start, end) for kind, start, end in set_aside(text, question)]
    found += [(kind, start, start, end) for kind, start, end in of_other_instants(text, question)]
    found += _phrases(text, question)
    found += _words_in_brackets(text, question)
    if any(kind is Kind.REASON for kind, *_ in found):
        found += [(Kind.CLAIM, *one.span(), 0) for one in _SENTENCE_ENDS.finditer(text)]
    if question.expects == "expression":
        found += [(Kind.CLAIM, *one.span(), 0) for one in _BEFORE_A_LABEL.finditer(text)]
    found += _conclusions(text, question)
    found += _denials(text)
    comment = _comment(text, question)
    if comment is not None and comment.start() > 0:
        kind = Kind.CONCLUSION if _RESULT.match(text, comment.end()) else Kind.WORKING
        found.append((kind, comment.start(), comment.end(), len(text)))
    if question.expects != "roots":
        found += [(Kind.WORKING, *group) for group in _working(text, question)]
        if question.expects == "value":
            found += _bounds(text)
    return sorted(found, key=lambda mark: mark[1])


def _conclusions(text: str, question: Question) -> Iterator[tuple[Kind, int, int, int]]:
    """Where a colon leads to what the line comes to: ``8 V or 5 V: 5 V``."""
    yield from ((Kind.CONCLUSION, *one.span("colon"), 0) for one in _TOLD.finditer(text))
    if question.expects == "roots":
        defined = _DEFINED.search(text)
        if defined is not None and len(re.findall(r"[0-9.]+", text[defined.end() :])) > 1:
            yield Kind.CONCLUSION, *defined.span("colon"), 0
    values = measured(text, question) if question.expects == "value" and ":" in text else []
    if len(values) > 2 and text[values[-2].end() : values[-1].start()].strip() == ":":
        yield Kind.CONCLUSION, values[-2].end(), values[-1].start(), 0


def _denials(text: str) -> Iterator[tuple[Kind, int, int, int]]:
    """Where what a line denies ends, and another claim begins."""
    for denied in _DENIED_FIRST.finditer(text):
        yield (Kind.CORRECTION if denied["correction"] else Kind.CLAIM), denied.end() - 1, denied.end(), 0
    yield from ((Kind.CLAIM, one.end() - 1, one.end(), 0) for one in _DENIAL_ENDS.finditer(text))


def _phrases(text: str, question: Question) -> Iterator[tuple[Kind, int, int, int]]:
    """The phrases of the table that open a part where they stand."""
    inside, openers = _bracketed(text), opened(*_OPENERS)
    for match in phrase_of(*_OPENERS).finditer(text):
        if inside[match.start()] or match[0] in question.vocabulary.dimensions or _is_a_unit(match, question):
            continue
        kind = _opened_here(match, Kind(openers[in_table(match[0])]), question)
        if kind is not None:
            yield kind, match.start(), match.end(), 0


def _is_a_unit(match: re.Match[str], question: Question) -> bool:
    """``40 uC = 4e-5 As``: behind a number the ampere second is no *as*."""
    behind_a_number = match.string[: match.start()].rstrip()[-1:] in {*"0123456789)"}
    return behind_a_number and match[0] != match[0].lower() and is_of_the_kind_asked(match[0], question)


def _bounds(text: str) -> list[tuple[Kind, int, int, int]]:
    """The bound that a value is compared with, but for the value's own: ``1.25 > 1``, not ``R1 > 2.5 kohm``."""
    bound = _BOUND.search(text)
    if (
        bound is None
        or _UNDER_CONDITION.search(text, 0, bound.start())
        or any(map(look_up, (bound["words"] or "").split()))
    ):
        return []
    return [(Kind.WORKING, bound.start(), bound.start() + 1, bound.end())]


def _opened_here(match: re.Match[str], kind: Kind, question: Question) -> Kind | None:
    """What a phrase opens by what stands around it; None where it opens nothing."""
    before, behind = match.string[: match.start()], match.string[match.end() :]
    on_to_a_value = re.match(r"\s*[-0-9.]", behind)
    arrow = match[0][-1] == ">" or match[0][0] in "→⇒←<"
    if (arrow and _beside_time(before, behind)) or denies_a_noun(match) or _gives_no_reason(match[0], before, behind):
        return None
    if kind is Kind.CONTEXT and not arrow and not (_complete(before, question) and on_to_a_value):
        return None
    if match[0].lower() == "which is" and on_to_a_value and not _complete(before, question):
        kind = Kind.CONCLUSION
    if kind is Kind.CONCLUSION and phrase_of("settling").search(behind):
        return Kind.ANOTHER_TIME
    return Kind.CLAIM if kind is Kind.CONCLUSION and _of_a_multiple(behind, question) else kind


def denies_a_noun(words: re.Match[str]) -> bool:
    """``no current``: no correction."""
    text, end = words.string, words.end()
    return spelled(words[0]) in _NO and bool(_NOUN.match(text, end)) and not _NAMED.match(text, end)


def _gives_no_reason(word: str, before: str, behind: str) -> bool:
    """``acts as``, ``-3 as real part``, and ampere seconds."""
    if word.lower() != "as":
        return False
    seconds = word == "As" and before.rstrip()[-1:].isdigit()
    return seconds or _LIKE.search(before) is not None or _PART.match(behind) is not None


MULTIPLE = rf"(?:[0-9][0-9.,]*|{'|'.join(NUMBER_WORDS)})\s?[*·]?\s?(?P<name>(?![kKMmμnp]\b)[^\W\d_]\w*)\s*[=≈:]"
_MULTIPLE = regex(rf"\s*(?:[^\W\d_]{{2,}}\s+){{0,3}}{MULTIPLE}")


def _of_a_multiple(behind: str, question: Question) -> bool:
    """``5 ms => 5 tau = 25 ms``: goes on from the answer to a multiple of it, unless tau was an earlier item's."""
    multiple = _MULTIPLE.match(behind)
    return multiple is not None and question.vocabulary.find(multiple["name"]) is None


def _words_in_brackets(text: str, question: Question) -> Iterator[tuple[Kind, int, int, int]]:
    """``(correction)`` opens one, ``(no: 24 ms)`` is one; other words in brackets are working and end with them."""
    for match in _NO_ANSWER_INSIDE.finditer(text) if question.expects != "roots" else ():
        if match["over"] is None or instant_asked(question) != "before":
            yield Kind.DENIED, match.start(), match.start() + 1, match.end()
    for match in _CORRECTED_INSIDE.finditer(text) if question.expects != "roots" else ():
        yield Kind.CORRECTION, match.start(), match.start("value"), match.end("value")
    for match in _IN_BRACKETS.finditer(text):
        corrected = phrase_of(Kind.CORRECTION).match(match["said"])
        whole = corrected is not None and corrected.end() == len(match["said"].rstrip(" .!,"))
        if whole or (corrected is not None and re.match(r"\s*[-+]?[0-9]", text[match.end() :])):
            yield Kind.CORRECTION, match.start(), match.end(), 0
        elif (
            question.expects != "roots"
            and is_wordy(match["said"], question)
            and not _APPLIED.search(text, 0, match.start())
            and not _AT_AN_INSTANT.match(text, max(match.start() - 1, 0))
        ):
            yield Kind.WORKING, match.start(), match.start() + 1, match.end()


def is_wordy(said: str, question: Question) -> bool:
    """Whether brackets hold words and no mathematics."""
    return any(is_strange(word, question) for word in re.findall(r"[^\W\d_]{3,}", said))


def is_strange(word: str, question: Question) -> bool:
    """Whether a word is no unit, name or function."""
    known = look_up(word) or word.lower() in FUNCTIONS.keys() | GREEK_NAMES | OPERATOR_WORDS.keys()
    named = question.vocabulary.find(word) is not None or word.lower() in question.vocabulary.words
    return not (known or named)


def _beside_time(before: str, behind: str) -> bool:
    """``t => 0`` and ``t → ∞`` are ranges and limits."""
    return (
        bool(re.search(r"(?<![^\W_])t\s*$", before) or re.match(r"\s*t\b(?!\s*[=≈])|\s*$", behind))
        or not before.strip()
    )


def _bracketed(text: str) -> list[bool]:
    """For each place whether it stands in brackets that close."""
    inside = [False] * len(text)
    stack: list[int] = []
    for place, character in enumerate(text):
        if character in "([{":
            stack.append(place)
        elif character in ")]}" and stack:
            opening = stack.pop()
            inside[opening : place + 1] = [True] * (place + 1 - opening)
    return inside


_LAST_WORD = regex(r"(?P<before>.?)\s*(?P<unit>[^\W\d_]+(?:\^?[-0-9]+)?|°|%)\s*$")


def _complete(before: str, question: Question) -> bool:
    """Whether a value with its unit ends here, so that brackets behind it are no factor."""
    word = _LAST_WORD.search(before.rstrip(" .,;"))
    if word is None or not re.search(r"[0-9∞)]", before[: word.start("unit")]):
        return False
    unit = re.sub(r"[-^0-9]+$", "", word["unit"])
    glued = before[word.start("unit") - 1 : word.start("unit")].isdigit()
    if unit in question.vocabulary.dimensions and not glued and before.rstrip()[-1:].isdigit():
        return False  # R1, and not ohm
    meanings = look_up(unit, question.dimension)
    named = question.vocabulary.find(word["unit"]) is not None and not (
        question.dimension is not None and meanings and meanings[0].dimension == question.dimension
    )
    whole = bool(meanings) and (meanings[0].dimension != NUMBER or question.dimension == NUMBER)
    return whole and not named


def _last_word(before: str) -> str:
    word = _LAST_WORD.search(before)
    return word["unit"] if word else ""


_MULTIPLIES = regex(r"\(\s*(?:1\s*[-+]|[0-9.]+\s*/\s*[0-9.]+\s*\)|[^()]*(?:e\s*\^|\bexp\b))")
"""Brackets behind a value with its unit that may be a factor after all: ``12 V (1 - e^-1.5)``."""


_FIRST_WORD = regex(r"[(\[]\s*([^\W\d_]{3,})\s")


def _explains(before: str, group: str, question: Question) -> bool:
    """Whether brackets are working of the claim before them, and neither a factor of it nor its unit."""
    word = _FIRST_WORD.match(group)
    if word is not None and is_strange(word[1], question) and _complete(before, question):
        return True  # 2e^(-5t) V (was 3e^(-5t) V)
    if question.expects == "expression" and (not _TIME.search(before) or _TIME.search(group)):
        return False  # 2 V (1 - e^(-5t))
    if is_of_the_kind_asked(group[1:-1], question) and not is_of_the_kind_asked(_last_word(before), question):
        return False  # 2e^-t/4ms [A]
    if phrase_of(Kind.REASON).match(group, 1):
        return True
    return _complete(before, question) and not _MULTIPLIES.match(group)


def _working(text: str, question: Question) -> Iterator[tuple[int, int, int]]:
    """Brackets behind a complete claim; a sign behind them makes them part of a formula."""
    depth, opening = 0, 0
    for place, character in enumerate(text):
        if character in "([":
            if depth == 0:
                opening = place
            depth += 1
        elif character in ")]" and depth:
            depth -= 1
            if depth or not re.match(r"\s*(?:$|[,;.=!?\n]|[^\W\d_]{2})", text[place + 1 :]):
                continue
            if VARIABLE in question.vocabulary.dimensions and text[opening + 1 : place].strip() == VARIABLE:
                continue  # 1/H(s) = …
            if re.match(rf"{INSTANT}\s*=", text[opening:]):
                continue  # 2 A, v(∞) = 12 V
            if _explains(text[:opening], text[opening : place + 1], question):
                yield opening, opening + 1, place + 1
        elif (
            place == len(text) - 1
            and depth
            and opening
            and question.expects == "value"
            and _complete(text[:opening], question)
        ):
            yield opening, opening + 1, place + 1
