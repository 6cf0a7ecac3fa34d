"""Reads a rubric file; every fault in it is found at once and told in one sentence.

The format is TOML.  At the top ``title``, ``course``, ``resistors``, ``[marking]`` and one ``[[problem]]`` per problem with ``id``,
``title``, ``text``, ``ground``, its elements (`grader.rubric.elements` lists their keys) and its items
(`grader.rubric.items`).  Values are written as on paper (``"6.8 kohm"``, ``"4k7"``, ``"0.1 uF"``; a plain number is
in SI base units) or as symbols (``"R"``, ``"2*R"``), and decimal numbers stay exact.
"""

import hashlib
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from grader.errors import RubricError
from grader.opening import content_of
from grader.problem import RESISTORS, Item, Marking, Problem, Rubric
from grader.quantities.design import FIND as DESIGN
from grader.quantities.design import UNKNOWN, with_designs
from grader.regex import regex
from grader.rubric.bounds import MAX_KEY_PARTS, bounded_time, working_on
from grader.rubric.circuits import read_circuit
from grader.rubric.items import Setting, read_id, read_item, read_marking
from grader.rubric.personal import coupled
from grader.rubric.table import CheckedTable, Location, shown
from grader.rubric.toml_faults import toml_fault
from grader.rubric.values import Values
from grader.uploads.escaping import visible
from grader.uploads.names import key

MAX_BYTES = 2_000_000
"""Largest rubric file; a course's worth of problems stays far below."""

MAX_ITEMS = 2000
"""Most items of a rubric, for the same reason."""


_LONG_KEY = regex(rf"[\w-](?:[ \t]?\.[ \t]?[\w-]+){{{MAX_KEY_PARTS}}}")


def load_rubric(path: str | Path) -> Rubric:
    """Read and check a rubric file.

    Raises
    ------
    RubricError
        With every fault found: file, problem, item or element, what is wrong and what would be right.
    """
    path = Path(path)
    return read_rubric(_content(path), path.name)


def load_tables(path: Path) -> dict[str, Any]:
    """The content of a rubric file, as the TOML reader gives it, decimal numbers exact; errors as of `load_rubric`."""
    return _toml(_content(path), path.name)


def _content(path: Path) -> bytes:
    try:
        return content_of(path)
    except FileNotFoundError:
        raise RubricError((f"{path}: there is no such file.",)) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise RubricError((f"{path}: the file cannot be read ({reason}); name a rubric file (.toml).",)) from None


def read_rubric(content: bytes, name: str) -> Rubric:
    """`load_rubric` for bytes already read; ``name`` is the file's name, for messages."""
    with bounded_time():
        working_on(name)
        return tables_to_rubric(_toml(content, name), name, hashlib.sha256(content).hexdigest())


def tables_to_rubric(tables: dict[str, Any], name: str, digest: str) -> Rubric:
    """`load_rubric` for the tables of a file."""
    table = CheckedTable(tables, Location(where=name))
    title = table.text("title", needed=True)
    course = table.text("course")
    resistors = table.one_of("resistors", RESISTORS, RESISTORS[0])
    marking = Marking()
    defaults = table.table("marking")
    if defaults is not None:
        marking = read_marking(defaults, marking)
        defaults.finish()
    contents = table.tables("problem")
    if not contents and not table.place.faults:
        table.place.fault("there is no problem in it; each begins with a line [[problem]]")
    problems = tuple(_problem(one, k, table.place, marking, resistors) for k, one in enumerate(contents, start=1))
    _check_ids([problem.id for problem in problems], "problem", table.place)
    if sum(len(problem.items) for problem in problems) > MAX_ITEMS:
        table.place.fault(f"more than {MAX_ITEMS} items are asked; split the file")
    table.finish()
    if table.place.faults:
        raise RubricError(tuple(dict.fromkeys(table.place.faults)))
    return Rubric(title=title, course=course, problems=problems, digest=digest, name=name)


