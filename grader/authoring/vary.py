"""Other values for a problem, of the preferred series, with which its answers come out clean and its mistakes stay apart.

Draws that come out clean (`draws`) are kept where

* every item has an answer of the original's kind and about its size, and every interval the original's damping type;
* no common mistake leads to the right answer that did not with the original values;
* what is written as a rubric vets as clean as the original;
* the wrong answers of two common mistakes lie further apart than the tolerance, unless they do so for none of the values
  that were looked at, nor for the original's: such mistakes make one and the same slip in this circuit.
"""

import random
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any, NamedTuple

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.authoring.draws import CLEAN, FINE, Search, Values
from grader.authoring.written import written_problem, written_rubric
from grader.errors import RubricError, UsageError
from grader.marking.key import Key, build_key
from grader.marking.vetting import check_keys
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import NEGLIGIBLE, Value, relative_deviation
from grader.mistakes.records import REPORTED
from grader.problem import Problem, Rubric
from grader.quantities.records import PERSON
from grader.rubric.files import read_rubric
from grader.rubric.personal import choices, is_range, valued, with_values
from grader.rubric.references import references
from grader.rubric.soundness import soundness
from grader.rubric.variation import near_values

MOST_VETTED = 20
"""Values vetted before giving up, a few tenths of a second each."""

MOST_FAULTS = 3
"""Faults named where no values are sound."""

LEAST = 6
"""Sound values looked at in any case, to tell mistakes that meet by these values from those that always do."""

MOST = 8
"""Sound values looked at for one proposal that is given, where mistakes meet."""


class Proposal(Struct, frozen=True, kw_only=True):
    """Other values: the problem's tables as a rubric holds them, read again, and the answers as text by item id.

    ``clean``: no answer needs more than `FEW` significant digits.
    """

    tables: Mapping[str, Any]
    problem: Problem
    answers: tuple[tuple[str, str], ...]
    clean: bool = False


def proposals(
    rubric: Rubric,
    tables: Mapping[str, Any],
    problem: str,
    ranges: Mapping[str, str],
    *,
    count: int,
    seed: int,
    tell: Callable[[int], None] = lambda _: None,
) -> tuple[Proposal, ...]:
    """Propose values with which no common mistakes meet, the cleanest first; the same for the same call.

    Parameters
    ----------
    rubric : Rubric
        The rubric.
    tables : mapping
        Its file's content, as the TOML reader gives it.
    problem : str
        Id of the problem.
    ranges : mapping of str to str
        Ranges of elements, written as for personal values (``"1 kohm … 10 kohm, E12"``); an element without one takes
        values from half to twice its own.
    count : int
        How many at most.
    seed : int
        Chooses the draws.
    tell : callable
        Called with the number of sound sets of values each time one more was found.

    Raises
    ------
    UsageError
        If a range is wrong, nothing can be varied, or mistakes meet with all values that were found.
    """
    original = rubric.problem(problem)
    own = next(one for one in tables["problem"] if str(one.get("id")) == problem)
    allowed = _allowed(original, own, ranges)
    search = Search(original, allowed, random.Random(seed))  # noqa: S311 - nobody is to be kept from guessing
    before = _Vetted.of(rubric, problem)
    pool: list[_Sound] = []
    vetted = 0
    for values, cost in search.found():
        if (
            vetted == MOST_VETTED
            or len(pool) == MOST * count
            or (len(pool) >= LEAST and sum(not met for met in _met(before, pool)) >= count)
        ):
            break
        if all(_differ(values, other.values) for other in pool):
            vetted += 1
            after = _vetted(rubric, tables, _changed(own, original, values, problem), before)
            if isinstance(after, str):
                search.failed[after] += 1
            else:
                pool.append(_Sound(cost, values, after.alike))
                tell(len(pool))
    if not pool:
        raise UsageError(_none_sound(problem, search))
    met = _met(before, pool)
    kept = sorted((sound for sound, meeting in zip(pool, met, strict=True) if not meeting), key=lambda one: one.cost)
    if not kept:
        raise UsageError(_in_the_way(problem, min(met, key=len), len(pool)))
    changed = [_changed(own, original, one.values, f"{problem}_{k}") for k, one in enumerate(kept[:count], start=1)]
    return tuple(
        replace(_keyed(rubric, tables, one), clean=sound.cost == CLEAN)
        for one, sound in zip(changed, kept, strict=False)
    )


Meeting = frozenset[tuple[str, str, str]]
"""Items, each with two mistakes whose wrong answers lie within the tolerance of each other."""


class _Sound(NamedTuple):
    """Values as sound as the original's, what their answers cost, and which mistakes meet."""

    cost: float
    values: Values
    alike: Meeting


def _met(before: "_Vetted", pool: Sequence[_Sound]) -> list[Meeting]:
    """For each the mistakes that meet by these values alone."""
    always = before.alike.intersection(*(one.alike for one in pool))
    return [one.alike - always for one in pool]


def _none_sound(problem: str, search: Search) -> str:
    said = "; ".join(f"{fault} ({count})" for fault, count in search.failed.most_common(MOST_FAULTS))
    return (
        f"No values were found with which problem '{problem}' is as sound as it is. In the way, with how many of the "
        f"{search.looked_at} sets looked at: {said or 'nothing else to draw'}. Change what is in the way, or give wider ranges (--range) or another --seed."
    )


