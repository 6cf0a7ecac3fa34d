"""From the item tables of a rubric file to items.

`ITEM_KEYS` says what each key means; the catalogue `grader.quantities` says which of `FIND_KEYS`, and which of its own, a
``find`` needs and allows.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import (
    SIGNAL_KINDS,
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    CoupledInductors,
    IdealOpAmp,
    Inductor,
    Signal,
)
from grader.problem import Goal, Item, KnownWrong, Marking, MarkingSetting, Problem, settings
from grader.quantities import FINDS, Asked, asked
from grader.quantities.finds.element_value import RELATIONS
from grader.quantities.formulas import INSTANTS, is_formula, known_names
from grader.quantities.names import NamedValue
from grader.quantities.quantities import is_share, share_of
from grader.quantities.records import EXPRESSION, SIGNAL, TRANSFORM, VALUE
from grader.quantities.second_order import CRITICAL
from grader.quantities.words import after_switching
from grader.reading.words import APART
from grader.regex import regex
from grader.rubric.table import CheckedTable, Location, nearest, shown
from grader.rubric.values import Values
from grader.values.dimension import NUMBER, TIME
from grader.values.scalar import Scalar, to_float
from grader.values.text import value_text

DAMPING = "damping type"

PARTS = (
    "initial value",
    "final value",
    "time constant",
    "frequency",
    "initial slope",
    "forced part",
    "coefficients",
    "form",
)
"""What an expression's points may be split by."""

PARTS_IN_S = ("poles", "zeros", "gain", "delays")
"""What those of a function of s may be split by."""

_KEYS = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))

ITEM_KEYS: dict[str, str] = _KEYS["every"] | _KEYS["some"]
"""Keys of an item besides its signal, the settings of marking and what a find has of its own, with their meanings."""

FIND_KEYS = (*SIGNAL_KINDS, *_KEYS["some"])
"""Those that only some finds have."""


FORMER_NAMES = {"unit_penalty": "unit_costs", "sign_penalty": "sign_costs", "prefix_penalty": "prefix_costs"}
"""Keys of ``[marking]`` under the name they had in rubrics written earlier, and their name today."""

_ID = regex(r"[A-Za-z0-9_][A-Za-z0-9_-]{0,39}")


class Setting(Struct, frozen=True, kw_only=True):
    """What an item's table is read against: the problem (still without items), its values, the rubric's marking.

    ``has_circuit`` holds even where a fault left no circuit to build.
    """

    problem: Problem
    values: Values
    marking: Marking
    has_circuit: bool


def read_id(table: CheckedTable) -> str:
    """An id: what a student writes before a colon."""
    text = table.written("id")
    table.require("id")
    if text is None:
        return ""
    if not _ID.fullmatch(text):
        table.place.fault(
            f"the id {shown(text)} must hold letters, digits, '-' and '_' only (at most 40), as in \"final_current\""
        )
    return text


def read_marking(table: CheckedTable, default: Marking) -> Marking:
    """The keys of ``[marking]`` in a table, over those already set.

    A wider ``tolerance`` widens ``followed_tolerance`` with it, unless that is set too.
    """
    for former, name in FORMER_NAMES.items():
        if former in table.content and table.has(former):
            table.place.fault(f"'{former}' is called '{name}' now; write '{name}' in its place")
    tolerance = table.share("tolerance", default.tolerance)
    default = replace(default, followed_tolerance=max(default.followed_tolerance, tolerance))
    return replace(default, **{one.name: _set(table, one, getattr(default, one.name)) for one in settings()})


def _set(table: CheckedTable, setting: MarkingSetting, default: Any) -> Any:
    name = setting.name
    if setting.words:
        return table.one_of(name, setting.words, default)
    if isinstance(default, bool):
        return table.flag(name, default)
    return table.whole(name, default, most=15) if isinstance(default, int) else table.share(name, default)


