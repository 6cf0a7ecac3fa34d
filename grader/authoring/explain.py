"""The reference of the rubric file, generated from what reads it: topics, element kinds, finds, settings, keys, mistakes."""

import tomllib
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from msgspec import Struct

from grader.authoring.wrong import expected
from grader.circuit.elements import SIGNAL_KINDS, TwoTerminal
from grader.errors import UsageError
from grader.ideas.catalogue import idea_of, ideas
from grader.mistakes.catalogue import catalogue
from grader.mistakes.records import Mistake
from grader.problem import settings
from grader.quantities import FINDS, asked
from grader.quantities.design import UNKNOWN
from grader.quantities.records import CHOICE, CHOICES, EQUATION, EXPRESSION, PERSON, RESPONSE, ROOTS, SIGNAL, TRANSFORM
from grader.quantities.samples import CIRCUITS
from grader.quantities.words import titled
from grader.rubric.files import read_rubric
from grader.rubric.items import ITEM_KEYS
from grader.rubric.references import answered, references
from grader.rubric.table import nearest

TOPIC, KIND, FIND, SETTING, KEY, MISTAKE = "topic", "element kind", "find", "setting", "item key", "mistake"
GROUPS = {
    TOPIC: "how a rubric is written",
    KIND: "what a circuit may hold",
    FIND: "what an item may ask",
    KEY: "keys of an item, besides its signal and the settings of marking",
    SETTING: "how answers are marked: under [marking], or in an item",
    MISTAKE: "wrong lines of reasoning that are recognised",
}
"""The groups of entries, in the order in which they are listed, with what each is about."""


IN_WORDS = {
    EQUATION: "an equation",
    TRANSFORM: "a quotient of polynomials in s, with or without a unit",
    CHOICES: "options by their words or letters",
    PERSON: "whatever a person may judge",
}
"""How an answer is given that has no unit."""


class Entry(Struct, frozen=True, kw_only=True):
    """One thing explained."""

    group: str
    """One of `GROUPS`."""
    name: str
    """As it stands in a rubric; of a mistake its id."""
    says: str
    rows: tuple[tuple[str, str], ...] = ()
    """Keys with their meanings and defaults, and what else there is to say, each under a word."""
    example: str = ""
    """A whole rubric, or of an element kind lines of its ``element`` list; "" for none."""


@cache
def entries() -> tuple[Entry, ...]:
    """Everything there is, group by group."""
    shown = (*_topics(), *_kinds(), *map(_find, FINDS))
    return (*shown, *_item_keys(shown), *_settings(), *map(_mistake, catalogue().values()))


def explained(word: str) -> tuple[Entry, ...]:
    """The entries of a group or of a name; or else all that have the word in their names, among their keys, or in a mistake's title.

    Raises
    ------
    UsageError
        If there is none: with the nearest name.
    """
    wanted = " ".join(word.lower().split())
    group = [entry for entry in entries() if wanted in (entry.group, f"{entry.group}s", entry.group.split()[0])]
    named = [entry for entry in entries() if entry.name.lower() == wanted]
    found = group or named or [entry for entry in entries() if _speaks_of(entry, wanted)]
    if not wanted or not found:
        hint = nearest(wanted, [entry.name for entry in entries()])
        raise UsageError(f"There is nothing called '{word}'{hint}; 'grader explain' lists everything.")
    return tuple(found)


def _speaks_of(entry: Entry, wanted: str) -> bool:
    title = entry.says.lower() if entry.group == MISTAKE else ""
    return wanted in entry.name.lower() or wanted in title or any(wanted == key.lower() for key, _ in entry.rows)


# -- the entries -----------------------------------------------------------------------------------


def _content(room: str, name: str) -> dict[str, Any]:
    return tomllib.loads(files(room).joinpath(name).read_text(encoding="utf-8"))


def _topics() -> Iterator[Entry]:
    for name, one in _content("grader.authoring", "topics.toml").items():
        rows = tuple(one.get("keys", {}).items())
        yield Entry(group=TOPIC, name=name, says=one["says"], rows=rows, example=one.get("example", "").strip())


