"""How long a response takes: to settle, to rise, to fall to half."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from flint import fmpq

from grader.circuit.resistance import time_constant
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import TAU
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.shares import is_share, share_of
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import after_switching, phrase, when
from grader.values.dimension import TIME
from grader.values.functions import log
from grader.values.waveform import Waveform, constant


class SettlingTime(Asked):
    """How long a signal takes to stay within a band about its final value."""

    name = "settling time"
    needs = (SIGNAL, "band")
    allows = ("after",)
    keys = (("band", 'share of the whole change, as "2 %": half the width of the band about the final value'),)
    measures = TIME
    sample = Sample(circuit="charging", item='voltage = "C1"\nband = "2 %"', answer="0.0078240460108562927")

    def reference(self, question: Question) -> Waveform:
        """From the last crossing of either edge."""
        initial = question.solved.just_after(question.signal, question.index)
        final = question.solved.final(question.signal, question.index)
        return steps.settling_time(pieces_of(question)[0], initial, final, _band(question.item))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        yield from from_own_expression(question, partial(steps.settling, band=_band(question.item)))

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """The band is a share."""
        band = dict(item.settings).get("band", "2 %")
        return () if is_share(band) else (f"'band' must be a share of the change, as \"2 %\", not '{band}'",)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        band = dict(item.settings).get("band", "")
        after = f" from the switching{when(problem, item)} on"
        return f"Settling time{after}: the {phrase(item.signal)} stays within {band} of its whole change about the final value"


def _band(item: Item) -> fmpq:
    return share_of(dict(item.settings)["band"])


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


class HalfLife(Asked):
    """The time in which a natural response of first order falls to half: τ ln 2."""

    name = "half life"
    label = "Half-life of the natural response"
    allows = ("after", "by")
    measures = TIME
    sample = Sample(circuit="relay", answer="0.034657359027997263")

    def reference(self, question: Question) -> Waveform:
        """From the time constant."""
        return constant(time_constant(question.circuit, question.index, question.item.by)) * log(constant(fmpq(2)))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own time constant."""
        for item in question.earlier_here(TAU):
            says = "This follows from your own time constant."
            yield Rule(formula="tau*ln(2)", uses=(("tau", item.id),), says=says)
            return


ENTRIES = (SettlingTime(), RiseTime(), HalfLife())
