"""From which instant t counts, where an expression's answer says so."""

import re

from grader.regex import regex

_SINCE = r"(?:from|since|at|when|after|with|once|as)\s+(?P<since>[^,;:()\[\]^]*+)(?!\^)"
_ENDS = r"(?=$|[,;:()\[\]]|\b(?:i|we)\s+(?:get|have|find|got)\b|(?<![^\W\d_])[ivu]\w{0,3}(?:\(t\))?\s*=)"
_COUNTS = (
    r"(?:counted|counts?|counting|measured|reckoned|taken|starts?|starting|begins?|beginning|runs?|running|zero|0)\b"
)
_OWN_CLOCK = r"(?:(?:a|the|my|our|new|own|another)\s+)*(?:t|time|clock)"
T_COUNTS = regex(
    rf"[,;(\[]?\s*(?:\b(?:where|with|and|here|if)\b\s*)?(?:\b(?:the|new|this|my|local)\b\s*)*"
    rf"(?:\b(?:t|time|clock)\b\s*(?:(?:is|being|=)\s*)?(?:now\s*)?{_COUNTS}\s*(?:again\s*)?(?:is\s*)?{_SINCE}"
    rf"|\b(?:(?:I|we|you)\s+)?(?:(?:count(?:ing)?|measur(?:e|ing)|with)\s+{_OWN_CLOCK}\s+(?:from|since|after)"
    rf"|(?:re)?start(?:s|ed|ing)?\s+{_OWN_CLOCK}\s+(?:again\s+)?(?:from|since|after|at|when|with))\s+(?P<from>[^,;:()\[\]]*?){_ENDS}"
    rf"|\bt\s*(?:=|is|being|:)\s*(?:the\s+)?time\s+{_SINCE.replace('since>', 'passed>')}"
    r"|\b(?:clock|time|t)\s+(?:is\s+|was\s+)?(?:re-?(?:started|set|starts|sets)|starts?\s+(?:again|anew|over)|(?:set\s+)?(?:back\s+)?to\s+(?:0|zero))\b(?:\s+(?:again|from\s+0|here|at\s+0))*"
    r"|(?<=[,;(\[])\s*t\s+(?:from|since|after)\s+(?P<bare>(?:the|when|that|it|we|I|switch\w*|closing|opening|[^\W\d_][0-9])\b[^,;()\[\]]*))[)\]]?",
    re.IGNORECASE,
)
_OWN_TIME = regex(
    rf"(?P<name>(?<![^\W\d_])(?!t\b(?!'))[^\W\d_]{{1,3}}'?)\s*(?:=|is|being|:)\s*(?:the\s+)?time\s+{_SINCE}",
    re.IGNORECASE,
)
_SAID_AGAIN = regex(
    r"(?<=[0-9ms])\s*(?:,|\bis|\bbeing)\s+(?:the\s+)?time\s+(?:since|after|from)\s[^,;()\[\]]*", re.IGNORECASE
)


_CAPITAL = regex(r"\(T\)\s*=|[eE]\s*\^\s*[({]\s*[-+][0-9.,]+\s*[*·]?\s*T\s*[)}]")
_DEFINED = regex(r"(?<!\()(?<![^\W\d_])T\s*=")
_MAY_SAY = regex(r"time|count|measur|start|begin|t\s*=\s*0|since|from|after|reckon|taken|zero|\brun", re.IGNORECASE)
"""A glance that spares most answers the rest."""


def without_origin(text: str) -> tuple[str, str]:
    """A text without the words that say from where t counts, overwritten by blanks, and what they say.

    A letter for the time since then becomes t'.

    Examples
    --------
    >>> text, since = without_origin("2e^(-5t) V, t counted from the opening of S2")
    >>> text.rstrip(), since
    ('2e^(-5t) V', 'the opening of S2')
    """
    if _CAPITAL.search(text) and not _DEFINED.search(text):
        text = re.sub(r"(?<![^\W\d_])T(?![^\W\d_])", "t", text)  # V(T) = 9e^(-5T)
    if not _MAY_SAY.search(text):
        return text, ""
    text = _SAID_AGAIN.sub(lambda match: " " * len(match[0]), text)
    text = _OWN_TIME.sub(lambda match: f"{match['name']}=t'".ljust(len(match[0])), text)
    stated = T_COUNTS.search(text)
    if stated is None:
        return text, ""
    since = stated["since"] or stated["from"] or stated["passed"] or stated["bare"] or ""
    return text[: stated.start()] + " " * len(stated[0]) + text[stated.end() :], since.strip()
