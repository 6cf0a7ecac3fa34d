"""Text that a student wrote, made harmless for whatever opens the results.

The rule, in one place.  In a delimited table (.csv) a text that starts with ``= + - @``, a tab or a carriage return,
after any blanks, gets an apostrophe in front, which spreadsheets take as "this is text"; so does a text that starts
with an apostrophe already, so that `restored` gives back exactly what was written.  In a workbook (.xlsx) the cell is
typed as a string instead, and its text is only made `visible`.  Everywhere, characters that cannot be seen, or that
turn the direction of writing, are shown by their code points instead of doing their work.  HTML is escaped by its
templates.
"""

import unicodedata

_ACTING = frozenset("=+-@\t\r＝＋－＠'")
"""First characters that spreadsheets act upon, full-width forms as well (common practice, no source)."""

_KEPT = "\n\t"


def visible(text: str) -> str:
    r"""Show control, direction and other invisible characters by their code points: ``‹U+202E›``.

    Line ends and tabs are kept.

    Examples
    --------
    >>> visible("2.4\x00 mA")
    '2.4‹U+0000› mA'
    """
    if text.isprintable() or text.replace("\n", " ").replace("\t", " ").isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character.isprintable() or character in _KEPT or unicodedata.category(character) == "Zs":
        return character
    return f"‹U+{ord(character):04X}›"


def escaped(text: str) -> str:
    """Text for a cell of a delimited table: visible, and never taken for a formula.

    Examples
    --------
    >>> escaped("=1+1"), escaped("-2.4 mA"), escaped("2.4 mA")
    ("'=1+1", "'-2.4 mA", '2.4 mA')
    """
    shown = visible(text)
    return f"'{shown}" if _would_act(shown) else shown


def restored(text: str) -> str:
    """Undo the apostrophe of `escaped`, in a table that came back.

    Examples
    --------
    >>> restored("'=1+1"), restored("2.4")
    ('=1+1', '2.4')
    """
    return text[1:] if text.startswith("'") and _would_act(text[1:]) else text


def _would_act(text: str) -> bool:
    return text[:1] in _ACTING or text.lstrip()[:1] in _ACTING
