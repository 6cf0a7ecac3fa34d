"""What a rubric may ask for: one record per ``find``."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.rules import Answer, Rule
from grader.values.dimension import Dimension

SIGNAL = "signal"
"""Stands in ``needs`` for the one key that names a signal (``current = "L1"``)."""

VALUE, EXPRESSION, ROOTS, CHOICE = "value", "expression", "roots", "choice"
KINDS = (VALUE, EXPRESSION, ROOTS, CHOICE)
"""What sort of answer is expected, in the words of `grader.reading`."""


def a_value(item: Item) -> str:  # noqa: ARG001 - the signature is the record's
    """Expect a value, as most do."""
    return VALUE


def no_rules(question: Question) -> Iterable[Rule]:  # noqa: ARG001 - the signature is the record's
    """Give none: nothing earlier leads to it."""
    return ()


def no_faults(problem: Problem, item: Item) -> tuple[str, ...]:  # noqa: ARG001 - the signature is the record's
    """Find none: the keys alone say all."""
    return ()


def no_names(item: Item) -> tuple[str, ...]:  # noqa: ARG001 - the signature is the record's
    """Give none: nobody writes the answer's name in a later one."""
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A small item and the answer it must have, for the tests and the help page.

    ``circuit`` is one of `grader.quantities.samples.CIRCUITS` ("" for none), ``item`` the keys besides ``id``, ``find`` and
    ``points`` as TOML text, ``answer`` the exact text of the right answer.
    """

    circuit: str = ""
    item: str = ""
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One ``find``.

    Attributes
    ----------
    name : str
        The word in the rubric; the file's name with blanks for underscores.
    kind : callable
        ``kind(item)``: one of `KINDS`.
    needs, allows : tuple of str
        Item keys it must have and may have, besides those of every item; `SIGNAL` for the signal.
    circuit : bool
        Whether it is found from a circuit.
    dimension : callable
        ``dimension(problem, item)`` of the answer; None for a choice.
    reference : callable
        ``reference(question)``: the right answer.  Raises `NotDefined` with a sentence where there is none.
    rules : callable
        ``rules(question)``: how the answer follows from earlier items.
    unit : str
        The unit's symbol where it is not the dimension's usual one (``"rad/s"``).
    text : callable
        ``text(problem, item)``: what the item is called on the answer sheet if the rubric does not say.
    faults : callable
        ``faults(problem, item)``: what else is wrong with the item in a rubric, one sentence each, without full stop.
    names : callable
        ``names(item)``: what later answers may call this one (``"tau"``).
    sample : Sample
        A worked case.
    """

    name: str
    kind: Callable[[Item], str] = a_value
    needs: tuple[str, ...] = ()
    allows: tuple[str, ...] = ()
    circuit: bool = True
    dimension: Callable[[Problem, Item], Dimension | None]
    reference: Callable[[Question], Answer]
    rules: Callable[[Question], Iterable[Rule]] = no_rules
    unit: str = ""
    text: Callable[[Problem, Item], str]
    faults: Callable[[Problem, Item], tuple[str, ...]] = no_faults
    names: Callable[[Item], tuple[str, ...]] = no_names
    sample: Sample
