"""A rubric written as a file: the tables of one problem with other values, and the text of a whole rubric."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from grader.circuit.elements import CurrentSource, VoltageSource
from grader.problem import Item, Problem
from grader.quantities.design import level_of
from grader.rubric.personal import written
from grader.rubric.variation import STATED
from grader.rubric.wording import Size, changes, named, said_anew, sizes, without_settings
from grader.values.waveform import number_of

Tables = Mapping[str, Any]
"""What the TOML reader gives."""

OWN_WORDS = ("title", "text", "hint")
"""Texts in which a value may be named."""


def written_problem(own: Tables, before: Problem, varied: Problem, id: str) -> dict[str, Any]:
    """A problem's tables with other values and another id, also where its texts name them; without answers to the old ones."""
    anew = changes(before, varied)
    elements = [_element(one, varied) for one in own["element"]]
    items = [_item(item, without_settings(anew, _asked_by(item, before))) for item in own["item"]]
    return {**_reworded(own, anew), "id": id, "element": elements, "item": items}


def _asked_by(own: Tables, problem: Problem) -> Iterator[Item]:
    """What a table asks for: one item, or one for each of several instants."""
    ids = {f"{own['id']}-{number}" for number in range(1, len(own.get("at", ())) + 1)} | {str(own["id"])}
    return (item for item in problem.items if item.id in ids)


def _element(own: Tables, varied: Problem) -> dict[str, Any]:
    assert varied.circuit is not None
    text = dict(varied.values).get(str(own["name"]))
    element = varied.circuit.element(str(own["name"]))
    if "value" in own:
        return {**own, "value": text}
    if "step" in own and isinstance(element, (VoltageSource, CurrentSource)) and level_of(element.drive) is not None:
        levels = [number_of(waveform) for _, waveform in element.drive.pieces]
        texts = dict(zip(("before", "after"), (written(level, element.dimension) for level in levels), strict=True))
        return {**own, "step": {key: texts.get(key, value) for key, value in own["step"].items()}}
    return dict(own)


def sizes_of(element: Tables) -> tuple[str, ...]:
    """The value of an element as written, of a step those before and after it; none of a waveform, nor where it has none."""
    stated = {"value": element.get("value"), **element.get("step", {}), "at": None}
    return tuple(str(size) for size in stated.values() if size is not None)


def _reworded(table: Tables, anew: Mapping[Size, str]) -> dict[str, Any]:
    return {key: said_anew(value, anew) if key in OWN_WORDS else value for key, value in table.items()}


def left_in_texts(before: Problem, after: Problem, changed: Tables) -> Iterator[tuple[str, str]]:
    """What of a changed problem's tables still names a value that no element has any more, and how.

    A title, text or hint keeps a value that two elements had; what an instructor states, as a key or an option, is never reworded.
    """
    gone = {*sizes(before)}.difference(sizes(after))
    for of, table in (("", changed), *((f"{item['id']}: ", item) for item in changed["item"])):
        for name in (*OWN_WORDS, *(("key", "options") if table.get("find") in STATED else ())):
            yield from ((f"{of}{name}", how) for size, how in named(str(table.get(name, ""))) if size in gone)


def _item(own: Tables, anew: Mapping[Size, str]) -> dict[str, Any]:
    stated = own["find"] in STATED
    held = ("key", "accept", "known_wrong")
    return {key: value for key, value in _reworded(own, anew).items() if stated or key not in held}


def written_rubric(tables: Tables, problems: Sequence[Tables]) -> str:
    """The text of a rubric with these problems, title and settings as in another's tables."""
    return "\n".join([*_head(tables), *(line for problem in problems for line in _problem(problem)), ""])


def _head(tables: Tables) -> Iterator[str]:
    sections = {key: value for key, value in tables.items() if isinstance(value, dict)}
    yield from _lines(tables, without=("problem", *sections))
    for key, value in sections.items():
        yield from ("", f"[{key}]", *_lines(value))


def _problem(problem: Tables) -> Iterator[str]:
    yield from ("", "[[problem]]", *_lines(problem, without=("element", "item")))
    if "element" in problem:
        yield from ("element = [", *(f"  {_inline(element)}," for element in problem["element"]), "]")
    for item in problem["item"]:
        yield from ("", "[[problem.item]]", *_lines(item))


def _lines(table: Tables, without: Sequence[str] = ()) -> Iterator[str]:
    """A line for each key; texts of several lines as they are read."""
    for key, value in table.items():
        if key not in without:
            long = isinstance(value, str) and "\n" in value
            text = f'"""\n{_string(value, keep_lines=True)}"""' if long else _inline(value)
            yield f"{_key(key)} = {text}"


def _inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(key)} = {_inline(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return f"[{', '.join(map(_inline, value))}]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{_string(value)}"' if isinstance(value, str) else str(value)


def _string(text: str, *, keep_lines: bool = False) -> str:
    parts = text.split("\n") if keep_lines else [text]
    return "\n".join(json.dumps(part, ensure_ascii=False)[1:-1].replace("\x7f", "\\u007f") for part in parts)


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else f'"{_string(key)}"'
