"""How long a signal takes to stay within a band about its final value."""

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
from grader.quantities.words import phrase, when
from grader.values.dimension import TIME
from grader.values.waveform import Waveform


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


ENTRY = SettlingTime()
