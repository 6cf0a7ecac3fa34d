"""What students say around roots: that one counts twice, that its conjugate belongs to it, or the equation's factors.

Each step gives text that the scanner can read; where words are left out, blanks stand in their place.
"""

import re

from grader.reading.tokens.vocabulary import DOUBLING_WORDS
from grader.regex import regex

_TWICE = regex(
    r"\b(?:two|2)\s+(?:times\b|(?:equal|identical|same|repeated|coincident|real|\s)*\s*roots?\b(?:\s+of\b)?)"
    r"|\bmultiplicity\s*(?:of|=|:)?\s*(?:2|two)\b"
    rf"|\b(?:and\s+)?(?:(?:an?|it's|it\s+is|the)\s+)*(?:{'|'.join(sorted(DOUBLING_WORDS))})\b\s*(?:real\s*)?(?:(?:roots?|ones?|nullstellen?)\b)?"
    r"|[(]?\s*(?:[x*×]\s*2|2\s*[x×])\s*[)]?\s*$|\broots?\b|\bnullstellen?\b|\breal\b",
    re.IGNORECASE,
)
_SAYS_NOTHING = {"root", "roots", "real", "nullstelle", "nullstellen"}
_FACTOR = regex(
    r"\(\s*[sprxλ]\s*(?P<sign>[-+])(?P<number>(?:[^()]|\([^()]*\))+)\)\s*(?P<square>\^\s*\(?2\)?)?\s*[*]?\s*"
)

_UNKNOWN = r"(?<![^\W\d_])(?:lambda|[spxrm])(?![\w'])"
_SQUARED = regex(
    rf"(?P<bare>{_UNKNOWN})\s*(?:\^|\*\*)\s*\(?2(?![0-9.])|\(\s*(?P<bracketed>{_UNKNOWN})\s*[-+][^()]*\)\s*(?:\^|\*\*)\s*\(?2(?![0-9.])"
)
_CLAUSE = regex(r"(?:(?!(?:(?<==0)|(?<==\s0))\s)[^,;:\n→]|,(?=[0-9]))+")
_SOLVED_BY = regex(rf"\s*[^\W\d_](?:[^-+±=0-9](?!{_UNKNOWN}\s*[=:]))*\s")
"""What leads from an equation to its roots: ``has the solutions``."""
_EQUALS_ZERO = regex(r"=\s*0\s*$")

_BETWEEN = regex(
    r"(?<=[ij]\))\s+(?=\()|(?<=[0-9ij)s]\s)/(?=\s+(?:[-+±]\s?[0-9.ij(]|[sprxλ]_?[0-9]\s*=))|(?<=[0-9ij)])\s(?=\s*[sprxλ]_?[0-9]\s*=)"
    r"|(?<=[0-9ij)s]\s)(?:y|e|en|et|ve|og|och|и|和|与|與|と|i(?=\s+[sprxλ])|(?<=[ij]\s)i)(?=\s+(?:[-+±]?\s?[0-9.(]|[sprxλ]_?[0-9]\s*=))"
)
"""``-1000 / -4000``, ``s1 = -1000 s2 = -4000``: a stroke between two roots, blanks around it; a blank before a named one; *and* in other languages."""

_PERHAPS_CONJUGATE = regex(r"[ck]onj|\bsame\b|\bc\.?\s?c\b|\*[\s)]*$", re.IGNORECASE)

_CONJUGATE = regex(
    r"(?<![\s,;&(])[\s,;&(]*+(?:\b(?:and|und|with|plus|et|y)\b\s*+)?(?:"
    r"(?:[sprxλ]_?2\s*+(?:=|is)\s*+)?(?:\b(?:its|the|their)\b\s*+)?"
    r"(?:(?:complex|komplex)\s++)?(?:konj|conj)\w*+\.?(?:\(\s*+[sprxλ]_?1\s*+\))?+(?:\s++(?:pair|of\s++\w++))?"
    r"|[sprxλ]_?2\s*+(?:=|is)\s*+(?:[sprxλ]_?1\s*+\*|(?:the\s++)?same\s++(?:but\s++)?with\s++-\s?[0-9ij.]++)|\bc\.?\s?c\b\.?)[\s)]*+$",
    re.IGNORECASE,
)
_IMAGINARY_SIGN = regex(r"[-+](?=\s*[ij]|\s*[0-9.,]+\s*[*·]?\s*[ij](?!\w))")


def factors_as_roots(text: str) -> str:
    """``(s+2000)(s+8000) = 0`` as ``-(2000); -(8000)``: a characteristic equation given by its factors."""
    roots: list[str] = []
    text = _BETWEEN.sub(";", text)
    place = len(text) - len(text.lstrip())
    while (factor := _FACTOR.match(text, place)) is not None:
        root = f"{'-' if factor['sign'] == '+' else ''}({factor['number']})"
        roots += [root] * (2 if factor["square"] else 1)
        place = factor.end()
    if not roots or text[place:].replace(" ", "") not in {"", "=0"}:
        return text
    return "; ".join(roots)


def equation_in_t(text: str) -> str:
    """``s^2 + 80s + 2500 = 0`` as ``t^2 + 80t + 2500``; an equation with its solution beside it is left out."""
    squared = _SQUARED.search(text)
    if squared is None:
        return text
    unknown = squared["bare"] or squared["bracketed"]
    clauses = list(_CLAUSE.finditer(text))
    own = next(clause for clause in clauses if clause.start() <= squared.start() < clause.end())
    if any(any(letter.isdigit() for letter in clause[0]) for clause in clauses if clause is not own):
        lead = _SOLVED_BY.match(text, own.end())
        end = own.end() + 1 if lead is None else lead.end()
        return equation_in_t(factors_as_roots(text[: own.start()] + " " * (end - own.start()) + text[end:]))
    body = _EQUALS_ZERO.sub(lambda match: " " * len(match[0]), own[0].rstrip())
    left, equals, right = body.partition("=")
    if equals and right.strip():
        body = f"{left}-({right})"
    time = regex(rf"(?<![^\W\d_]){unknown}(?![\w'])")
    body = time.sub("t".rjust(len(unknown)), body)
    return text[: own.start()] + body + text[own.end() :]


def variable_of_equation(text: str) -> str:
    """The letter that a characteristic equation is written in; t where there is none."""
    squared = _SQUARED.search(text)
    return "t" if squared is None else _GREEK.get(letter := squared["bare"] or squared["bracketed"], letter)


_GREEK = {"lambda": "λ"}


def with_conjugate(text: str) -> str:
    """``-50+j120 and its conjugate`` as ``-50±j120``; as it is where both stand there already."""
    found = _CONJUGATE.search(text) if _PERHAPS_CONJUGATE.search(text) else None
    if found is None:
        return text
    head = text[: found.start()]
    signs = list(_IMAGINARY_SIGN.finditer(head))
    if len(signs) == 1:
        place = signs[0].start()
        head = f"{head[:place]}±{head[place + 1 :]}"
    return head.ljust(len(text))


def without_doubling(text: str) -> tuple[str, bool]:
    """``-500 (double)``: the text without the remark, and whether the root counts twice."""
    doubled = False
    for match in reversed(list(_TWICE.finditer(text))):
        doubled = doubled or match[0].strip().lower() not in _SAYS_NOTHING
        text = text[: match.start()] + " " * len(match[0]) + text[match.end() :]
    return text.replace("()", "  "), doubled
