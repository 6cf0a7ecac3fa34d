"""Phrases in place of signs, and what people say around a value: brought to signs, or overwritten with blanks.

Each replacement is as long as what it replaces, so that places stay places in the text.
"""

import re
from collections.abc import Callable

_RESISTOR = r"(?=\s*(?:[0-9(.]|[rzlc]_?[0-9a-z]{0,3}\b))"
_SIGNS: tuple[tuple[re.Pattern[str], str], ...] = (
    (
        re.compile(
            r"(?:\b(?:raised\s+to\s+the(?:\s+power)?|to\s+the\s+power)|(?:(?<=\be\s)|(?<=[0-9)]\s))to\s+the(?!\s+(?!minus|power)[^\W\d_]{4}))(?:\s+of)?\b",
            re.IGNORECASE,
        ),
        "^",
    ),
    (re.compile(r"\bdivided\s+by\b|\bgeteilt\s+durch\b", re.IGNORECASE), "over"),
    (re.compile(rf"\b(?:in\s+)?parallel\s+(?:with|to)\b{_RESISTOR}", re.IGNORECASE), "||"),
    (re.compile(rf"\bin\s+series\s+with\b{_RESISTOR}", re.IGNORECASE), "+"),
    (re.compile(r"\bmultiplied\s+by\b", re.IGNORECASE), "times"),
    (
        re.compile(
            r"(?<=[^\W\d_]\s)(?:pro|por|par)(?=\s+(?:m|μ|u|mi\w+)?\s?(?:s|sec\w*|seg\w*|sek\w*)\b)", re.IGNORECASE
        ),
        "/",
    ),
    (re.compile(r"\bper\s+cent\b", re.IGNORECASE), "%"),
    (re.compile(r"(?:是|等于|约为|为|は)(?=\s*[-0-9.])"), "="),
    (re.compile(r"\breciprocal\s+(?=sec)", re.IGNORECASE), "1/"),
    (re.compile(r"\b(?:is\s+)?equals?\s+to\b", re.IGNORECASE), "="),
    (re.compile(r"\bof\s+(?:it|them|which|that|this)\b", re.IGNORECASE), ""),
    (re.compile(r"\bplus\s*(?:or|/)?\s*minus\b|\(\s*(?:\+\s?/?\s?-|±)\s*\)", re.IGNORECASE), "±"),
    (re.compile(r"\(\s*(?:to\s+)?[0-9]\s*(?:s\.?\s?f|sig|d\.?\s?p|dec)[\w.\s]*\)", re.IGNORECASE), ""),
    (re.compile(r"\b(?:math|np|numpy)\.(?=[a-z])|\blambda\s+t\s*:|@\(t\)", re.IGNORECASE), ""),  # np.exp(-100*t)
    (
        re.compile(
            r"(?:^\s*\.\s*)?(?<!\|)\|(?!\|)\s*_?\s*(?:\{[^{}]*\}|\([^()]*\)|(?:t\s*=\s*[0-9.]+\s?[mμ]?s?|0)\s*\^?[-+]?)(?=\s*[=:≈])"
        ),
        "",
    ),  # di/dt|0+ =
    (
        re.compile(
            r"(?:(?<=[0-9])|(?<=ths))\s+of\s+an?\s+(?=(?:milli|micro|kilo|mega|nano)?-?(?:sec|volt|amp|ohm|joule|watt|henry|farad))",
            re.IGNORECASE,
        ),
        "",
    ),
    (re.compile(r"\bK[VC]L\b(?:\s+(?:at|in|around|for|over|of)\b[^:,;=0-9]*(?=[:,]))?\s*[:,]?"), ""),
    (re.compile(r",(?=\s*(?:times|multiplied|divided)\b)", re.IGNORECASE), ""),  # ln 8 = 2.08, times 4 ms
    (re.compile(r"(?<=[^\W\d_])\(\s*t\s*[>≥]=?\s*[0-9.]+\s?[muμ]?s?\s*\)(?=\s*=)"), "(t)"),  # i(t>0) =
    (re.compile(r"(?:^|(?<=[=≈→,;:]))[^=≈→,;:]*∫[^=≈→,;:]*(?:[=≈→]|$)"), ""),  # i = 1/L ∫v dt = 40t
    (re.compile(r"[,(]?\s*\bI(?:'d|\s+would)?\s+(?:think|guess|believe|suppose|hope|say|got?|get)\b\s*[,)]?"), ""),
    (
        re.compile(
            r"(?:\b(?:at|for)\s+)?\bt\s*=\s*0\s*\+?\s*(?=\b(?:the|its?|we|is|there|a)\b)|\bat\s+(?:t\s*=\s*)?0\s*\+?\s*(?==)",
            re.IGNORECASE,
        ),
        "",
    ),
    (re.compile(r"(?<=[\w)])!+(?=\s)"), ","),
    (re.compile(r"@(?=\s?t\s?=)"), ","),  # 2.3 A @ t = 30 ms
    (re.compile(r"(?<=\s)\.{2,}(?=\s)"), "→"),
    (re.compile(r"\bhalf[\s-]?li(?:ves|fe|fes)\b", re.IGNORECASE), "(ln2*tau)"),
    (re.compile(r"\blim(?:es)?(?=\s*[_({]?\s*t\s*(?:->|→|=>))", re.IGNORECASE), ""),
)