def _kinds() -> Iterator[Entry]:
    content = _content("grader.rubric", "elements.toml")
    for name, one in content["kind"].items():
        rows = tuple((key, means or content["shared"][key]) for key, means in one["keys"].items())
        yield Entry(group=KIND, name=name, says=one["says"], rows=rows, example=one["example"].strip())


def _find(name: str) -> Entry:
    entry = asked(name)
    meanings = {SIGNAL: f"one of {', '.join(SIGNAL_KINDS)} (see 'signal')"} | ITEM_KEYS | dict(entry.keys)
    needed = tuple((key, f"needed: {meanings[key]}") for key in entry.needs)
    allowed = tuple((key, meanings[key]) for key in entry.allows)
    says = (entry.__doc__ or "").partition("\n\n")[0].replace("``", "'")
    return Entry(group=FIND, name=name, says=says, rows=needed + allowed, example=_rubric(name, _sample_item(name)))


def _item_keys(shown: Sequence[Entry]) -> Iterator[Entry]:
    for name, means in ITEM_KEYS.items():
        needed = [find for find in FINDS if name in asked(find).needs]
        allowed = [find for find in FINDS if name in asked(find).allows]
        rows = (("needed by", ", ".join(needed)), ("allowed by", ", ".join(allowed)))
        example = next(
            (entry.example for entry in shown if f" {name} = " in entry.example.partition("item = [")[2]), ""
        )
        yield Entry(
            group=KEY, name=name, says=f"{titled(means)}.", rows=tuple(row for row in rows if row[1]), example=example
        )


def _settings() -> Iterator[Entry]:
    for name, default, means, words in settings():
        written = f'"{default}"' if words else str(default).lower()
        rows = (("default", written), ("words", ", ".join(f'"{word}"' for word in words)))
        yield Entry(group=SETTING, name=name, says=f"{titled(means)}.", rows=tuple(row for row in rows if row[1]))


def _mistake(mistake: Mistake) -> Entry:
    idea = ideas().get(idea_of(mistake.id) or "")
    rows = (
        ("what is behind it", mistake.idea),
        ("belongs to", "slips: happens to anybody, once" if idea is None else f"the idea '{idea.title}'"),
        ("you are told", mistake.remark),
        ("the student is asked", mistake.nudge),
        ("source", mistake.source.text),
    )
    return Entry(group=MISTAKE, name=mistake.id, says=f"{mistake.title}.", rows=rows)


# -- what is worked out for one entry ---------------------------------------------------------------


def further(entry: Entry) -> Iterator[tuple[str, str]]:
    """Rows that are worked out: how a find is answered and what its answer follows from; where a mistake shows."""
    if entry.group == FIND:
        yield "answered by", _answered_by(entry)
        yield from (("follows from", sources) for sources in _follows_from(entry))
    if entry.group == MISTAKE:
        yield from (("for example", shown) for shown in _shown(entry))


def answers(example: str) -> Iterator[tuple[str, str]]:
    """The answers to an example's items: id and text; none for lines of an ``element`` list."""
    if "[[problem]]" in example:
        yield from ((one.item, one.text) for one in references(read_rubric(example.encode(), "example")))


def _answered_by(entry: Entry) -> str:
    problem = read_rubric(entry.example.encode(), "example").problems[0]
    kind = asked(entry.name).kind(problem, problem.items[0])
    if kind == CHOICE:
        return f"a choice: {', '.join(problem.items[0].options)}"
    if kind in IN_WORDS:
        return IN_WORDS[kind]
    (found,) = references(read_rubric(entry.example.encode(), "example"))
    if asked(entry.name).key_is_answer:
        own = "the unit of its key"
    elif (signal := problem.items[0].signal) and not asked(entry.name).measures and signal.dimension == found.dimension:
        own = "the signal's unit"
    else:
        own = found.unit
    what = {ROOTS: "roots", EXPRESSION: "an expression", RESPONSE: "an expression for each interval"}.get(
        kind, "a value"
    )
    return f"{what} in {own or 'plain numbers'}"


