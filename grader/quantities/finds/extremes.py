"""Largest and smallest values, how far a response goes past its final value, and when."""

from collections.abc import Iterator
from functools import partial

from grader.errors import NotDefined
from grader.quantities import steps
from grader.quantities.extremes import extreme
from grader.quantities.question import Question
from grader.quantities.records import OfSignal, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import ends_of, from_own_expression, pieces_of
from grader.values.dimension import NUMBER, TIME
from grader.values.waveform import Waveform


class Maximum(OfSignal):
    """The largest value of a signal after a switching, or in a stretch of time."""

    name = "maximum"
    label = "Maximum of the {signal} {stretch}"
    allows = ("after", "from", "until")
    sample = Sample(circuit="relay", item='current = "L1"', answer="3")
    way = 1

    def reference(self, question: Question) -> Waveform:
        """At a turning point, at an end, or what it tends to."""
        return extreme(pieces_of(question), self.way).value

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.extreme_of, way=self.way))


class Minimum(Maximum):
    """The smallest value of a signal after a switching, or in a stretch of time."""

    name = "minimum"
    label = "Minimum of the {signal} {stretch}"
    sample = Sample(circuit="relay", item='current = "L1"\nuntil = "0.1 s"', answer="3*exp(-2)")
    way = -1


class TimeOfMaximum(OfSignal):
    """The instant at which a signal is largest, on the problem's own clock."""

    name = "time of maximum"
    label = "Time t at which the {signal} is largest, {stretch}"
    allows = ("after", "from", "until")
    measures = TIME
    sample = Sample(circuit="damper", item='current = "C1"', answer="0.23182380450040305")
    way = 1

    def reference(self, question: Question) -> Waveform:
        time = extreme(pieces_of(question), self.way).time
        if time is None:
            raise NotDefined("that value is approached and never taken, so there is no such instant")
        return time

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.extreme_time_of, way=self.way))


class TimeOfMinimum(TimeOfMaximum):
    """The instant at which a signal is smallest, on the problem's own clock."""

    name = "time of minimum"
    label = "Time t at which the {signal} is smallest, {stretch}"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0")
    way = -1


class _PastFinal(OfSignal):
    """Something of the excursion past the final value."""

    measured: steps.Measure

    def reference(self, question: Question) -> Waveform:
        return self.measured(pieces_of(question), *ends_of(question))

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.measured_on, measure=self.measured))


class Overshoot(_PastFinal):
    """How far a signal goes past its final value, counted away from the initial one."""

    name = "overshoot"
    label = "Overshoot (largest excursion past the final value) of the {signal}{after}"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.47390112421077502")
    measured = staticmethod(steps.overshoot)


class PercentOvershoot(_PastFinal):
    """The overshoot as a share of the whole change, from the initial to the final value."""

    name = "percent overshoot"
    label = "Overshoot in per cent of the whole change of the {signal}{after}"
    measures = NUMBER
    unit = "%"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.094780224842154995")
    measured = staticmethod(steps.overshoot_share)


class PeakTime(_PastFinal):
    """The instant at which a signal is farthest past its final value, on the problem's own clock."""

    name = "peak time"
    label = "Peak time: t at which the {signal} overshoots most{after}"
    measures = TIME
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.78539816339744828")
    measured = staticmethod(steps.peak_time)
