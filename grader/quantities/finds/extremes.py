"""Largest and smallest values, how far a response goes past its final value, and when."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from msgspec.structs import replace

from grader.problem import Item
from grader.quantities import steps
from grader.quantities.crossing import Piece
from grader.quantities.extremes import extreme
from grader.quantities.finding import Find
from grader.quantities.question import Question
from grader.quantities.records import OfSignal
from grader.quantities.rules import Rule, from_first
from grader.quantities.stretches import ends_of, from_own_expression, pieces_of
from grader.values.dimension import NUMBER, TIME
from grader.values.waveform import Waveform, constant


class _OnStretch(OfSignal):
    """Something measured on a signal in a stretch of time."""

    measured: Callable[[Sequence[Piece]], Waveform]

    def reference(self, question: Question) -> Waveform:
        return self.measured(pieces_of(question))

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.on_stretch, measure=self.measured))


class Maximum(_OnStretch):
    """The largest value of a signal after a switching, or in a stretch of time."""

    name = "maximum"
    way = 1

    def measured(self, pieces: Sequence[Piece]) -> Waveform:
        return steps.extreme_value(pieces, way=self.way)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression; the own value at the instant when the signal is largest, or what that follows from."""
        yield from from_own_expression(
            question, partial(steps.on_stretch, measure=partial(steps.extreme_value, way=self.way))
        )
        for instant in self._instants(question):
            here = replace(question, item=instant)
            own = (one for one in here.earlier_here(instant.find) if here.about(one) == 1 and one.at == instant.at)
            yield from from_first(own, "x", "This follows from your own value at that instant.")
            yield from question.asked(instant.find).rules(here)

    def _instants(self, question: Question) -> Iterator[Item]:
        """The value at the instant when the signal is so large, as an item may ask it: at a switching, at the end of the stretch, or at last."""
        place = ("when extreme", self.way, replace(question.item, id=""))
        time = question.once(place, lambda: extreme(pieces_of(question), self.way).time)
        bare = replace(question.item, start=None, until=None)
        if time is None:
            yield replace(bare, find=Find.FINAL)
            return
        starts = [interval.start for interval in question.solved.intervals[1:]]
        for start in starts:
            if start is not None and constant(start) == time:
                yield from (replace(bare, find=find, after=start) for find in (Find.INITIAL, Find.JUST_BEFORE))
        for at in dict.fromkeys((*starts, question.stretch()[1])):
            if at is not None and constant(at) == time:
                yield replace(bare, find=Find.AT, at=at)


class Minimum(Maximum):
    """The smallest value of a signal after a switching, or in a stretch of time."""

    name = "minimum"
    way = -1


class TimeOfMaximum(_OnStretch):
    """The instant at which a signal is largest, on the problem's own clock."""

    name = "time of maximum"
    measures = TIME
    measured = staticmethod(partial(steps.extreme_time, way=1))


class TimeOfMinimum(_OnStretch):
    """The instant at which a signal is smallest, on the problem's own clock."""

    name = "time of minimum"
    measures = TIME
    measured = staticmethod(partial(steps.extreme_time, way=-1))


class FromEnds(OfSignal):
    """What is measured on a signal from its initial and its final value: its excursion past that, or a time."""

    measured: steps.Measure

    def measure(self, item: Item) -> steps.Measure:
        """How, where that depends on the item."""
        return self.measured

    def reference(self, question: Question) -> Waveform:
        return self.measure(question.item)(pieces_of(question), *ends_of(question))

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.measured_on, measure=self.measure(question.item)))


class Overshoot(FromEnds):
    """How far a signal goes past its final value, counted away from the initial one."""

    name = "overshoot"
    called = ("overshoot", "overswing")
    measured = staticmethod(steps.overshoot)


class PercentOvershoot(FromEnds):
    """The overshoot as a share of the whole change, from the initial to the final value."""

    name = "percent overshoot"
    measures = NUMBER
    measured = staticmethod(steps.overshoot_share)


class PeakTime(FromEnds):
    """The instant at which a signal is farthest past its final value, on the problem's own clock."""

    name = "peak time"
    measures = TIME
    measured = staticmethod(steps.peak_time)
