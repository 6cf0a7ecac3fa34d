"""Largest and smallest values, how far a response goes past its final value, and when."""

from collections.abc import Iterator
from functools import partial

from grader.errors import NotDefined
from grader.quantities import steps
from grader.quantities.extremes import extreme
from grader.quantities.question import Question
from grader.quantities.records import OfSignal
from grader.quantities.rules import Rule
from grader.quantities.stretches import ends_of, from_own_expression, pieces_of
from grader.values.dimension import NUMBER, TIME
from grader.values.waveform import Waveform


class Maximum(OfSignal):
    """The largest value of a signal after a switching, or in a stretch of time."""

    name = "maximum"
    way = 1

    def reference(self, question: Question) -> Waveform:
        """At a turning point, at an end, or what it tends to."""
        return extreme(pieces_of(question), self.way).value

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.extreme_of, way=self.way))


class Minimum(Maximum):
    """The smallest value of a signal after a switching, or in a stretch of time."""

    name = "minimum"
    way = -1


class TimeOfMaximum(OfSignal):
    """The instant at which a signal is largest, on the problem's own clock."""

    name = "time of maximum"
    measures = TIME
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
    measured = staticmethod(steps.overshoot)


class PercentOvershoot(_PastFinal):
    """The overshoot as a share of the whole change, from the initial to the final value."""

    name = "percent overshoot"
    measures = NUMBER
    measured = staticmethod(steps.overshoot_share)


class PeakTime(_PastFinal):
    """The instant at which a signal is farthest past its final value, on the problem's own clock."""

    name = "peak time"
    measures = TIME
    measured = staticmethod(steps.peak_time)