_NUMBER = r"[-+]?[0-9]+(?:[.,][0-9]+)?"
_FORMULAS = (
    (re.compile(r"\((\s*per\s+[^\W\d_]+\s*)\)", re.IGNORECASE), r" \1 "),
    (re.compile(r"(\bt\s*[<>≥≤]=?\s*[0-9.]+\s?[mμ]?s?)\s(?=[^\W\d_]\w{0,4}(?:\(t\))?\s*=)"), r"\1,"),  # for t > 0 i =
    (re.compile(r"(?<![^\W\d_])(rad|[mkμ]?[AV])s\^?\(?-1\)?(?![0-9.,])"), r"\1/s"),
    (re.compile(r"\bpi\(\s*\)", re.IGNORECASE), r"pi"),
    (re.compile(rf"\bradians\(\s*({_NUMBER})\s*\)", re.IGNORECASE), r"(\1)°"),
    (re.compile(r"\bradians\(", re.IGNORECASE), r"pi/180*("),
    (re.compile(r"\bdegrees\(", re.IGNORECASE), r"180/pi*("),
    (re.compile(rf"\bcomplex\(\s*({_NUMBER})\s*[,;]\s*({_NUMBER})\s*\)", re.IGNORECASE), r"(\1+j(\2))"),
    (re.compile(r"\barray\(\s*(\[[^\[\]]*\])\s*\)", re.IGNORECASE), r"\1"),
    (re.compile(r"\bpower\(\s*(\w+|\([^()]*\))\s*[,;]((?:[^(),;]|\([^()]*\))+)\)", re.IGNORECASE), r"(\1^(\2))"),
)
"""Units with their last power run together (``rads-1``), and functions of spreadsheets that stand for a sign."""

_TO_INFINITY = re.compile(
    r"[(\[{_]*\s*(?:\b(?:as|for|when|at|bei|für)\s+)?\bt\s*(?:-+>|→|=>?|\bto\b|\bgegen\b|\bgoes\s+to\b)\s*\+?"
    r"(?:∞|\binf(?:inity|ty|inite)?\b|\boo\b|\bunendlich\b)\s*[)\]}]*",
    re.IGNORECASE,
)
"""``6 A as t → ∞`` says when, and is no part of the value; the one in ``i(t→∞)`` belongs to the name."""

_MARKDOWN = re.compile(r"\s*(\*\*|__|`)(?=[^*_`]).*[^*_`\s]\1\s*", re.DOTALL)
"""``**2.4 mA**``: marks of bold or typewriter text around a whole answer."""

_DECORATION = re.compile(
    r"[(\[]?[\u2190\u2191\u2193-\u21ff\u2300-\u23ff\u2460-\u27bf\u2900-\u297f\u2b00-\u2bff\ufe0f\U0001f000-\U0001faff]+[)\]]?(?=[\W_]*$)"
)
"""Arrows, ticks and little pictures behind an answer (Unicode blocks of arrows, dingbats, emoji); → is a sign."""