def read_item(content: Mapping[str, Any], place: Location, setting: Setting) -> Item | None:
    """One item; None where it cannot be told what it asks."""
    table = CheckedTable(content, place)
    id = read_id(table)
    find = table.text("find", needed=True)
    if find not in FINDS:
        if find:
            place.fault(f"there is nothing to find called {shown(find)}{nearest(find, FINDS)}")
        return None
    entry = asked(find)
    _check_keys(table, entry)
    if entry.circuit and not setting.has_circuit:
        place.fault(f"'{find}' is found from a circuit, and the problem has no elements")
    circuit = setting.problem.circuit
    signal = _signal(table, circuit) if SIGNAL in entry.needs else None
    after = setting.values.instant(table, "after", known_names(setting.problem, None))
    names = known_names(setting.problem, after)
    level = _level(table, signal, setting.values, names)
    item = Item(
        id=id,
        find=find,
        points=table.number("points", needed=True),
        signal=signal,
        after=after,
        at=setting.values.instant(table, "at", names),
        start=setting.values.instant(table, "from", names),
        until=setting.values.instant(table, "until", names),
        level=None if isinstance(level, str) else level,
        level_share=share_of(level) if isinstance(level, str) else None,
        formulas=() if place.faults else tuple(_formulas(table, signal)),
        of=_elements(table, "of", circuit),
        between=_pair(table, circuit),
        by=next(iter(_elements(table, "by", circuit)), None),
        options=table.all_written("options") or entry.offered,
        key=APART.join(table.all_written("key")) or None,
        parts=_parts(table),
        text=table.text("text"),
        hint=table.text("hint"),
        accept=table.all_written("accept"),
        known_wrong=_known_wrong(table),
        settings=tuple((key, table.written(key) or "") for key in _settings(entry) if table.has(key)),
        goal=_goal(table, id, setting, names),
        marking=read_marking(table, setting.marking),
    )
    table.finish()
    _check_parts(item, entry.kind(setting.problem, item), place)
    for sentence in entry.faults(setting.problem, item):
        place.fault(sentence)
    if item.text or place.faults:  # what is wrong may be just what the text is made of
        return item
    return replace(item, text=entry.text(setting.problem, item))


def _check_parts(item: Item, kind: str, place: Location) -> None:
    """Parts that an answer of the kind does not have."""
    if item.parts and kind not in (EXPRESSION, TRANSFORM):
        place.fault(f"'parts' split the points of an expression or a transform; '{item.find}' is answered by a {kind}")
        return
    right = PARTS_IN_S if kind == TRANSFORM else PARTS
    for name, _ in item.parts:
        if name not in right:
            place.fault(
                f"'parts': there is no {shown(name)} in the answer to '{item.find}'; its parts are {', '.join(right)}"
            )


def _settings(entry: Asked) -> tuple[str, ...]:
    """Keys of an entry's own (the turns of a coil)."""
    general = {*FIND_KEYS, "key", SIGNAL}
    return tuple(key for key in (*entry.needs, *entry.allows) if key not in general)


def _check_keys(table: CheckedTable, entry: Asked) -> None:
    """Keys that the find needs and that are missing, or that mean nothing for it."""
    for key in entry.needs:
        if key == SIGNAL:
            if not any(table.has(kind) for kind in SIGNAL_KINDS):
                table.place.fault(f'\'{entry.name}\' needs a signal, as in current = "L1" or voltage = ["a", "b"]')
        elif not table.has(key):
            table.place.fault(f"'{entry.name}' needs '{key}'")
    fitting = {*entry.needs, *entry.allows, *(SIGNAL_KINDS if SIGNAL in entry.needs else ())}
    for key in FIND_KEYS:
        if table.has(key) and key not in fitting:
            right = "write 'until'" if key == "at" and "until" in fitting else "leave it out"
            table.place.fault(f"'{key}' means nothing for '{entry.name}'; {right}")


STORED = ("energy", "charge", "flux")
"""Signals that storage elements alone have."""


def _signal(table: CheckedTable, circuit: Circuit | None) -> Signal | None:
    kinds = [kind for kind in SIGNAL_KINDS if table.has(kind)]
    if len(kinds) != 1:
        if kinds:
            table.place.fault(f"{' and '.join(kinds)} are named; an item asks for one signal")
        return None
    kind = kinds[0]
    names = table.names(kind)
    if len(names) == 2 and kind == "voltage":
        _check_nodes(table, kind, names, circuit)
        return Signal(kind=kind, of=(names[0], names[1]))
    if len(names) != 1:
        right = "an element or two nodes" if kind == "voltage" else "one element"
        table.place.fault(f"'{kind}' must name {right}")
        return None
    fitting = [one.kind for one in (Capacitor, Inductor) if kind in one.lasting] if kind in STORED else []
    _elements(table, kind, circuit)
    if circuit is not None:
        element = next((one for one in circuit.elements if one.name == names[0]), None)
        if element is not None and fitting and element.kind not in fitting:
            table.place.fault(f"'{kind}' is that of a {' or '.join(fitting)}; {shown(names[0])} is none")
        if isinstance(element, (CoupledInductors, IdealOpAmp, ChangeoverSwitch)):
            table.place.fault(f"'{kind}' needs an element with two ends; {shown(names[0])} has not")
    return Signal(kind=kind, of=names[0])


