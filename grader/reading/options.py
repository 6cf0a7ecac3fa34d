"""Options told apart: loosely by their words, and strictly by signs, comparisons, operators and decimal points."""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from unicodedata import combining
from unicodedata import normalize as decomposed

from grader.reading.text.glyphs import normalize
from grader.reading.tokens.units import look_up
from grader.regex import regex

_LETTERS = regex(r"[^a-z0-9]+")
_MATHEMATICAL = regex(r"[0-9+*/^<>=≤≥≠]|(?<![a-z])-|-(?![a-z])")
_OPERATED = regex(r"[\w)]\s*[+*/^]|[\w)]\s*-\s*[(0-9]|(?<!\w)[^\W\d][0-9]?\s*-|\)\s*\w")
ARTICLE = regex(r"^\s*(?:an?|the|it)\s+", re.IGNORECASE)
_BULLET = regex(r"^\s*-\s+(?=[^\W\d_]{3})")
_UNARY_PLUS = regex(r"(?:^|(?<=[=<>(,;:]))\s*\+|(?<=\s)\+(?=[0-9.])")
_DECIMAL_COMMA = regex(r"(?<=[0-9]),(?=[0-9])")
_HYPHEN = regex(r"(?<=[^\W\d_])-(?=[^\W\d_])")
_REMARK = regex(r"\(([^()+*/^<>=≤≥≠-]*)\)")
_NO_SIGN = regex(r"[^\w()+*/^<>=≤≥≠±.-]|\.(?![0-9])|_")
_FIGURE = regex(r"(?:(?<![\w)])-\s*)?(?<![\w.])[0-9]*\.?[0-9]+|[<>≤≥≠]")
_OHMS = regex(r"(?<![^\W\d_])([kmg]?)ohms?\b")
_UNIT_IN_WORDS = regex(r"(?<=[0-9])\s*([^\W\d_]{4,})")
_MINUS = regex(r"\b(?:minus|moins|menos|meno)\s+(?=[0-9])", re.IGNORECASE)
_ARROW = regex(r"[-=]+>")
_BOTH_WAYS = regex(r"<[-=]+>")
_EITHER = regex(r"(?<=\w{2})\s*/\s*(?=[^\W\d_]{3})")
_GOES_ON = regex(r"[-+*/^<>=≤≥≠.0-9]")


def squeezed(text: str) -> str:
    """Letters and digits alone, small and without accents."""
    return _LETTERS.sub("", "".join(c for c in decomposed("NFKD", text.lower()) if not combining(c)))


def is_mathematical(options: Sequence[str]) -> bool:
    """Whether a sign or a digit stands in any option."""
    return any(_MATHEMATICAL.search(in_one_alphabet(option)) for option in options)


def is_worked_with(option: str) -> bool:
    """Whether an operator joins names or numbers in an option."""
    return _OPERATED.search(in_one_alphabet(option)) is not None


def loosely(text: str, signs: bool) -> str:
    """What two ways to write one option have in common; with ``signs`` where options may differ in them alone."""
    if not signs:
        return squeezed(text)
    text = _UNARY_PLUS.sub("", _BULLET.sub("", in_one_alphabet(text)))
    text = _REMARK.sub(r" \1 ", text)
    return _NO_SIGN.sub("", _HYPHEN.sub("", _DECIMAL_COMMA.sub(".", text)))


def written_out(text: str, options: Sequence[str]) -> str | None:
    """The option that a text is: to the letter, else but for its blanks, else loosely, each where it is the only one."""
    signs = is_mathematical(options)
    ways = (
        lambda one: one.strip().casefold(),
        lambda one: "".join(in_one_alphabet(one).split()),
        lambda one: loosely(one, signs),
        lambda one: loosely(ARTICLE.sub("", one), signs),
    )
    for way in ways:
        mine = way(text)
        same = [option for option in options if mine and way(option) == mine]
        if same:
            return same[0] if len(same) == 1 else None
    return None


def marked(text: str, signs: Mapping[str, str]) -> str:
    """A text with a sign in place of each option that it has as a whole; none inside of a longer one."""
    text = in_one_alphabet(text)
    if "/" not in "".join(signs.values()):
        text = _EITHER.sub(" or ", text)
    text = _ARROW.sub("→", text)
    for sign, option in sorted(signs.items(), key=lambda one: -len(one[1])):
        text = _as_a_whole(option).sub(f" {sign} ", text)
    return text


@lru_cache(maxsize=256)
def _as_a_whole(option: str) -> re.Pattern[str]:
    """An option with nothing beside it that would make it another: no letter, and no operator where it is mathematical."""
    plain = in_one_alphabet(option)
    article = ARTICLE.match(plain)
    words = r"\s*".join(
        map(re.escape, re.findall(r"[0-9]+|[^\W0-9]\w*|[^\w\s]", plain[article.end() if article else 0 :]))
    )
    words = rf"(?:(?:an?|the|it)\s+)?{words}" if article else words
    if not _MATHEMATICAL.search(plain):
        return regex(rf"(?<![\w/*^']){words}(?![\w/*^])")
    before = r"(?<![\w.])(?<![0-9],)(?<![-+±*/^<>≤≥≠])(?<![-+±*/^<>≤≥≠]\s)"
    return regex(rf"{before}{words}(?!\w|[.,][0-9]|\s*+(?!-\s+[^\W\d_]{{2}})[-+*/^<>≤≥≠])")


def begun(text: str, option: str, signs: bool) -> bool:
    """Whether an option begins with the text, cut where no sum or number is cut."""
    mine = loosely(text, signs)
    for one in (option, ARTICLE.sub("", option)):
        whole = loosely(one, signs)
        if whole.startswith(mine) and not (signs and _GOES_ON.match(whole, len(mine))):
            return True
    return False


def ended(text: str, option: str, signs: bool) -> bool:
    """Whether an option ends with the text, cut where no sum or number is cut."""
    mine, whole = loosely(text, signs), loosely(option, signs)
    return whole.endswith(mine) and not re.search(r"[-+*/^.0-9]$", whole.removesuffix(mine))


def figures(text: str) -> set[str]:
    """The numbers of a text with their signs, and its comparisons."""
    plain = _DECIMAL_COMMA.sub(".", in_one_alphabet(text))
    return {"".join(match[0].split()) for match in _FIGURE.finditer(plain)}


def listed(options: Sequence[str]) -> str:
    """Options one after the other, with semicolons where a comma stands in one."""
    return ("; " if any("," in option for option in options) else ", ").join(options)


def in_one_alphabet(text: str) -> str:
    """A text in the one alphabet, in small letters, with signs for the units of its numbers."""
    text = text.strip().replace("!=", "≠").replace("↑", " uparrow ").replace("↓", " downarrow ")
    text = _BOTH_WAYS.sub("↔", text)
    text = _OHMS.sub(r"\1ω", normalize(text).text.lower())
    text = _MINUS.sub("-", text)
    return _UNIT_IN_WORDS.sub(
        lambda match: f" {unit[0].symbol.lower()}" if (unit := look_up(match[1])) else match[0], text
    )
