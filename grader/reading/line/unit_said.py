"""Units and where they stand: values with one of the kind asked, and units said in words for the whole answer."""

import re
from decimal import Decimal

from grader.reading.line.phrases import phrase_of
from grader.reading.line.records import Kind
from grader.reading.tokens import Question
from grader.reading.tokens.units import PREFIXES_SAID, look_up
from grader.reading.tokens.vocabulary import OPERATOR_WORDS
from grader.regex import regex
from grader.values.dimension import NUMBER, RATE, RESISTANCE

_UNIT = (
    r"(?P<unit>1/m?s|SI|(?:(?:kilo|mega|milli|micro|nano)-)?[^\W\d_]+(?:/[^\W\d_]+|\s+per\s+[^\W\d_]+|\s?\^?\(?-1\)?)?)"
)
_CLAUSE = regex(
    r"(?:[(\[,;:#]|//|\s%)?(?:[^()\[\],;:#\n.]|[.,](?=[0-9])|(?<=nit):|(?<=nits):)+?(?:[)\]]|(?=[\[,;#\n]|(?<!nit)(?<!nits):|//|\s%|\.\s|\s(?:for|when|if)\s+[t0]\b|$))"
)
_UNIT_SAID = regex(
    rf"(?:^[(\[]\s*(?:[^\W\d_]+\s+){{0,3}}(?=in\b)|^[(\[,;]?\s*)?(?:\b(?:where|with|and|all|both|values?|results?|answers?|everything|alles|is|measured|[vi])\s+){{0,4}}"
    rf"(?:\b(?:in|en|em)\s+(?!(?-i:an?)\b)|\bunits?\s*(?:is\s+|are\s+|[=:]\s*)?)\[?{_UNIT}\]?(?![\w/])(?P<more>[^0-9=*/^]*)$",
    re.IGNORECASE,
)
_UNIT_ALONE = regex(
    rf"(?:[(\[,;#]|//|\s%)\s*%?\s*{_UNIT}(?:\s*(?:&|\b(?:and|und)\b)\s*m?s(?:ec(?:ond)?s?)?)?\s*[)\]]?\s*\.?\s*"
)
"""``2e^(-5t), volts``; ``[V] 3.2``"""
_UNIT_FIRST = regex(
    r"^\s*(?:in\s+(?=[^\W\d_]+[\s:]))?[(\[]?(?P<unit>[^\W\d_]{2,}(?:/[^\W\d_]+)?)[)\]]?\s*(?:(?<!^)(?<=[\w)\]\s]):|(?=(?<=\s)[-+(0-9]))\s*(?=\S)"
)


def without_unit(text: str, question: Question) -> tuple[str, str]:
    """A text without the words that tell the unit of its values, and that unit: ``2e^(-5t), all in volts``."""
    first = _UNIT_FIRST.match(text)
    if first is not None and is_of_the_kind_asked(first["unit"], question):
        return " " * first.end() + text[first.end() :], first["unit"]
    of_all = _UNIT_OF_LIST.search(text) if question.expects == "roots" else None
    if of_all is not None:
        return text[: of_all.start()] + " " * len(of_all[0]), of_all["unit"]
    for clause in _CLAUSE.finditer(text):
        said = _UNIT_SAID.search(clause[0])
        ends = not text[clause.end() :].strip() or not clause.start() or clause[0][0] not in "(["
        ends = ends and (clause[0][0] != "(" or text[: clause.start()].rstrip()[-1:] in {"", ",", ";"})  # 2 (V)
        alone = _UNIT_ALONE.fullmatch(clause[0]) if ends and not text.startswith(".", clause.end()) else None
        found = said or alone
        if found is None or not (found["unit"] == "SI" or is_of_the_kind_asked(found["unit"], question)):
            continue
        start, unit = clause.start() + found.start(), _HYPHEN.sub("", found["unit"]).removeprefix("SI")
        return text[:start] + " " * (clause.end() - start) + text[clause.end() :], unit
    return text, ""


_UNIT_OF_LIST = regex(r"(?<=[\]}])\s*(?P<unit>1/m?s|s\s?\^?-1|rad/s)\s*$")
"""``[-30+40j -30-40j] 1/s``"""


def without_unit_of_label(text: str, question: Question) -> tuple[str, str]:
    """A text without the unit in brackets behind its label, or below it, and that unit: ``time needed [ms]: 4``, ``tau/ms = 4``."""
    label = _UNIT_OF_LABEL.match(text) if question.expects == "value" else None
    if label is None or measured(text[label.end() :], question):
        return text, ""
    unit = label["unit"] or label["below"] or ""
    if unit != "-" and not is_of_the_kind_asked(unit, question):
        return text, ""
    return text[: label.end("label")] + "=".rjust(label.end() - label.end("label")) + text[label.end() :], unit.strip(
        "-"
    )


_UNIT_OF_LABEL = regex(
    r"\s*(?P<label>[^\W\d_]\w*+(?:\s{1,3}+(?!in\b)\w++){0,5}+(?:\([^()]{1,3}\))?)\s*+"
    r"(?:[(\[]\s*(?:in\s+)?(?P<unit>-|(?:1/)?[^\W\d_]+(?:/[^\W\d_]+|\^?\(?-1\)?)?)\s*[)\]]\s*[=:]?|/\s?(?P<below>[^\W\d_]+)\s*[=:])\s*(?=[-+]?\s?[0-9.])"
)


