"""Draws of values, the cleanest first: how many digits the answers need that come out by them.

The circuit is solved in letters, so that thousands of draws can be estimated at once, and the cleanest are solved exactly.
Where letters leave it open, draws are bettered one element at a time, until every answer has few digits.
"""

import math
import random
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from flint import fmpq

from grader.authoring.letters import Lettered
from grader.circuit.elements import Passive
from grader.circuit.response import Solved, solve
from grader.errors import CircuitError, NotDefined, RubricError
from grader.problem import Item, Problem
from grader.quantities import Answer, asked
from grader.quantities.catalogue import question_of
from grader.quantities.preferred import preferred
from grader.rubric.personal import with_values
from grader.rubric.variation import sensible
from grader.values.waveform import Piecewise, Waveform

DRAWN = 20_000
"""Draws of which it is estimated how clean they are, where the circuit can be solved in letters."""

FIRST = 150
"""The cleanest of these that are solved exactly."""

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

CLEAN = 0
"""The cost of a proposal whose answers are all clean."""

Values = tuple[tuple[str, fmpq], ...]


class Search:
    """Draws of values, each bettered until its answers are as clean as they get."""

    def __init__(self, original: Problem, allowed: Mapping[str, tuple[fmpq, ...]], chance: random.Random) -> None:
        self._original, self._chance = original, chance
        self._allowed = {name: _round_first(values) for name, values in allowed.items()}
        self._known = _solved(original)
        self._costs: dict[Values, float] = {}
        self.failed: Counter[str] = Counter()
        """What was in the way, and with how many sets of values."""

    @property
    def looked_at(self) -> int:
        """With how many sets of values the answers were worked out."""
        return len(self._costs)

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
        drawn = list(
            dict.fromkeys(tuple(self._chance.choice(self._allowed[name]) for name in names) for _ in range(DRAWN))
        )
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
            self._costs[values] = self._worked_out(values)
        return self._costs[values]

    def _worked_out(self, values: Values) -> float:
        found: _Solved | str
        try:
            problem = with_values(self._original, dict(values))
            found = _solved(problem)
        except RubricError as error:
            found = str(error).splitlines()[0].rstrip(".")
        fault = found if isinstance(found, str) else self._unlike(found)
        if fault or isinstance(found, str):
            self.failed[fault] += 1
            return math.inf
        return sum(map(roughness, found.answers)) + _odd_parts(problem)

    def _unlike(self, found: "_Solved") -> str:
        """In what an answer is not like the original's; "" where all are."""
        known = self._known
        if isinstance(known, str) or found.damping != known.damping:
            return known if isinstance(known, str) else "the circuit is damped otherwise"
        pairs = zip(self._original.items, known.answers, found.answers, strict=True)
        return next(
            (f"the answer to '{item.id}' is of another kind or size" for item, *two in pairs if not _alike(*two)), ""
        )


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


def _solved(problem: Problem) -> _Solved | str:
    """A problem solved, or what of it has no answer."""
    answers, what = [], "the circuit has no response"
    try:
        solved = None if problem.circuit is None else solve(problem.circuit)
        for item in problem.items:
            what = f"there is no answer to '{item.id}'"
            answers.append(asked(item.find).reference(question_of(problem, item, solved)))
    except (CircuitError, NotDefined, ValueError, ZeroDivisionError):
        return what
    return _Solved(tuple(answers), tuple(_damping(problem, solved)))


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
