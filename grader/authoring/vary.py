"""Other values for a problem, of the preferred series, with which its answers come out clean and its mistakes stay apart.

The circuit is solved in letters, so that thousands of draws can be estimated at once, and the cleanest are solved exactly.
Where letters leave it open, draws are bettered one element at a time, until every answer has few digits.  A proposal is kept where

* every item has an answer of the original's kind and about its size, and every interval the original's damping type;
* no common mistake leads to the right answer that did not with the original values;
* what is written as a rubric vets as clean as the original;
* the wrong answers of two common mistakes lie further apart than the tolerance, unless they do so for none of the values
  that were looked at, nor for the original's: such mistakes make one and the same slip in this circuit.
"""

import math
import random
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np
from flint import fmpq

from grader.authoring.letters import Lettered
from grader.authoring.written import written_problem, written_rubric
from grader.circuit.elements import Passive
from grader.circuit.response import Solved, solve
from grader.errors import CircuitError, NotDefined, RubricError, UsageError
from grader.marking.key import Key, build_key
from grader.marking.vetting import check_keys
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import relative_deviation
from grader.mistakes.records import REPORTED
from grader.problem import Item, Problem, Rubric
from grader.quantities import Answer, asked
from grader.quantities.catalogue import question_of
from grader.quantities.preferred import preferred
from grader.rubric.files import read_rubric
from grader.rubric.personal import choices, is_range, valued, with_values
from grader.rubric.references import references
from grader.rubric.soundness import soundness
from grader.rubric.variation import near_values, sensible
from grader.values.waveform import Piecewise, Waveform

DRAWN = 20_000
"""Draws of which it is estimated how clean they are, where the circuit can be solved in letters."""

FIRST = 150
"""The cleanest of these that are solved exactly."""

MOST_VETTED = 20
"""Values vetted before giving up, a few tenths of a second each."""

STARTS = 60
"""Draws that are bettered before giving up."""

MOST_SOLVED = 800
"""Circuits solved before the search ends, some milliseconds each."""

TRIED = 24
"""Values of an element tried at a time: a wide range has a thousand."""

ROUNDS = 3
"""How often every element is looked at once more."""

FINE = 24
"""The series that values are drawn from where no range is given: of the coarser ones few combinations come out clean."""

FEW = 3
"""Significant digits that an answer may have and still be clean."""

FEW_OF_RATES = 2
"""The same of a time constant, or of a root."""

ROUND = (2, 3, 5)
"""Primes of the digits of round values: 10, 12, 15, 16, 18, 20, 24, 27, 30, 36 and 75; of their sums many divide evenly."""

FEW_ROUND = 3
"""Round values that must be left of an element's values, for the search to keep to these."""

ROUGH = 6
"""What an answer costs that no few digits say exactly."""

LEAST = 6
"""Sound values looked at in any case, to tell mistakes that meet by these values from those that always do."""

MOST = 8
"""Sound values looked at for one proposal that is given, where mistakes meet."""

CLEAN = 0
"""The cost of a proposal whose answers are all clean."""