def with_corrected_unit(text: str, question: Question) -> str:
    """``8 s, I mean ms``: the number with the unit that corrects its own; ``2.3 J (2.25 exactly)``: the number that is not rounded."""
    text = _EXACT_BESIDE.sub(_exact, text)
    said = _UNIT_CORRECTED.search(text)
    if said is None or not is_of_the_kind_asked(said["unit"], question):
        return text
    return text[: said.end("number")] + " " + said["unit"].ljust(len(text) - said.end("number") - 1)


_EXACTLY = r"(?:exact(?:ly)?|precisely|unrounded|genau|exactement|exactamente|esattamente|dokładnie)"
_DECIMAL = r"[0-9]+(?:[.,][0-9]+)?"
_EXACT_BESIDE = regex(
    rf"(?<![\w.,])(?P<rounded>{_DECIMAL})\s?(?P<unit>%|[^\W\d_]+(?:/s)?)\s*(?:"
    rf"\(\s*(?:{_EXACTLY}[\s:=]*(?P<inside>{_DECIMAL})(?:\s?(?P=unit))?|(?P<before>{_DECIMAL})\s+(?:(?P=unit)\s+)?{_EXACTLY})\s*\)"
    rf"|[,;]\s*{_EXACTLY}[\s:=]+(?P<behind>{_DECIMAL})\s?(?P=unit))\s*$",
    re.IGNORECASE,
)
"""``2.3 J (2.25 exactly)``, ``0.013 s, exactly 0.0125 s``"""


def _exact(beside: re.Match[str]) -> str:
    """The exact number in the place of the one that is rounded from it; another one is left for what it is."""
    rounded, exact = (
        Decimal(one.replace(",", "."))
        for one in (beside["rounded"], beside["inside"] or beside["before"] or beside["behind"])
    )
    last = Decimal(1).scaleb(int(rounded.as_tuple().exponent))
    return f"{exact} {beside['unit']}".ljust(len(beside[0])) if abs(rounded - exact) <= last else beside[0]


_UNIT_CORRECTED = regex(
    rf"(?P<number>[0-9][0-9.,]*[ij]?)\s?[^\W\d_]+(?:/s)?\b[^0-9=]*?(?:{phrase_of(Kind.CORRECTION).pattern})[\s:,]*(?P<unit>(?:1/)?[^\W\d_]+(?:/s)?)[\s.!]*$",
    re.IGNORECASE,
)
_MEASURED = regex(
    rf"(?:\b(?:{'|'.join(word for word, sign in OPERATOR_WORDS.items() if sign == 'MINUS')})\s|(?<![\w)\s])[-+]\s?|(?<=\s)[-+]|^\s*[-+]\s?)?(?<![\w.,])(?<![0-9]')(?P<number>(?:[0-9]+[.,]|[.,])?[0-9]+(?:\s?/\s?[0-9]+|[eE][-+]?[0-9]+)?)\s?"
    rf"(?P<unit>%|(?:(?:{'|'.join(PREFIXES_SAID)})\s|[kMmμn]\s(?=[ΩAVsFHJW]\b))?(?:1/m?s|[^\W\d_]+(?:(?:\s?/\s?|\s+per\s+)[^\W\d_]+|\s?\^?\s?\(?-1(?![.,]?[0-9])\)?)?))(?!\w)"
)


def measured(text: str, question: Question) -> list[re.Match[str]]:
    """The numbers with a unit of the kind asked, each with its sign."""
    return [one for one in _MEASURED.finditer(text) if is_of_the_kind_asked(one["unit"], question)]


def unit_of_a_number(elsewhere: str, own: str, question: Question) -> str:
    """``from 8.65 A to 0, so i = 8.65e^(-5t)``: the unit that numbers of a part have elsewhere in the line; "" for none."""
    numbers = set(re.findall(r"(?<![\w.,])[0-9][0-9.,]*", own))
    found = {
        one["unit"]
        for one in _MEASURED.finditer(elsewhere)
        if one["number"] in numbers and is_of_the_kind_asked(one["unit"], question)
    }
    return found.pop() if len(found) == 1 else ""


def is_of_the_kind_asked(unit: str, question: Question) -> bool:
    """Whether letters are a unit of the kind asked, or a quotient of units that is, and nothing else."""
    if question.dimension is None or (question.dimension == RATE and unit.endswith("Hz")):
        return False  # hertz counts turns
    if question.dimension == RESISTANCE and unit in {"k", "K", "M"}:
        return True  # the trade leaves the Ω out
    unit = re.sub(r"\s+per\s+", "/", unit).replace(" ", "")
    top, divided, below = _INVERSE.sub(r"1/\1", _HYPHEN.sub("", unit)).partition("/")
    if not divided:
        meanings = look_up(top, question.dimension)
        return bool(meanings) and meanings[0].dimension == question.dimension
    above, under = look_up(top)[:1] or [None] * (top == "1"), look_up(below)[:1]
    return any(
        question.dimension == (NUMBER if one is None else one.dimension or NUMBER).over(other.dimension or NUMBER)
        for one in above
        for other in under
    )


_HYPHEN = regex(r"(?<=[^\W\d_])-(?=[^\W\d_])")
_INVERSE = regex(r"([^\W\d_]+)\s?\^?\s?\(?-1\)?$")
