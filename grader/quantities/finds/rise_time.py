"""How long a signal takes from one share of its whole change to another."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from flint import fmpq

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.shares import is_share, share_of
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import after_switching, phrase
from grader.values.dimension import TIME
from grader.values.waveform import Waveform


class RiseTime(Asked):
    """How long a signal takes from ``low`` to ``high`` of its whole change."""

    name = "rise time"
    needs = (SIGNAL,)
    allows = ("after", "low", "high")
    keys = (
        ("low", "share of the whole change from which on it counts; 10 % unless given"),
        ("high", "share of the whole change up to which it counts; 90 % unless given"),
    )
    measures = TIME
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="0.0043944491546724388")

    def reference(self, question: Question) -> Waveform:
        """From the first crossings of both levels."""
        initial = question.solved.just_after(question.signal, question.index)
        final = question.solved.final(question.signal, question.index)
        return steps.rise_time(pieces_of(question)[0], initial, final, *_shares(question.item))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        low, high = _shares(question.item)
        yield from from_own_expression(question, partial(steps.rising, low=low, high=high))

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Two shares, the lower one first."""
        found = dict(item.settings)
        wrong = [key for key in ("low", "high") if key in found and not is_share(found[key])]
        if wrong:
            return tuple(f"'{key}' must be a share of the change, as \"10 %\", not '{found[key]}'" for key in wrong)
        low, high = _shares(item)
        return () if low < high else ("'low' must be less than 'high'",)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        found = dict(item.settings)
        shares = f"from {found.get('low', '10 %')} to {found.get('high', '90 %')} of the whole change"
        return f"Rise time of the {phrase(item.signal)}, {shares}{after_switching(problem, item)}"


def _shares(item: Item) -> tuple[fmpq, fmpq]:
    found = dict(item.settings)
    return share_of(found.get("low", "10 %")), share_of(found.get("high", "90 %"))


ENTRY = RiseTime()
