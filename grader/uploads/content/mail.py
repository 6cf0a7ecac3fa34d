"""What of the lines of a mail is no answer: its head, its end, and the heads of mails that it quotes."""

import re

from msgspec.structs import replace

from grader.regex import regex
from grader.uploads.content.claims import Line, split

END = "end"
"""The role of a line that ends a mail."""

SAYS = regex(r"[\d^=√\\]")
"""What a line holds that says more than words do."""

HEADS = {"from", "to", "cc", "bcc", "subject", "sent", "von", "an", "betreff", "gesendet"}
"""Words with a colon that head a mail, above its text."""

_END_OF_A_MAIL = regex(
    r"--|on [^=]*[,\d][^=]* wrote:|am [^=]*[,\d][^=]* schrieb[^=]*:|(?:-{2,}|_{2,}) ?original message.*|sent from my \w+|"
    r"(?:(?:(?:with )?(?:best|kind|kindest|warm|many) )?(?:regards|wishes)|best(?=,)|(?:many )?thanks(?: in advance)?(?=[,.!]|$)|"
    r"thank you(?: (?:very|so) much)?(?=[,.!]|$)|cheers(?=[,.!]|$)|(?:yours )?(?:sincerely|faithfully|truly)|mfg|"
    r"(?:mit |viele |liebe |beste |freundlichen )+gr(?:ü|ue)(?:ß|ss)en?|(?:un )?saludos?(?: cordiales)?|(?:cordiali )?saluti|"
    r"(?:bien )?cordialement)(?:[\s,.!–-]+[^\d=:]{0,40})?",
    re.IGNORECASE,
)
"""Lines that end the text of a mail: a greeting, the mark of a signature, the head of a mail that is quoted (common practice)."""

_QUOTES = regex(r"(?:wrote|schrieb[^=]*):$|original message", re.IGNORECASE)
"""What heads a mail that is quoted."""


def heads_a_mail(line: Line) -> bool:
    """Whether a line heads a mail, or one that is quoted."""
    head = split(line.text)[0].casefold() in HEADS - {"an", "from", "to"} or line.text.endswith(("wrote:", "schrieb:"))
    return line.claim is None and head


def heads_a_quotation(line: Line) -> bool:
    """Whether a mail is quoted below a line."""
    return bool(_QUOTES.search(line.raw))


def with_ends(found: list[Line]) -> list[Line]:
    """The lines, those known that end a mail: of what follows up to the next item nothing says more than words do."""
    lines, says = [], False
    for line in reversed(found):
        ends = line.claim is None and not line.role and bool(_END_OF_A_MAIL.fullmatch(line.raw))
        if line.claim is not None or (ends and heads_a_quotation(line)):
            says = False
        elif not ends and not line.quoted and SAYS.search(line.text):
            says = True
        lines.append(replace(line, role=END) if ends and not says else line)
    return lines[::-1]