def _pair(table: CheckedTable, circuit: Circuit | None) -> tuple[str, str] | None:
    names = table.names("between", 2)
    if len(names) != 2:
        return None
    _check_nodes(table, "between", names, circuit)
    if names[0] == names[1]:
        table.place.fault(f"'between' must name two different nodes, not {shown(names[0])} twice")
    return names[0], names[1]


def _check_nodes(table: CheckedTable, key: str, names: tuple[str, ...], circuit: Circuit | None) -> None:
    for node in names:
        if circuit is not None and node not in circuit.nodes:
            table.place.fault(f"'{key}': there is no node {shown(node)}{nearest(node, circuit.nodes)}")


def _elements(table: CheckedTable, key: str, circuit: Circuit | None) -> tuple[str, ...]:
    """Names of elements, each of which must be there."""
    names = table.names(key)
    known = [] if circuit is None else [element.name for element in circuit.elements]
    for name in names:
        if circuit is not None and name not in known:
            table.place.fault(f"'{key}': there is no element {shown(name)}{nearest(name, known)}")
    return names


def _level(
    table: CheckedTable, signal: Signal | None, values: Values, names: Sequence[NamedValue]
) -> Scalar | str | None:
    """The value to be reached, in the signal's own unit; as written where it is a share of the whole change."""
    if not table.has("level") or signal is None:
        return None
    text = table.written("level") or ""
    if text.endswith("%"):
        if is_share(text):
            return text
        table.place.fault(f"'level' must be between 0 % and 100 % of the whole change, not {shown(text)}")
        return None
    return values.formula(table, "level", signal.dimension, names)


def _formulas(table: CheckedTable, signal: Signal | None) -> Iterator[tuple[str, str]]:
    """Instants, and a level that is no share, which hold for one set of values alone."""
    for key in (*INSTANTS, "level"):
        text, dimension = table.written(key), TIME if signal is None or key in INSTANTS else signal.dimension
        if text is not None and not (key == "level" and is_share(text)) and is_formula(text, dimension):
            yield key, text


def _goal(table: CheckedTable, id: str, setting: Setting, names: Sequence[NamedValue]) -> Goal | None:
    """What an element is designed for: an item of its own, but for the target in place of points."""
    wanted = table.table("so_that")
    if wanted is None:
        return None
    relations = [relation for relation in RELATIONS if wanted.has(relation)]
    if len(relations) != 1:
        wanted.place.fault("a target is missing, or there are several; write one of is, at_least, at_most")
        return None
    (relation,) = relations
    content = {key: value for key, value in wanted.content.items() if key != relation}
    critical = wanted.content.get("find") == DAMPING and wanted.content[relation] == CRITICAL
    if critical:  # a damping ratio of 1, which can be missed by a little
        content["find"] = "damping ratio"
    item = read_item({**content, "id": id or "goal", "points": 0}, wanted.place, setting)
    if item is None or setting.problem.circuit is None:
        return None
    entry = asked(item.find)
    dimension = entry.dimension(setting.problem, item)
    if entry.kind(setting.problem, item) != VALUE or dimension is None or item.goal is not None:
        wanted.place.fault(f"'{item.find}' has no single value to be met; {DAMPING} may be '{CRITICAL}'")
        return None
    if critical:
        words = f"Response{after_switching(setting.problem, item)}"
        return Goal(item=replace(item, text=words), relation=relation, target=fmpq(1), text=CRITICAL)
    target = setting.values.plain(wanted, relation, dimension, names)
    if target is None:
        return None
    written = wanted.written(relation) or ""
    return Goal(
        item=item,
        relation=relation,
        target=target,
        text=value_text(to_float(target), dimension) if dimension != NUMBER else written,
        formula=written if is_formula(written, dimension) else "",
    )


def _parts(table: CheckedTable) -> tuple[tuple[str, float], ...]:
    parts = table.table("parts")
    if parts is None:
        return ()
    split = tuple((name, parts.number(name)) for name in (*PARTS, *PARTS_IN_S) if parts.has(name))
    parts.finish()
    return split


def _known_wrong(table: CheckedTable) -> tuple[KnownWrong, ...]:
    found = []
    for number, content in enumerate(table.tables("known_wrong"), start=1):
        one = CheckedTable(content, table.place.within(f"known_wrong number {number}"))
        answer = one.written("answer")
        one.require("answer")
        found.append(
            KnownWrong(
                answer=answer or "",
                share=one.share("share", 0.0),
                comment=one.text("comment"),
                mistake=one.text("mistake"),
            )
        )
        one.finish()
    return tuple(found)