Values = tuple[tuple[str, fmpq], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
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
        Called with the number of sound sets of values each time one was looked at.

    Raises
    ------
    UsageError
        If a range is wrong, nothing can be varied, or mistakes meet with all values that were found.
    """
    original = rubric.problem(problem)
    own = next(one for one in tables["problem"] if str(one.get("id")) == problem)
    allowed = _allowed(original, own, ranges)
    search = _Search(original, allowed, random.Random(seed))  # noqa: S311 - nobody is to be kept from guessing
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
            pool += [] if after is None else [_Sound(cost, values, after.alike)]
            tell(len(pool))
    met = _met(before, pool)
    kept = sorted((sound for sound, meeting in zip(pool, met, strict=True) if not meeting), key=lambda one: one.cost)
    if pool and not kept:
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


# -- the search ------------------------------------------------------------------------------------


class _Search:
    """Draws of values, each bettered until its answers are as clean as they get."""

    def __init__(self, original: Problem, allowed: Mapping[str, tuple[fmpq, ...]], chance: random.Random) -> None:
        self._original, self._chance = original, chance
        self._allowed = {name: _round_first(values) for name, values in allowed.items()}
        self._known = _solved(original)
        self._costs: dict[Values, float] = {}

    def found(self) -> Iterator[tuple[Values, float]]:
        """Clean proposals as they are met, then the others by what they cost."""
        rest: dict[Values, float] = {}
        for values in self._candidates():
            cost = self._cost(values)
            if cost == CLEAN and values not in rest:
                yield values, cost
            rest[values] = cost
        yield from ((one, rest[one]) for one in sorted(rest, key=lambda one: rest[one]) if CLEAN < rest[one] < math.inf)

    def _candidates(self) -> Iterator[Values]:
        """Those that an estimate in letters finds clean; else draws that are bettered."""
        names = tuple(self._allowed)
        try:
            lettered = Lettered(self._original, names)
        except (CircuitError, NotDefined):
            for _ in range(STARTS):
                if len(self._costs) > MOST_SOLVED:
                    break
                yield self._bettered(tuple((name, self._chance.choice(self._allowed[name])) for name in names))
            return
        drawn = [[self._chance.choice(self._allowed[name]) for name in names] for _ in range(DRAWN)]
        rough = lettered.roughness(np.array(drawn, dtype=float), FEW, FEW_OF_RATES)
        for place in np.argsort(rough, kind="stable")[:FIRST]:
            yield tuple(zip(names, drawn[place], strict=True))

    def _bettered(self, values: Values) -> Values:
        for _ in range(ROUNDS):
            before = values
            for place in self._chance.sample(range(len(values)), len(values)):
                name, allowed = values[place][0], self._allowed[values[place][0]]
                tried = self._chance.sample(allowed, min(TRIED, len(allowed)))
                others = ((*values[:place], (name, value), *values[place + 1 :]) for value in tried)
                values = min((values, *others), key=self._cost)
                if self._cost(values) == CLEAN:
                    return values
            if values == before:
                break
        return values

    def _cost(self, values: Values) -> float:
        """How far the answers are from clean; infinite where one is missing or is of another kind than the original's."""
        if values not in self._costs:
            self._costs[values] = self._worked_out(with_values(self._original, dict(values)))
        return self._costs[values]

    def _worked_out(self, problem: Problem) -> float:
        found = _solved(problem)
        if found is None or self._known is None or found.damping != self._known.damping:
            return math.inf
        if not all(_alike(*pair) for pair in zip(self._known.answers, found.answers, strict=True)):
            return math.inf
        return sum(map(roughness, found.answers)) + _odd_parts(problem)


def _round_first(values: Sequence[fmpq]) -> tuple[fmpq, ...]:
    """The round ones of an element's values where there are some, else all."""
    found = tuple(value for value in values if _rest(int(_mantissa(value)), ROUND) == 1)
    return found if len(found) >= FEW_ROUND else tuple(values)


def _mantissa(value: fmpq) -> fmpq:
    """A value without its noughts and its point, where it is a decimal: 470 nF to 47."""
    size = abs(value) * fmpq(10) ** 12
    while size != 0 and (tenth := size / 10).q == 1:
        size = tenth
    return size


def _rest(number: int, primes: Iterable[int]) -> int:
    """What is left of a number without its factors among these primes."""
    for prime in primes:
        while number and number % prime == 0:
            number //= prime
    return number


def _odd_parts(problem: Problem) -> int:
    """Resistors, capacitors and inductors of no preferred value."""
    parts = () if problem.circuit is None else problem.circuit.elements
    return sum(
        isinstance(part, Passive)
        and isinstance(part.value, fmpq)
        and part.value > 0
        and not preferred(part.value, part.value, FINE)
        for part in parts
    )


class _Solved(NamedTuple):
    """The answers to all items, and the damping type of every interval (None where it has none)."""

    answers: tuple[Answer, ...]
    damping: tuple[Answer | None, ...]


def _solved(problem: Problem) -> _Solved | None:
    """A problem solved; None where an answer is missing."""
    try:
        solved = None if problem.circuit is None else solve(problem.circuit)
        answers = tuple(asked(item.find).reference(question_of(problem, item, solved)) for item in problem.items)
    except (CircuitError, NotDefined, ValueError, ZeroDivisionError):
        return None
    return _Solved(answers, tuple(_damping(problem, solved)))


def _damping(problem: Problem, solved: Solved | None) -> Iterator[Answer | None]:
    for interval in () if solved is None else solved.intervals[1:]:
        item = Item(id="", find="damping type", points=0, after=interval.start)
        try:
            yield asked(item.find).reference(question_of(problem, item, solved))
        except (CircuitError, NotDefined):
            yield None


def _alike(before: Answer, after: Answer) -> bool:
    """Whether an answer has the kind and about the size of the original's."""
    if isinstance(before, Waveform) and isinstance(after, Waveform):
        return sensible(before, after)
    return type(before) is type(after) and (before == after or not isinstance(before, str))


def roughness(answer: Answer) -> float:
    """Digits beyond a few that an answer needs, added up over its terms; numbers like e^-1 cannot be clean and cost nothing."""
    if isinstance(answer, str):
        return 0
    if isinstance(answer, tuple):
        return sum(_digits(part, FEW_OF_RATES) for root in answer for part in root)
    if isinstance(answer, Piecewise):
        return sum(roughness(piece) for _, piece in answer.pieces)
    if answer.is_symbolic or not answer.exact:
        return 0
    return sum(
        _digits(term.cosine)
        + _digits(term.sine)
        + _digits(term.frequency)
        + min(_digits(term.rate, FEW_OF_RATES), _digits(_over(term.rate), FEW_OF_RATES))
        for term in answer.terms
    )


def _over(number: Any) -> Any:
    return 1 / number if isinstance(number, fmpq) and number != 0 else number


def _digits(number: Any, few: int = FEW) -> float:
    """Significant digits beyond a few."""
    if not isinstance(number, fmpq) or _rest(int(number.q), (2, 5)) != 1:
        return ROUGH
    digits = len(f"{float(number):.12e}".partition("e")[0].replace(".", "").lstrip("-").rstrip("0"))
    return max(0, digits - few)


# -- what is kept ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Vetted:
    """What vetting finds on a problem: remarks, and mistakes that cannot be told from the right answer or each other."""

    remarks: int
    hidden: frozenset[tuple[str, str]]
    alike: Meeting

    @staticmethod
    def of(rubric: Rubric, problem: str) -> "_Vetted":
        key = build_key(replace(rubric, problems=(rubric.problem(problem),)))
        items = [item.id for item in key.rubric.problems[0].items]
        return _Vetted(
            remarks=len(soundness(key.rubric)) + len(check_keys(key)),
            hidden=frozenset((item, id) for item in items for id in key.diagnoser.hidden(problem, item) if _common(id)),
            alike=frozenset((item, *pair) for item in items for pair in _too_near(key, problem, item)),
        )


def _common(mistake: str) -> bool:
    """Whether a mistake is often reported: rarer ones give so many answers that some always meet."""
    return catalogue()[mistake].prior >= REPORTED


def _too_near(key: Key, problem: str, item: str) -> Iterator[tuple[str, str]]:
    """Mistakes whose wrong answers to an item lie within the tolerance of each other."""
    table = key.diagnoser.tables.get((problem, item))
    if table is None:
        return
    for one, other in combinations([row for row in table.rows if _common(row.id)], 2):
        if one.id != other.id and relative_deviation(one.form, other.form, table.tolerance, table.scale) <= 1:
            yield min(one.id, other.id), max(one.id, other.id)


def _changed(own: Mapping[str, Any], original: Problem, values: Values, id: str) -> dict[str, Any]:
    return written_problem(own, with_values(original, dict(values)), id)


def _vetted(rubric: Rubric, tables: Mapping[str, Any], changed: Mapping[str, Any], before: _Vetted) -> _Vetted | None:
    """What vetting finds on a problem as it will be written; None where it is not as sound as the original."""
    try:
        keyed = _keyed(rubric, tables, changed)
        after = _Vetted.of(replace(rubric, problems=(keyed.problem,)), keyed.problem.id)
    except RubricError:
        return None
    return after if after.remarks <= before.remarks and after.hidden <= before.hidden else None


def _keyed(rubric: Rubric, tables: Mapping[str, Any], changed: Mapping[str, Any]) -> Proposal:
    """A problem with its reference answers as keys, and read again."""
    found = references(_read(rubric, tables, changed))
    items = [{**item, "key": item.get("key", one.text)} for item, one in zip(changed["item"], found, strict=True)]
    keyed = {**changed, "item": items}
    problem = _read(rubric, tables, keyed).problems[0]
    return Proposal(tables=keyed, problem=problem, answers=tuple((one.item, one.text) for one in found))


def _read(rubric: Rubric, tables: Mapping[str, Any], changed: Mapping[str, Any]) -> Rubric:
    return read_rubric(written_rubric(tables, (changed,)).encode(), rubric.name)