def _follows_from(entry: Entry) -> Iterator[str]:
    """Which earlier answers lead to this one on the circuit of its example, and by which formula where it is one."""
    circuit = asked(entry.name).sample.circuit
    if circuit not in _given():
        return
    rubric = read_rubric(_rubric(entry.name, *_earlier(circuit), _sample_item(entry.name)).encode(), "example")
    items = {item.id: item for item in rubric.problems[0].items}
    found = answered(rubric)[0][-1]
    seen: dict[str, None] = {}
    for rule in found.rules:
        kinds = {name: _of_another(items[id].find, entry.name) for name, id in rule.uses}
        if rule.through:
            seen.setdefault(", ".join(dict.fromkeys(_of_another(items[id].find, entry.name) for id in rule.items)))
        elif rule.step is None and not {"a", "k"} & {name for name, _ in rule.given}:
            seen.setdefault(f"{', '.join(f'{find} {name}' for name, find in kinds.items())}: {rule.formula}")
        else:
            seen.setdefault(", ".join(dict.fromkeys(kinds.values())))
    yield from seen


def _of_another(find: str, own: str) -> str:
    return f"{find} of another signal" if find == own else find


def _earlier(circuit: str) -> Iterator[str]:
    """Items that ask for about everything else on a sample circuit."""
    plain = [find for find in FINDS if asked(find).circuit and not asked(find).needs and not asked(find).sample.item]
    yield from (f'find = "{find}"' for find in plain)
    elements = read_rubric(_rubric("", f'find = "{plain[0]}"', circuit=circuit).encode(), "example").problems[0].circuit
    assert elements is not None
    for find in ("value just before switching", "initial value", "final value", "initial slope", "expression"):
        for element in elements.elements:
            if isinstance(element, TwoTerminal):
                yield from (f'find = "{find}", {kind} = "{element.name}"' for kind in ("current", "voltage"))


def _shown(entry: Entry) -> Iterator[str]:
    """One item of an example to which this mistake gives a wrong answer."""
    for example in _searched():
        rubric = read_rubric(example.encode(), "example")
        for reference, wrong in expected(rubric, answered(rubric)[0], (catalogue()[entry.name],)):
            if wrong:
                problem = rubric.problem(reference.problem)
                values = ", ".join(f"{name} = {text}" for name, text in problem.values)
                yield f"{problem.item(reference.item).text}: {wrong[0].text} in place of {reference.text} ({values})"
                return


def _searched() -> Iterator[str]:
    """Rubrics on which most mistakes show: the finds' samples, the topics' examples, and about everything on each circuit."""
    yield from (_rubric(find, _sample_item(find)) for find in FINDS)
    yield from (entry.example for entry in entries() if entry.group == TOPIC and entry.example)
    yield from (_rubric("", *_earlier(circuit), circuit=circuit) for circuit in _given())


def _given() -> tuple[str, ...]:
    """The sample circuits all of whose values are given."""
    return tuple(name for name, lines in CIRCUITS.items() if UNKNOWN not in lines)


def _sample_item(find: str) -> str:
    keys = (line for line in asked(find).sample.item.splitlines() if line.strip())
    return ", ".join((f'find = "{find}"', *keys))


def _rubric(find: str, *items: str, circuit: str = "") -> str:
    """A rubric with the circuit of a find's sample, or the one named, and these items."""
    lines = [
        line.strip() for line in CIRCUITS.get(circuit or asked(find).sample.circuit, "").splitlines() if line.strip()
    ]
    listed = [f'{{id = "x{k}", points = 1, {item}}},' for k, item in enumerate(items, start=1)]
    element = ['ground = "g"', "element = [", *(f"  {line}" for line in lines), "]"] if lines else []
    head = ['title = "Example"', "[[problem]]", 'id = "p"', *element]
    return "\n".join([*head, "item = [", *(f"  {line}" for line in listed), "]"])
