"""MathML on a page: only what draws mathematics and does nothing else passes."""

from functools import lru_cache
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

if TYPE_CHECKING:
    from markupsafe import Markup

ELEMENTS = frozenset(
    {
        "math", "mrow", "mi", "mn", "mo", "ms", "mtext", "mspace", "mfrac", "msqrt", "mroot", "msub", "msup",
        "msubsup", "mover", "munder", "munderover", "mtable", "mtr", "mtd", "mstyle", "mpadded", "mphantom",
    }
)  # fmt: skip
"""Elements of MathML Core that draw and do nothing else."""

ATTRIBUTES = frozenset(
    {"display", "mathvariant", "stretchy", "fence", "separator", "form", "lspace", "rspace", "width", "height",
     "displaystyle", "alttext", "dir", "columnalign", "linethickness", "accent"}
)  # fmt: skip


_OF_WORDS = frozenset({"math", "mrow", "mtext"})


@lru_cache(maxsize=4096)
def safe_mathml(text: str) -> "Markup":
    """Presentation MathML as markup; anything else as escaped text, and words alone, which mathematics would not break.

    The reader writes well-formed MathML already.  This is the second lock: whatever stands in a file of marks, no
    other element and no handler reaches a page.
    """
    from markupsafe import Markup, escape

    if not text:
        return Markup("")
    if "<!" in text or "<?" in text:  # a document type may define entities that blow up
        return escape(text)
    try:
        root = ET.fromstring(text)  # noqa: S314 - see above, and the reader bounds the length
    except ET.ParseError:
        return escape(text)
    if all(element.tag in _OF_WORDS for element in root.iter()):
        return escape("".join(root.itertext()).replace("\N{NO-BREAK SPACE}", " "))
    for element in root.iter():
        name = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
        if name not in ELEMENTS or not ATTRIBUTES.issuperset(element.attrib):
            return escape(" ".join("".join(root.itertext()).split()))
    return Markup(text)  # noqa: S704 - just checked
