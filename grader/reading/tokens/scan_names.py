"""Names told by what stands beside them: ``i(0+)``, and ``end*e^(-t/tau)`` where an earlier item is called *end*."""

from grader.reading.tokens import Question, Token
from grader.reading.tokens.scan_labels import SUBSCRIPT
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import FUNCTIONS, INSTANT, OPERATOR_WORDS, Vocabulary, normalized_name
from grader.reading.tree import Name
from grader.regex import regex

_BEFORE = regex(r"(?:(?P<factor>[*/^])|(?P<sign>[-+])|^|[=(\[])\s*$|(?P<number>[0-9])$")
_BEHIND = regex(
    r"\s*(?:(?P<factor>[*/^])|(?P<sign>[-+])|[)\]]|e\s?\^|exp\b|$)|(?P<times>\((?!\s*[^\W\d_]{2,}\s*\))|\s\((?=[^()\n]*(?:e\s?\^|exp)))"
)


def name_worked_with(text: str, start: int, end: int, question: Question) -> Token | None:
    """A name that prose may hold, where it is worked with: ``vinf*(1 - e^(-t/tau))``; an underscore tells it as well."""
    words = question.vocabulary.words
    word = normalized_name(text[start:end]) if words else ""
    if word not in words or word in FUNCTIONS or word in OPERATOR_WORDS:
        return None
    before, behind = _BEFORE.search(text[:start]), _BEHIND.match(text, end)
    factor = (before and (before["factor"] or before["number"])) or (behind and (behind["factor"] or behind["times"]))
    term = before and behind and (before["sign"] or behind["sign"])
    if not (factor or term or "_" in text[start:end]):
        return None
    return Token("NAME", Name(word, words[word], start), start, end)


_NAME_AT_INSTANT = regex(rf"[^\W\d_](?:_\{{[^{{}}]*\}}|[\w'])*\s?{INSTANT}(?:{SUBSCRIPT})?")


def name_at_instant(text: str, start: int, end: int, vocabulary: Vocabulary) -> Token | None:
    """``i(0+)`` and ``v_C(∞)`` are names; ``cos(t)`` and ``u(t)`` are not."""
    match = _NAME_AT_INSTANT.match(text, start)
    if match is None:
        return None
    word = text[start:end]
    known = vocabulary.find(match[0])
    if known is None and text[start - 1 : start].isdigit() and look_up(word):
        return None  # 6A (final)
    if known is None and (
        word.lower() in FUNCTIONS or word.endswith(("u", "U", "e", "t")) or vocabulary.find(word) is not None
    ):
        return None
    if known is None and len(word) > 3 and "_" not in word:
        return None  # several factors written together
    name = known or match[0]
    return Token("NAME", Name(name, vocabulary.dimensions.get(name), start), start, match.end())
