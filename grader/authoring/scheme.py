"""A mark scheme for those who mark by hand: every answer, what its parts are worth, and what the likeliest wrong ones earn.

What a wrong answer earns is found as for a student: by marking it.
"""

import re
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import NamedTuple

from flint import fmpq

from grader.authoring.wrong import Expected, expected
from grader.ideas.catalogue import slips
from grader.marking.credit import percent
from grader.marking.itemkey import ItemKey
from grader.marking.key import Key
from grader.marking.mark import mark_upload
from grader.problem import Item
from grader.quantities import Answer
from grader.quantities.intervals import range_text
from grader.quantities.records import EQUATION
from grader.reading.render.typeset import equation_mathml, pieces_mathml
from grader.reading.render.waveform_tree import answer_tree, number_tree, value_tree
from grader.reading.tree import Node, WaveformPiece
from grader.rubric.formatting import answer_text
from grader.rubric.references import Reference
from grader.uploads.upload import Upload, Written
from grader.values.dimension import TIME
from grader.values.scalar import ZERO, to_float
from grader.values.waveform import Piecewise, Waveform

MOST = 4
"""Wrong answers listed for an item, besides as many as the rubric foresees."""


class Wrong(NamedTuple):
    """A wrong answer, why it may be given, and the points it earns where nothing is answered before it.

    ``value`` is what a formula of names comes to, as it will stand on a paper; "" where the answer is no formula.
    """

    text: str
    why: str
    points: float
    mathml: tuple[str, ...] = ()
    value: str = ""


class ItemScheme(NamedTuple):
    """One item: its answer as text and (where it is no word) as MathML in pieces, further right ones, points by part (of an expression), wrong answers."""

    answer: str
    mathml: tuple[str, ...]
    accepted: tuple[str, ...]
    parts: tuple[tuple[str, float], ...]
    wrong: tuple[Wrong, ...]


def scheme(key: Key) -> dict[tuple[str, str], ItemScheme]:
    """The scheme of every item, by problem and item id."""
    found = tuple(key.item(problem.id, item.id).reference for problem in key.rubric.problems for item in problem.items)
    return {
        reference.place: _item(
            key, reference, tuple(Wrong(one.text, one.mistake.title, 0.0) for one in _one_each(likely))
        )
        for reference, likely in expected(key.rubric, found)
    }


def _one_each(likely: Iterable[Expected]) -> Iterator[Expected]:
    """The first answer of each mistake; what happens to anybody once (a sign, a power of ten) has a price of its own."""
    seen = set(slips())
    for one in likely:
        if one.mistake.id not in seen:
            seen.add(one.mistake.id)
            yield one


def costs(key: Key) -> str:
    """What a sign, a power of ten and a unit cost, where that is the same for all items; "" where it is not."""
    settings = [item.marking for problem in key.rubric.problems for item in problem.items]
    found = {(one.sign_costs, one.prefix_costs, one.unit_costs) for one in settings}
    if len(found) != 1:
        return ""
    sign, power, unit = map(percent, found.pop())
    return (
        f"A wrong sign alone costs {sign} of an item's points, a wrong power of ten {power}, "
        f"a missing or wrong unit {unit} of what the answer earns."
    )


def _item(key: Key, reference: Reference, likely: tuple[Wrong, ...]) -> ItemScheme:
    item = key.rubric.problem(reference.problem).item(reference.item)
    entry = key.item(reference.problem, item.id)
    foreseen = tuple(
        Wrong(one.answer, one.comment or "foreseen in the rubric", 0.0, value=_value(one.answer, read.answer, entry))
        for one, read in zip(item.known_wrong, entry.foreseen, strict=True)
    )
    return ItemScheme(
        answer=reference.text,
        mathml=typeset(reference),
        accepted=item.accept,
        parts=tuple(_parts(entry)),
        wrong=tuple(islice(_earning(key, reference, item, (*foreseen, *likely)), len(foreseen) + MOST)),
    )


def _parts(entry: ItemKey) -> Iterator[tuple[str, float]]:
    """The points by part, of a response those of every interval; none where there is one part alone."""
    whole = sum(weight for _, weight in entry.parts)
    if len(entry.parts) > 1:
        yield from ((name, entry.points * weight / whole) for name, weight in entry.parts)
    for one in entry.intervals:
        (first, points), *others = [*_parts(one)] or [("all", one.points)]
        yield f"{range_text(one.reference.start or ZERO, one.reference.end)}: {first}", points
        yield from others


def _value(text: str, answer: Answer, entry: ItemKey) -> str:
    """The value of an answer in which names stand."""
    reference = entry.reference
    named = not entry.values.keys().isdisjoint(re.findall(r"\w+", text))
    return answer_text(answer, reference.unit, reference.dimension, reference.start) if named else ""


def _earning(key: Key, reference: Reference, item: Item, wrong: tuple[Wrong, ...]) -> Iterator[Wrong]:
    """The answers that are not right, with what they earn; of those that are read alike the first."""
    seen: set[str] = set()
    for one in wrong:
        answer = Written(problem=reference.problem, item=item.id, text=one.text)
        upload = Upload(file="", digest="", student=None, answers=(answer,))
        place = (reference.problem, item.id)
        (mark,) = (mark for mark in mark_upload(key, upload).marks if mark.place == place)
        if mark.awarded < item.points and mark.reading not in seen:
            seen.add(mark.reading)
            typeset = mark.reading_mathml and isinstance(reference.answer, Waveform)
            yield one._replace(points=mark.awarded, mathml=(mark.reading_mathml,) if typeset else ())


def typeset(reference: Reference) -> tuple[str, ...]:
    """The answer as mathematics, in pieces between which it may break; none for words and equations, whose text says it."""
    answer, unit, dimension = reference.answer, reference.unit, reference.dimension
    if isinstance(answer, Piecewise):
        return pieces_mathml(
            WaveformPiece(answer_tree(piece, unit, dimension, start), *map(_instant, (start, end)))
            for start, end, piece in answer.stretches()
        )
    if not isinstance(answer, Waveform) or reference.kind == EQUATION:
        return ()
    return equation_mathml([answer_tree(answer, unit, dimension, reference.start, reference.figures)])


def _instant(time: fmpq | None) -> Node | None:
    return None if time is None else number_tree(0.0) if time == 0 else value_tree(to_float(time), TIME)
