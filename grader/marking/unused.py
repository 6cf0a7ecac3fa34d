"""What a student wrote for an item besides the answer that counts: told beside the mark, and left to a person where it may be meant."""

from collections.abc import Iterable

from msgspec.structs import replace

from grader.marking.marks import Mark
from grader.reading.line.phrases import phrase_of
from grader.reading.line.records import Kind
from grader.uploads.upload import Unused, Written

_LOOK = "A person will check which of them counts."
_SHOWN = 200
"""Characters of what did not count that are said again."""


def alone(written: Written, unused: Unused) -> Written:
    """What did not count, as if it were the answer."""
    return Written(problem=written.problem, item=written.item, text=unused.text)


def with_unused_told(mark: Mark, written: Written, others: Iterable[tuple[Unused, Mark]]) -> Mark:
    """A mark that says what else was written; a person looks where that would earn more, or says that it takes something back.

    Parameters
    ----------
    mark : Mark
        Of the answer that counts.
    written : Written
        That answer.
    others : iterable of (Unused, Mark)
        What did not count, each with what it would have been marked as.
    """
    said: list[str] = []
    looks = False
    for unused, other in others:
        corrects = unused.told and phrase_of(Kind.CORRECTION).search(unused.text) is not None
        meant = other.awarded > mark.awarded or corrects
        looks = looks or meant
        if unused.told or meant:
            said.append(_said(unused, written))
    if not said:
        return mark
    look = (_LOOK,) if looks else ()
    return replace(mark, review=mark.review or looks, reasons=(*mark.reasons, *said, *look))


def _said(unused: Unused, written: Written) -> str:
    text = " ".join(unused.text.split())
    shown = text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"
    if not unused.told:
        return f"Without the lines further below it this would be '{shown}'."
    return f"You also wrote '{shown}' ({unused.where}), which did not count; the answer at {written.where} did."
