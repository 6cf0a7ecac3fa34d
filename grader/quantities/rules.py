"""How an answer follows from earlier ones: the dependencies of the theory, as data that pickles.

A rule states a formula in the notation students write, what its names stand for, and a sentence.  Most rules are
evaluated as they stand; where the step is no formula (a slope, a first crossing, the pair of roots), ``step`` does it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import chain
from typing import TypeAlias

from msgspec import Struct

from grader.problem import Item
from grader.reading.formula import formula_tree
from grader.reading.value.evaluate import evaluate
from grader.values.waveform import Piecewise, Waveform

Roots: TypeAlias = tuple[tuple[Waveform, Waveform], ...]
"""Characteristic roots as (real part, imaginary part), in 1/s."""

Answer: TypeAlias = Waveform | Piecewise | Roots | str
"""A value or an expression in global t; one for each interval; roots; the text of a choice or of a damping type."""

Step: TypeAlias = Callable[[Mapping[str, Answer]], Answer]
"""What leads from named values to an answer; a function of a module (or a partial of one), so that it pickles."""

Given: TypeAlias = tuple[tuple[str, Waveform], ...]
"""Names in a formula, and the values that the problem fixes for them."""

SEVERAL_STEPS = "It follows in several steps, some of which you did not write down."
"""What is said of a rule by way of what was left blank or never asked: its own sentence speaks of an answer never given."""


class Rule(Struct, frozen=True, kw_only=True):
    """How one item follows from earlier ones."""

    formula: str
    """In the notation students write: ``"L/R"``, ``"xf+(x0-xf)*e^(-t/tau)"``.  Values are in SI base units and t
    counts on the problem's own clock."""
    uses: tuple[tuple[str, str], ...]
    """Names in the formula, and the ids of the earlier items they stand for."""
    given: Given = ()
    """Names in the formula that the problem fixes, and their values."""
    says: str
    """One sentence for the student, without any value."""
    step: Step | None = None
    """What is done with the named values where the formula alone does not tell; None: evaluate the formula."""
    through: tuple[tuple[str, "Rule"], ...] = ()
    """Names in the formula that stand for what nobody asked, and how that follows from earlier items."""

    aside: bool = False
    """Whether people go another way as well from the same items, by what was not asked: heat by a balance, and by its current."""

    @property
    def items(self) -> tuple[str, ...]:
        """The ids of the earlier items that it rests on, those of ``through`` included."""
        return tuple(dict.fromkeys(chain((id for _, id in self.uses), *(rule.items for _, rule in self.through))))


def from_first(
    items: Iterable[Item],
    formula: str,
    says: str,
    *,
    name: str = "x",
    given: Mapping[str, Waveform] | None = None,
    step: Step | None = None,
) -> Iterator[Rule]:
    """A rule in the first of some earlier items, the ``name`` of the formula; none where there is no item."""
    for item in items:
        uses, fixed = ((name, item.id),), tuple((given or {}).items())
        yield Rule(formula=formula, uses=uses, given=fixed, says=says, step=step)
        return


def follow(rule: Rule, answers: Mapping[str, Answer]) -> Answer | None:
    """What a rule gives with the answers to the items it uses; None where those answers lead to nothing."""
    named = named_in(rule, answers)
    if named is None:
        return None
    try:
        if rule.step is not None:
            return rule.step(named)
        return by_formula(rule.formula, named)
    except (ValueError, ZeroDivisionError, TypeError):  # a slip upstream may leave nothing that can be worked out
        return None


def named_in(rule: Rule, answers: Mapping[str, Answer]) -> dict[str, Answer] | None:
    """What the names of a rule's formula stand for; None where what nobody asked cannot be worked out."""
    named: dict[str, Answer] = dict(rule.given)
    named.update((name, answers[item]) for name, item in rule.uses)
    for name, between in rule.through:
        answer = follow(between, answers)
        if answer is None:
            return None
        named[name] = answer
    return named


def by_formula(formula: str, named: Mapping[str, Answer]) -> Waveform:
    """What a formula gives with named values."""
    values = {name: value for name, value in named.items() if isinstance(value, Waveform)}
    waveform: Waveform = evaluate(formula_tree(formula, frozenset(named)), values).waveform
    return waveform