def _toml(content: bytes, name: str) -> dict[str, Any]:
    if len(content) > MAX_BYTES:
        raise RubricError((f"{name}: the file is larger than {MAX_BYTES // 1_000_000} MB; a rubric is a short text.",))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise RubricError((f"{name}, line {line}: the file is not UTF-8 text; save it as UTF-8.",)) from None
    if _LONG_KEY.search(text):
        raise RubricError((f"{name}: this is not a rubric: a key in it has more than {MAX_KEY_PARTS} nested parts.",))
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        line, sentence = toml_fault(text, str(error))
        raise RubricError((visible(f"{name}, line {line}: {sentence}."),)) from None
    except (RecursionError, ValueError, ArithmeticError):  # nested a thousand deep; a number of thousands of digits
        raise RubricError((f"{name}: this is not a rubric: something in it is nested too deep or too long.",)) from None


def _problem(content: dict[str, Any], number: int, place: Location, marking: Marking, resistors: str) -> Problem:
    id = content.get("id")
    here = place.within(f"problem {shown(id)}" if isinstance(id, (str, int)) else f"problem number {number}")
    table = CheckedTable(content, here)
    working_on(here.where)
    first = Values()
    read_circuit(
        CheckedTable(content, Location(where="")), first
    )  # to learn the symbols, whose number is part of every value
    values = Values(tuple(first.found))
    problem = Problem(
        id=read_id(table),
        title=table.text("title"),
        text=table.text("text"),
        circuit=read_circuit(table, values),
        items=(),
        symbols=tuple(first.found),
        values=tuple(values.written.items()),
        resistors=resistors,
    )
    contents = [one for content in table.tables("item") for one in _per_instant(content)]
    if not contents:
        here.fault("nothing is asked; each item begins with a line [[problem.item]]")
    setting = Setting(problem=problem, values=values, marking=marking, has_circuit=bool(content.get("element")))
    items: list[Item] = []
    for k, one in enumerate(contents, start=1):
        item_id = one.get("id")
        where = f"item {shown(item_id)}" if isinstance(item_id, (str, int)) else f"item number {k}"
        working_on(here.within(where).where)
        so_far = replace(setting, problem=replace(problem, items=tuple(items)))
        item = read_item(one, here.within(where), so_far)
        if item is not None:
            items.append(item)
    _check_ids([item.id for item in items], "item", here)
    _check_unknowns(problem, items, here)
    table.finish()
    problem = replace(problem, items=tuple(items))
    return problem if here.faults else with_designs(problem)


def _per_instant(content: dict[str, Any]) -> list[dict[str, Any]]:
    """An item that asks for values at several instants, as an item for each; the points are shared."""
    instants, keys = content.get("at"), content.get("key")
    if content.get("find") != "value at" or not isinstance(instants, list) or not instants:
        return [content]
    points = content.get("points")
    share = Decimal(points) / len(instants) if isinstance(points, (int, Decimal)) else points
    items = []
    for number, instant in enumerate(instants, start=1):
        own = {**content, "id": f"{content.get('id')}-{number}", "at": instant, "points": share}
        if isinstance(keys, list) and len(keys) == len(instants):
            own["key"] = keys[number - 1]
        items.append(own)
    return items


def _check_unknowns(problem: Problem, items: list[Item], place: Location) -> None:
    """Every unknown value is asked once, and of no coil that is coupled to another."""
    asked = [item.of[0] for item in items if item.goal is not None and len(item.of) == 1]
    tied = coupled(problem.circuit) if problem.circuit is not None else frozenset()
    for name in (name for name, text in problem.values if text == UNKNOWN):
        here = place.within(f"element {shown(name)}")
        if asked.count(name) != 1:
            here.fault(f'its value is {UNKNOWN}; ask for it in one item, with find = "{DESIGN}" and of = "{name}"')
        if name in tied:
            here.fault("it is coupled to another coil, so its inductance must be given")


def _check_ids(ids: list[str], what: str, place: Location) -> None:
    """Ids that students could not tell apart: letter case, blanks, hyphens and underscores do not matter in answers."""
    seen: dict[str, str] = {}
    for id in ids:
        before = seen.get(key(id))
        if id and before is not None:
            same = (
                "is used twice"
                if before == id
                else f"is the same as {shown(before)} in an answer, where capitals, blanks, hyphens and underscores do not count"
            )
            place.fault(f"the {what} id {shown(id)} {same}; every {what} needs an id of its own")
        seen[key(id)] = id
