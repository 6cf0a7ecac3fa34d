"""What a student crossed out, by signs that editors leave or in words."""

import re
from collections.abc import Iterator

from grader.regex import regex

_STRUCK = regex(r"(?:≈≈|~~)(?P<struck>[^≈~]+)(?:≈≈|~~)")
_STRUCK_IN_WORDS = regex(
    r"(?P<struck>[-+]?[0-9][0-9.,]*(?<![.,])\s?[^\W\d_]*+)\s*+,?\s*+"
    r"(?:[(\[]?\s*+(?:is\s++|was\s++)?(?:(?:crossed|struck|scratched|ruled)\s++out|crossed(?=\s*+[,;:]))\s*+[)\]]?"
    r"|[(\[](?:deleted|cancell?ed|gestrichen|durchgestrichen|barré|tachado)[)\]])[\s,;:]*(?=[-+]?[0-9])",
    re.IGNORECASE,
)
"""``30 V (crossed out) 20 V``"""


def struck_out(text: str) -> Iterator[tuple[int, int, int]]:
    """Where each begins with its signs, begins without them, and ends with them."""
    for pattern in (_STRUCK, _STRUCK_IN_WORDS):
        for match in pattern.finditer(text):
            yield match.start(), match.start("struck"), match.end()
