"""What the entries about a pair of terminals share: Thévenin voltage, Norton current, resistance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from grader.problem import Item, Problem
from grader.quantities.links import SEEN
from grader.quantities.question import Question
from grader.quantities.rules import Rule
from grader.quantities.words import after_switching

BETWEEN = "resistance between"


def port_text(words: str, problem: Problem, item: Item) -> str:
    """The quantity, where, and after which switching."""
    where = f"at the terminals of {item.by}, itself taken out" if item.by is not None else ""
    if item.between is not None:
        where = f"between {item.between[0]} and {item.between[1]}"
    return f"{words} {where}{after_switching(problem, item)}"


def port_faults(item: Item) -> tuple[str, ...]:
    """Exactly one of a node pair and an element."""
    if (item.between is None) == (item.by is None):
        return ('name the terminals: between = ["a", "b"], or by = "C1" for those of an element; one of the two',)
    return ()


def port_rules(question: Question, formula: str, finds: Mapping[str, str], resistance: str) -> Iterator[Rule]:
    """One of voltage, current and resistance from the other two, where they were asked of the same terminals."""
    uses = []
    for name, find in finds.items():
        item = _here(question, find)
        if item is None:
            return
        uses.append((name, item.id))
    if resistance:
        item = _here(question, BETWEEN) or _here(question, SEEN)
        if item is None:
            return
        uses.append((resistance, item.id))
    says = "By Ohm's law this follows from your own values at these terminals."
    yield Rule(formula=formula, uses=tuple(uses), says=says)


def _here(question: Question, find: str) -> Item | None:
    """The nearest earlier item of a find at the same terminals, as far as it names them."""
    for item in question.earlier_here(find):
        if item.between == question.item.between and item.by in (question.item.by, None):
            return item
    return None
