"""From tokens to a tree, by the grammar in answer.lark.

lark turned the grammar into the LALR(1) table in answer.json (``python -m tests.reading.make_table`` does so again; doing it
at every start would keep the first upload waiting).  The loop below walks that table with nothing in between, since an
answer must cost microseconds.  The test of this file holds both against lark.
"""

import json
from collections.abc import Callable, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from grader.reading.refusals import CannotRead
from grader.reading.tokens import Token
from grader.reading.tree import Call, Negative, Node, Parallel, PlusMinus, Power, Product, Quotient, Step, Sum

TABLE = Path(__file__).with_name("answer.json")
END = Token("$END", None, 0, 0)


class Condition(NamedTuple):
    """``left < right`` or ``left > right``; of ``a < t < b``, ``last`` is b."""

    left: Any
    sign: str
    right: Any
    last: Any = None


class ParseTable(NamedTuple):
    """An LALR table: what to do per state and terminal.

    ``actions[state][kind]`` is a state to shift to (>= 0) or ``~rule``; ``gotos[state][origin]`` a state;
    ``rules[rule]`` is (origin, length, builder), builder None where the one child is passed on.  ``passed`` remembers
    where a value gets that is passed on from rule to rule (atom, power, product, … sum): by the state below it, its own
    state, and the terminal that follows.
    """

    actions: tuple[dict[str, int], ...]
    gotos: tuple[dict[str, int], ...]
    rules: tuple[tuple[str, int, Callable[..., Any] | None], ...]
    start: int
    end: int
    passed: dict[tuple[int, int, str], int]


@lru_cache(maxsize=1)
def table() -> ParseTable:
    """The grammar's table, read once per process."""
    found = json.loads(TABLE.read_text(encoding="utf-8"))
    return ParseTable(
        actions=tuple(found["actions"]),
        gotos=tuple(found["gotos"]),
        rules=tuple((origin, length, BUILDERS.get(builder)) for origin, length, builder in found["rules"]),
        start=found["start"],
        end=found["end"],
        passed={},
    )


def parse(tokens: Sequence[Token]) -> tuple[Any, ...]:
    """The parts of an answer: chains (tuples of sides) and conditions.

    Raises
    ------
    CannotRead
        At the first token that does not fit; ``kind`` tells what is missing.
    """
    grammar_table = table()
    actions, gotos, rules, start, end, passed = grammar_table
    states = [start]
    values: list[Any] = []
    for token in (*tokens, END):
        kind = token.kind
        while True:
            action = actions[states[-1]].get(kind)
            if action is None:
                raise CannotRead("unexpected", token.start if token is not END else None, str(token.kind))
            if action >= 0:
                states.append(action)
                values.append(token.value)
                break
            origin, length, builder = rules[~action]
            if builder is None:
                way = states[-2], states[-1], kind
                states[-1] = passed.get(way) or _passed_on(grammar_table, way)
            else:
                values[-length:] = (builder(*values[-length:]),)
                del states[-length:]
                states.append(gotos[states[-1]][origin])
            if token is END and states[-1] == end:
                parts: tuple[Any, ...] = values[-1]
                return parts
    raise CannotRead("unexpected")


def _passed_on(table: ParseTable, way: tuple[int, int, str]) -> int:
    """The state that a value reaches by rules that only pass it on; it is remembered."""
    below, state, kind = way
    while (action := table.actions[state].get(kind, 0)) < 0 and table.rules[~action][2] is None and state != table.end:
        state = table.gotos[below][table.rules[~action][0]]
    table.passed[way] = state
    return state


# -- what each rule builds -----------------------------------------------------------------------


def _place(node: Any) -> int:
    return node.place if node is not None else 0


def _plus(left: Node, _: Any, right: Node) -> Node:
    if type(left) is Sum:
        return Sum((*left.terms, right), left.place)
    return Sum((left, right), left.place)


def _minus(left: Node, _: Any, right: Node) -> Node:
    return _plus(left, _, Negative(right, right.place))


def _plus_or_minus(left: Node, _: Any, right: Node) -> Node:
    return _plus(left, _, PlusMinus(right, right.place))


def _parallel(left: Node, _: Any, right: Node) -> Node:
    if type(left) is Parallel:
        return Parallel((*left.terms, right), left.place)
    return Parallel((left, right), left.place)


def _bracketed(_: Any, inner: Node, __: Any) -> Node:
    return inner


BUILDERS: dict[str, Callable[..., Any]] = {
    "first": lambda part: (part,),
    "further": lambda parts, _, part: (*parts, part),
    "condition": Condition,
    "between": lambda left, sign, right, _, last: Condition(left, sign, right, last),
    "plus": _plus,
    "minus": _minus,
    "plus_or_minus": _plus_or_minus,
    "parallel": _parallel,
    "negative": lambda _, operand: Negative(operand, operand.place),
    "positive": lambda _, operand: operand,
    "either": lambda _, operand: PlusMinus(operand, operand.place),
    "times": lambda left, _, right: Product(left, right, left.place),
    "over": lambda left, _, right: Quotient(left, right, left.place),
    "times_implied": lambda left, right: Product(left, right, left.place),
    "raised": lambda base, _, exponent: Power(base, exponent, base.place),
    "bracketed": _bracketed,
    "call": lambda function, _, argument, __: Call(function, argument, argument.place),
    "step": lambda _, __, argument, ___: Step(argument, argument.place),
    "fraction": lambda _, __, top, ___, ____, bottom, _____: Quotient(top, bottom, top.place),
}
