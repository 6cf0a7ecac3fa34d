"""Values that a rubric's texts name: said anew where the elements have others, and what cannot follow them."""

import re
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping
from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Passive, Source
from grader.circuit.network import instants
from grader.problem import Item, Problem
from grader.quantities import asked
from grader.quantities.quantities import quantity
from grader.regex import regex
from grader.rubric.personal import choices, ranges, valued, written
from grader.values.dimension import TIME, Dimension
from grader.values.scalar import Scalar
from grader.values.text import quoted

_AMOUNT = regex(r"(?<![\w.,/])\d[\d.]*(?:/\d+)?\s?[^\W\d_]{1,6}\d*(?!\w)")
"""A number and what may be its unit, as texts write them."""


class Size(NamedTuple):
    """A value that is told with its unit, in SI base units."""

    dimension: Dimension | None
    value: Scalar


def sizes(problem: Problem, without: Container[str] = ()) -> tuple[Size, ...]:
    """The elements' plain values, one after the other; of a source what it delivers, piece by piece, but for nothing."""
    found: list[Size] = []
    for element in () if problem.circuit is None else problem.circuit.elements:
        if element.name in without:
            continue
        if isinstance(element, Passive):
            found.append(Size(element.dimension, element.value))
        elif isinstance(element, Source):
            pieces = (piece.number for _, piece in element.drive.pieces if piece.is_number)
            found += [Size(element.dimension, level) for level in pieces if level != 0]
    return tuple(found)


def named(text: str) -> Iterator[tuple[Size, str]]:
    """The values that a text names, and how."""
    for found in _AMOUNT.finditer(text):
        size = _size(found[0])
        if size is not None:
            yield size, found[0]


def _size(text: str) -> Size | None:
    try:
        found = quantity(text, None)
    except ValueError:
        return None
    return Size(found.dimension, found.waveform.number) if found.dimension and found.waveform.is_number else None


def changes(before: Problem, after: Problem) -> dict[Size, str]:
    """Values that the elements no longer have, and what they have now; one that several had may mean any of them and stays."""
    olds, news = sizes(before), sizes(after)
    several = Counter(olds)
    return {
        old: written(new.value, new.dimension)
        for old, new in zip(olds, news, strict=True)
        if old != new and several[old] == 1 and isinstance(new.value, fmpq) and new.dimension is not None
    }


def without_settings(anew: Mapping[Size, str], items: Iterable[Item]) -> dict[Size, str]:
    """Those changes that touch nothing which items ask for whatever the values are."""
    kept = {size for item in items for _, size in settings(item)}
    return {old: new for old, new in anew.items() if old not in kept}


def said_anew(text: str, anew: Mapping[Size, str]) -> str:
    """A text that names the new values."""

    def new(found: re.Match[str]) -> str:
        size = _size(found[0])
        return found[0] if size is None else anew.get(size, found[0])

    return _AMOUNT.sub(new, text) if anew else text


def reworded(problem: Problem, before: Problem) -> Problem:
    """A problem whose texts name the values that its elements have now; what was made of its items' settings is true anyhow."""
    anew = changes(before, problem)
    items = tuple(_item(item, problem, without_settings(anew, [item])) for item in problem.items)
    return replace(problem, title=said_anew(problem.title, anew), text=said_anew(problem.text, anew), items=items)


def _item(item: Item, problem: Problem, anew: Mapping[Size, str]) -> Item:
    text = said_anew(item.text, anew) if _is_own(problem, item) else item.text
    return replace(item, text=text, hint=said_anew(item.hint, anew))


def _is_own(problem: Problem, item: Item) -> bool:
    return item.text != asked(item.find).text(problem, item)


def settings(item: Item) -> Iterator[tuple[str, Size]]:
    """Level and instants that are the same whatever the elements' values are, by their keys."""
    formulas = dict(item.formulas)
    times = (("at", item.at), ("from", item.start), ("until", item.until))
    yield from ((key, Size(TIME, time)) for key, time in times if time and key not in formulas)
    if isinstance(item.level, fmpq) and item.signal is not None and "level" not in formulas:
        yield "level", Size(item.signal.dimension, item.level)


def unsaid(problem: Problem, item: Item) -> tuple[str, ...]:
    """Keys of settings that hold for these values alone, for all a student can read: no text says what they are.

    Where the level is "as large as the other voltage", it is another one with other values.
    """
    if problem.circuit is None or not _is_own(problem, item):
        return ()
    said = {size for text in (problem.text, item.text) for size, _ in named(text)}
    said |= {Size(TIME, time) for time in instants(problem.circuit)}
    return tuple(key for key, size in settings(item) if size not in said and size.value != 0)


def is_formula_of(problem: Problem, text: str) -> bool:
    """Whether an answer that the instructor wrote names an element, and holds whatever its value is."""
    return _names(text, () if problem.circuit is None else [element.name for element in problem.circuit.elements])


def follows_values(problem: Problem, text: str) -> bool:
    """Whether a key is a formula of elements or of other items, whose values it follows."""
    return is_formula_of(problem, text) or _names(text, [item.id for item in problem.items])


def _names(text: str, names: Iterable[str]) -> bool:
    return any(re.search(rf"(?<![\w.]){re.escape(name)}(?!\w)", text) for name in names)


def stuck(problem: Problem) -> Iterator[str]:
    """Sentences on what does not follow the values of a problem where these are others."""
    for item in problem.items:
        written = {"accept": item.accept, "known_wrong": [known.answer for known in item.known_wrong]}
        plain = [key for key, answers in written.items() if not all(is_formula_of(problem, one) for one in answers)]
        if plain and problem.circuit is not None and not asked(item.find).key_is_answer:
            yield (
                f"{quoted(plain)} of '{item.id}' hold{'s an answer' if len(plain) == 1 else ' answers'} with these values alone, and practice goes without it; "
                "a formula of the elements' names holds there, too."
            )
        if keys := unsaid(problem, item):
            yield (
                f"{quoted(keys)} of '{item.id}' is a value that its text does not name, and stays where elements have others, "
                "which practice avoids and 'grader vary' does not; write it as a formula of the elements' names."
            )
    several = Counter(sizes(problem))
    texts = {"its text": problem.text} | {
        f"the text of '{item.id}'": item.text for item in problem.items if _is_own(problem, item)
    }
    for where, text in texts.items():
        both = dict.fromkeys(how for size, how in named(text) if several[size] > 1)
        if both:
            yield (
                f"{where} names {', '.join(both)}, which several elements have; practice and 'grader vary' cannot tell "
                "which is meant, and leave it where values are others."
            )
    yield from _personal(problem, texts)


def _personal(problem: Problem, texts: Mapping[str, str]) -> Iterator[str]:
    """What is the same for everybody where values are not."""
    if problem.circuit is None or not (spans := ranges(problem)):
        return
    fixed = sizes(problem, without=dict(spans))
    drawn: dict[Size, str] = {}
    for name, span in spans:
        kind = valued(problem.circuit.element(name)).dimension
        drawn |= {size: name for value in choices(span, kind) if (size := Size(kind, value)) not in fixed}
    for where, text in texts.items():
        for how, name in {how: drawn[size] for size, how in named(text) if size in drawn}.items():
            yield f"{where} names {how}, but students have a value of {name} of their own."
    levels = [item.id for item in problem.items if "level" in dict(settings(item)) and not unsaid(problem, item)]
    if levels:
        yield (
            f"the level of {quoted(levels)} is the same for everybody, whatever the values are; a formula of the elements' "
            "names would follow them."
        )
