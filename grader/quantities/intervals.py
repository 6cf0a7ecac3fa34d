"""An item that asks for a response over several intervals, taken apart: one expression for each of them.

Each is an item of its own to the theory, listed just before the whole: it follows from earlier ones, later ones follow
from it, and mistakes are looked for in it.
"""

from itertools import pairwise

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.network import instants
from grader.problem import Item, Problem
from grader.quantities.question import time_text
from grader.quantities.records import EXPRESSION, RESPONSE


def range_text(start: fmpq, end: fmpq | None) -> str:
    """An interval as a condition on t: ``0 < t < 2 ms``, ``t > 2 ms``."""
    begin = "0" if start == 0 else time_text(start)
    return f"t > {begin}" if end is None else f"{begin} < t < {time_text(end)}"


def interval_items(problem: Problem, item: Item) -> tuple[Item, ...]:
    """The expressions that an item asks for, one for each interval from ``after`` on; none unless it is a whole response."""
    if item.find != RESPONSE or problem.circuit is None:
        return ()
    times = [time for time in instants(problem.circuit) if item.after is None or time >= item.after]
    return tuple(
        replace(item, id=f"{item.id}, {range_text(start, end)}", find=EXPRESSION, after=start, key=None)
        for start, end in pairwise([*times, None])
        if start is not None
    )


def in_one_response(problem: Problem, one: Item, other: Item) -> bool:
    """Whether two items are intervals of the same response."""
    pairs = ({part.id for part in interval_items(problem, item)} for item in problem.items)
    return any({one.id, other.id} <= ids for ids in pairs)


def with_interval_items(problem: Problem) -> Problem:
    """The problem as the theory sees it."""
    items = tuple(one for item in problem.items for one in (*interval_items(problem, item), item))
    return replace(problem, items=items)