_FRAME = re.compile(r"\A\s*(?:\(?[1-9a-e]\)(?=\s+\S)|>{2,}|\*(?=\s*[^\s*]))|(?:<{2,}|//)\s*\Z")
"""What stands around a whole answer: its number, a bullet, arrow heads, a double stroke."""

NEEDS_PHRASES = re.compile(
    r"(?=[tbdclhpyravse\u2190-\u2bff\U0001f000-\U0001faff])(?:\b(?:to\s+the|by|durch|cent|lim|limes)\b|\bt\s*(?:[-=→>]|to\b|gegen\b|goes\b)"
    r"|[hpy]\.[a-z]|lambda\s|\b(?:power|radians|degrees|complex|array|pi)\(|\bplus\b|equal|\bp(?:ro|or|ar|er)\s|reciprocal|parallel\s|series\s|\bdec|\bd\.?\s?p|\bs\.?\s?f|\bsig|[AVd]s\^?\(?-1|[\u2190-\u21ff\u2300-\u2bff\U0001f000-\U0001faff])|\A\s*(?:[^\W\d_]{1,10}'?[^\W\d_]*[\s,:.)]|[*_`]{1,2}[^*_`]|[(>]|[1-9]\))|(?:<<|//)\s*\Z",
    re.IGNORECASE,
)
"""A glance that tells whether there may be anything to do; the set of first characters in front makes it a quick one."""


ODD_SIGNS = re.compile(
    r"(?=[|@(oK,h.t1aI∫!是于为は])(?:[∫是于为は]|!\s|I(?:'d)?\s|\(\s?(?:[+±]|t\s?[>≥])|\|\s?[_{(t0]|@\s?[t(]|\bof\s+[aitw]|K[VC]L|,\s*(?:times|mult|div)|half[\s-]?li|\bat\s|\.\.|\bt\s*[<>≥≤=]|[1a][).]\s)"
)
"""The same for what is rare: ``(+/-)``, ``|0+``, ``@(t)``, ``of it``, ``KVL:``, ``1)``."""

_STEP = re.compile(r"(?:^|(?<=[\s,;.]))\(?([1-9a-e])[).](?=\s+\S)")


def _without_step_numbers(text: str) -> str:
    """``1) v = 12 V 2) i = 2.4 A``: steps that are counted, each a part of its own."""
    steps = list(_STEP.finditer(text))
    if [step[1] for step in steps[:2]] not in (["1", "2"], ["a", "b"]) or text[: steps[0].start()].strip():
        return text
    return _STEP.sub(lambda match: (";" if match.start() else "").ljust(len(match[0])), text)


def without_frame(text: str) -> str:
    """The text without what stands around a whole answer; where options are asked their letters stand so, and are the answer."""
    return _FRAME.sub(lambda match: " " * len(match[0]), text)


def without_phrases(text: str) -> str:
    """The text with its phrases replaced.

    Examples
    --------
    >>> without_phrases("e to the power of -2").split()
    ['e', '^', '-2']
    """
    if (marked := _MARKDOWN.fullmatch(text)) is not None:
        text = text.replace(marked[1], " " * len(marked[1]))
    text = _without_step_numbers(text)
    text = _DECORATION.sub(lambda match: " " * len(match[0]), text)
    for pattern, sign in _SIGNS:
        text = pattern.sub(padded(sign), text)
    for pattern, formula in _FORMULAS:
        text = pattern.sub(_expanded(formula), text)
    text = _TO_INFINITY.sub(lambda match: _blank_or_name(text, match), text)
    return text


def padded(sign: str) -> Callable[[re.Match[str]], str]:
    """What replaces a match by a sign, as long as before."""
    return lambda match: sign.ljust(len(match[0]))


def _expanded(formula: str) -> Callable[[re.Match[str]], str]:
    return lambda match: match.expand(formula).rjust(len(match[0]))


def _blank_or_name(text: str, match: re.Match[str]) -> str:
    """``i(t→∞)`` becomes ``i(∞)``; elsewhere the phrase says when, and is overwritten."""
    before = text[match.start() - 1 : match.start()]
    if match[0][0] == "(" and match[0][-1] == ")" and before.isalnum() and not text[: match.start()].endswith("lim"):
        return "(∞)".ljust(len(match[0]))
    return " " * len(match[0])
