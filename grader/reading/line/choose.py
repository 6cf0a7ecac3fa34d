"""Which part of a line is the answer: one rule each.

1. Behind the last correction that can be read, nothing before it counts.
2. What is of the kind asked and carries its unit beats a bare number; that beats a value of another kind.
3. Among equals a conclusion beats a claim before it, and a later conclusion an earlier one.
4. A reason counts only where no claim can be read, or none of the kind asked.
"""

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from grader.reading.line.fit import BARE, OF_ANOTHER_KIND, OF_THE_KIND_ASKED
from grader.reading.line.records import Kind, Line, Part
from grader.reading.line.remarks import matters
from grader.reading.line.set_aside import is_response
from grader.reading.record import Aside, ignored
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question
from grader.reading.tree import Name, Node, walk
from grader.regex import regex

SET_ASIDE = {
    Kind.WORKING: "What stands in brackets or as a comment after the value was taken as working.",
    Kind.CONTEXT: "What the value is a share of was not read as a part of it.",
    Kind.ANOTHER_TIME: "What is said of another instant or case was not taken as the answer.",
    Kind.STRUCK: "What is crossed out was not read.",
    Kind.DENIED: "What the line itself says is not the answer was left aside.",
    Kind.CORRECTION: "What stands before the correction was replaced by it.",
}
"""What is said of parts that are not the answer."""


class Attempt(NamedTuple):
    """A part that could be read: what reading it gave, and how well it fits what is asked."""

    part: Part
    result: tuple[Any, ...]
    fits: float


def choose(
    line: Line,
    read_part: Callable[[str], tuple[Any, ...]],
    fits: Callable[[tuple[Any, ...]], float],
    enough: int = BARE,
) -> tuple[Attempt, list[Attempt]]:
    """The part that is the answer, and the others that could be read.

    Parameters
    ----------
    line : Line
    read_part : callable
        Reads the text of one part; raises `CannotRead`.
    fits : callable
        How well a result fits what is asked: `OF_ANOTHER_KIND`, `BARE`, `OF_THE_KIND_ASKED`, or more where it is named so.
    enough : int
        How well a claim must fit to go before a reason that fits as well.

    Raises
    ------
    CannotRead
        If no part can be read: what stands in the way of the first.
    """
    error: CannotRead | None = None

    def attempts(parts: list[Part], kinds: set[Kind]) -> Iterator[Attempt]:
        nonlocal error
        for part in parts:
            if part.kind in kinds:
                try:
                    result = read_part(_bare(line, part))
                except CannotRead as found:
                    error = error or found
                else:
                    yield Attempt(part, result, fits(result))

    statements = _statements(line.parts)
    for least, kinds in (
        (BARE, CLAIMS),
        (OF_THE_KIND_ASKED, {Kind.REASON}),
        (OF_ANOTHER_KIND, CLAIMS),
        (OF_ANOTHER_KIND, {Kind.REASON}),
    ):
        for parts in reversed(statements):
            found = [one for one in attempts(parts, kinds) if one.fits >= least]
            if found:
                best = max(found, key=lambda one: (one.fits, one.part.kind is Kind.CONCLUSION, one.part.start))
                if best.part.kind is not Kind.CONCLUSION:
                    best = next(one for one in found if one.fits == best.fits)
                reasons = [] if Kind.REASON in kinds else [*attempts(parts, {Kind.REASON})]
                if best.fits < enough:  # 5 V at first, falling as 5e^(-9t) V
                    best = next((one for one in reasons if one.fits >= enough), best)
                return best, [
                    one for one in (*found, *reasons, *attempts(parts, {Kind.ANOTHER_TIME})) if one is not best
                ]
    raise error or CannotRead("no-value")


CLAIMS = {Kind.CLAIM, Kind.CONCLUSION, Kind.CORRECTION}
TRIED = frozenset({Kind.CLAIM, Kind.CONCLUSION, Kind.REASON})
"""Kinds of parts that may be the answer, and are told where they are not and could not be read."""


def _statements(parts: tuple[Part, ...]) -> list[list[Part]]:
    """What stands between corrections."""
    found: list[list[Part]] = [[]]
    for part in parts:
        if part.kind is Kind.CORRECTION:
            found.append([])
        found[-1].append(part)
    return found


def _bare(line: Line, part: Part) -> str:
    """The line with this part alone, without the marks that set it apart."""
    text = line.only(part)
    inner = _DANGLING.sub("", _LEADING.sub("", text.rstrip()))
    start = text.find(inner)
    return " " * start + inner


_LEADING = regex(r"\A(?:[:,;\s]|\.(?![0-9]))*")
_DANGLING = regex(r"(?:[:,;\s]|\s-+|\b(?:plus|minus|and|but|or)\b)+$")
"""What ends a part and belongs to the words behind it: ``14 mA, plus because …``."""


def left_over(line: Line, chosen: Attempt, others: list[Attempt], question: Question) -> Aside:
    """The parts that are not the answer; of these that were not read, what they say."""
    corrected = max(
        (part.start for part in line.parts if part.kind is Kind.CORRECTION and part.start <= chosen.part.start),
        default=0,
    )
    read = {chosen.part, *(other.part for other in others)}
    unread = [part for part in line.parts if part.kind in TRIED and part.start >= corrected and part not in read]
    beside = [part for part in line.parts if part is not chosen.part]
    notes = [SET_ASIDE[part.kind] for part in beside if part.kind in SET_ASIDE and part.kind is not Kind.CORRECTION]
    notes += [SET_ASIDE[Kind.CORRECTION]] * bool(corrected)
    remarks = tuple(line.text[part.start : part.end].strip(" ,;:.") for part in unread)
    dropped = _may_be_meant(line, chosen, unread, beside, question)
    return Aside((*dict.fromkeys(notes), *map(ignored, remarks)), remarks, dropped)


def _may_be_meant(line: Line, chosen: Attempt, unread: list[Part], beside: list[Part], question: Question) -> bool:
    """Whether parts that are not the answer hold what may be: such as could not be read and give no working, or a function of t.

    Where what was read is of another kind than asked, working and what is said of another instant may be the answer, too.
    """
    working = {Kind.REASON} | ({Kind.CLAIM} if chosen.part.kind is Kind.CONCLUSION else set())
    telling = [part for part in unread if part.kind not in working]
    if question.expects == "value" and chosen.fits == OF_ANOTHER_KIND:  # R1 (C1 and C2 one after the other)
        telling += [part for part in beside if part.kind in {Kind.WORKING, Kind.ANOTHER_TIME}]
    if any(matters(line.only(part), question, chosen.result[0].tree) for part in telling):
        return True
    another_time = (line.only(part) for part in beside if part.kind is Kind.ANOTHER_TIME)
    return question.expects == "expression" and any(map(is_response, another_time))


def names_in(tree: Node) -> set[str]:
    """The names that a tree uses."""
    return {node.name for node in walk(tree) if isinstance(node, Name)}