def _in_the_way(problem: str, met: Meeting, looked_at: int) -> str:
    item, one, other = min(met)
    titles = " and ".join(f"'{catalogue()[id].title}'" for id in (one, other))
    return (
        f"Problem '{problem}': with none of {looked_at} sound sets of values within these ranges do all mistakes stay apart; "
        f"at best {titles} still give answers to '{item}' within the tolerance of each other. Give wider ranges (--range), "
        "a smaller tolerance, or another --seed."
    )


def _differ(one: Values, other: Values) -> bool:
    """Whether two proposals differ in two values at least, or in all there are."""
    return sum(a != b for a, b in zip(one, other, strict=True)) >= min(2, len(one))


def _allowed(problem: Problem, own: Mapping[str, Any], ranges: Mapping[str, str]) -> dict[str, tuple[fmpq, ...]]:
    fixed = {one["name"] for one in own.get("element", ()) if "waveform" in one}
    found = {name: values for name, values in near_values(problem, FINE) if name not in fixed}
    for name, text in problem.values:
        ranges = {name: text, **ranges} if is_range(text) else ranges
    for name, text in ranges.items():
        if name not in found or problem.circuit is None:
            raise UsageError(
                f"'{name}' has no plain value to vary in problem '{problem.id}'; those with one: {', '.join(found)}."
            )
        try:
            found[name] = choices(text, valued(problem.circuit.element(name)).dimension)
        except ValueError as error:
            raise UsageError(f"The range of {name}: {error}.") from None
    if not any(found.values()):
        raise UsageError(f"Problem '{problem.id}' has no plain values to vary.")
    return {name: values for name, values in found.items() if values}


class _Vetted(Struct, frozen=True, kw_only=True):
    """What vetting finds on a problem: remarks, and mistakes that cannot be told from the right answer or each other."""

    remarks: Counter[str]
    """How often it remarks on what, whatever the values."""
    hidden: frozenset[tuple[str, str]]
    alike: Meeting

    @staticmethod
    def of(rubric: Rubric, problem: str) -> "_Vetted":
        key = build_key(replace(rubric, problems=(rubric.problem(problem),)))
        items = [item.id for item in key.rubric.problems[0].items]
        return _Vetted(
            remarks=Counter(_words(one.sentence) for one in (*soundness(key.rubric), *check_keys(key))),
            hidden=frozenset((item, id) for item in items for id in key.diagnoser.hidden(problem, item) if _common(id)),
            alike=frozenset((item, *pair) for item in items for pair in _too_near(key, problem, item)),
        )


def _words(sentence: str) -> str:
    """A sentence without its values and names."""
    return " ".join(word for word in sentence.split() if word.isalpha())


def _common(mistake: str) -> bool:
    """Whether a mistake is often reported: rarer ones give so many answers that some always meet."""
    return catalogue()[mistake].prior >= REPORTED


def _too_near(key: Key, problem: str, item: str) -> Iterator[tuple[str, str]]:
    """Mistakes whose wrong answers to an item lie within the tolerance of each other.

    Those that are next to nothing do not count: no values part what has vanished from what is zero.
    """
    table = key.diagnoser.tables.get((problem, item))
    if table is None:
        return
    nothing = NEGLIGIBLE * table.scale
    rows = (row for row in table.rows if not (isinstance(row.form, Value) and abs(row.form.value) <= nothing))
    for one, other in combinations(filter(lambda row: _common(row.id), rows), 2):
        if one.id != other.id and relative_deviation(one.form, other.form, table.tolerance, table.scale) <= 1:
            yield min(one.id, other.id), max(one.id, other.id)


def _changed(own: Mapping[str, Any], original: Problem, values: Values, id: str) -> dict[str, Any]:
    return written_problem(own, original, with_values(original, dict(values)), id)


def _vetted(rubric: Rubric, tables: Mapping[str, Any], changed: Mapping[str, Any], before: _Vetted) -> "_Vetted | str":
    """What vetting finds on a problem as it will be written; where it is not as sound as the original, in what."""
    try:
        keyed = _keyed(rubric, tables, changed)
        after = _Vetted.of(replace(rubric, problems=(keyed.problem,)), keyed.problem.id)
    except RubricError as error:
        return str(error).splitlines()[0].rstrip(".")
    if new := sorted(after.hidden - before.hidden):
        return f"the mistake '{catalogue()[new[0][1]].title}' leads to the right answer to '{new[0][0]}'"
    return after if after.remarks <= before.remarks else "vetting remarks on something that it did not before"


def _keyed(rubric: Rubric, tables: Mapping[str, Any], changed: Mapping[str, Any]) -> Proposal:
    """A problem with its reference answers as keys, and read again."""
    found = references(_read(rubric, tables, changed))
    texts = {one.item: one.text for one in found if one.kind != PERSON}
    items = [{"key": key, **item} if (key := _key(item, texts)) else item for item in changed["item"]]
    keyed = {**changed, "item": items}
    problem = _read(rubric, tables, keyed).problems[0]
    return Proposal(tables=keyed, problem=problem, answers=tuple((one.item, one.text) for one in found))


def _key(item: Mapping[str, Any], texts: Mapping[str, str]) -> str | list[str]:
    """The key of an item as its table states it, of a list of instants one for each; "" where there is none."""
    if item["id"] in texts:
        return texts[item["id"]]
    at = item.get("at")
    listed = [texts.get(f"{item['id']}-{k}", "") for k in range(1, len(at) + 1)] if isinstance(at, list) else []
    return listed if listed and all(listed) else ""


def _read(rubric: Rubric, tables: Mapping[str, Any], changed: Mapping[str, Any]) -> Rubric:
    return read_rubric(written_rubric(tables, (changed,)).encode(), rubric.name)
