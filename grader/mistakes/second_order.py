"""A second-order response by its parts: constants and rates, each of which a student may get wrong by itself."""

from collections.abc import Callable, Iterator
from functools import wraps
from typing import Any, NamedTuple, TypeAlias

from flint import fmpq
from msgspec.structs import replace

from grader.errors import NotDefined
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_expression, some
from grader.mistakes.records import Wrong, WrongAnswers
from grader.quantities.finding import Find
from grader.quantities.second_order import SecondOrder, response
from grader.values.waveform import Waveform

Changed: TypeAlias = tuple[str, dict[str, Any]]
"""A variant, and the parts of a response that it changes."""


class Conditions(NamedTuple):
    """What a response follows from: value and slope at the start, final value, rates, and the start (seconds)."""

    x0: Waveform
    slope: Waveform
    xf: Waveform
    alpha: Waveform
    omega0: Waveform
    start: fmpq


def conditions(case: Case) -> Conditions | None:
    """Those of a case; None where its response is not of second order with steady sources."""
    if case.find not in (Find.EXPRESSION, Find.AT) or case.index == 0 or case.order != 2:
        return None
    values = [
        value
        for find in (Find.INITIAL, Find.SLOPE, Find.FINAL, Find.ALPHA, Find.OMEGA0)
        if (value := case.solvers(find)) is not None
    ]
    if len(values) < 5:
        return None
    x0, slope, xf, alpha, omega0 = values
    return Conditions(x0, slope, xf, alpha, omega0, case.start)


def of_case(case: Case) -> SecondOrder | None:
    """The right response by its parts; None where `conditions` gives none."""
    found = conditions(case)
    return None if found is None else solved(found)


def solved(given: Conditions) -> SecondOrder:
    """The parts that meet the conditions."""
    named = given._asdict()
    return response(named, start=named.pop("start"))


def by_parts(parts: Callable[[SecondOrder], Iterator[Changed]]) -> WrongAnswers:
    """Make responses with some of the right one's parts changed the wrong answers that they lead to."""

    @wraps(parts)
    def wrong(case: Case) -> Iterator[Wrong]:
        right = of_case(case)
        if right is not None:
            for variant, changed in parts(right):
                yield from with_parts(case, right, variant, **changed)

    return wrong


def by_conditions(changes: Callable[[Conditions], Conditions]) -> WrongAnswers:
    """Make a response that meets other conditions than the right ones the wrong answer that it leads to."""

    @wraps(changes)
    def wrong(case: Case) -> Iterator[Wrong]:
        right = conditions(case)
        if right is not None:
            yield from with_parts(case, solved(changes(right)))

    return wrong


def with_parts(case: Case, right: SecondOrder | None, variant: str = "", **changed: Any) -> Iterator[Wrong]:
    """What the item's answer is with some parts of the response wrong."""
    if right is not None:
        try:
            yield from some(from_expression(case, replace(right, **changed).expression), variant)
        except NotDefined:
            return
