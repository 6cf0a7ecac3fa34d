"""One item in its problem, with the solved circuit: what every file of the catalogue works on."""

from collections.abc import Callable, Hashable, Iterator
from operator import attrgetter
from typing import Any

from flint import fmpq
from msgspec import Struct, field
from msgspec.structs import replace

from grader.circuit.elements import Circuit, Signal
from grader.circuit.reduction import Reduced
from grader.circuit.response import Solved
from grader.errors import CircuitError, NotDefined
from grader.problem import Item, Problem
from grader.values.dimension import TIME
from grader.values.scalar import to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform

_NO_MATTER = ("id", "points", "parts", "text", "hint", "accept", "known_wrong")
_ASKED = attrgetter(*(name for name in Item.__struct_fields__ if name not in _NO_MATTER))
"""All that an item's answer depends on, besides its circuit."""


class Question(Struct, frozen=True, kw_only=True, eq=False):
    """An item in its problem; `grader.quantities.catalogue.question_of` makes one."""

    problem: Problem
    """As the rubric has it, like the item."""
    item: Item
    response: Solved | None
    """Of the circuit; None where the problem has none."""
    asked: Callable[[str], Any]
    """The catalogue's entry for a find: entries build upon one another's answers and rules."""
    known: dict[Any, Any] = field(default_factory=dict)
    """What was found already, or why there is nothing, by what is asked: rules ask for the same again and again."""

    @property
    def circuit(self) -> Circuit:
        """The circuit.

        Raises
        ------
        NotDefined
            If the problem has none.
        """
        if self.problem.circuit is None or self.response is None:
            raise NotDefined("the problem has no circuit to find this from")
        return self.problem.circuit

    @property
    def solved(self) -> Solved:
        """The response of the circuit; `NotDefined` as for that."""
        if self.response is None:
            raise NotDefined("the problem has no circuit to find this from")
        return self.response

    @property
    def index(self) -> int:
        """Which interval of the response is meant: the one that ``after`` opens, or the first after t = 0-.

        Raises
        ------
        NotDefined
            If nothing happens at the instant that ``after`` names.
        """
        return self.index_of(self.item)

    def index_of(self, item: Item) -> int:
        """`index` for another item of the same problem."""
        intervals = self.solved.intervals
        if item.after is None:
            return 1
        for index in range(1, len(intervals)):
            if intervals[index].start == item.after:
                return index
        instants = ", ".join(time_text(interval.start) for interval in intervals[1:])
        raise NotDefined(
            f"nothing happens at t = {time_text(item.after)}, so no interval begins there; "
            f"the circuit changes at t = {instants}"
        )

    @property
    def index_asked(self) -> int:
        """The interval that holds the instant asked; where none is, the one meant."""
        return self.index if self.item.at is None else self.index_at(self.item.at)

    def index_at(self, time: fmpq) -> int:
        """The interval that holds an instant; at a switching, the one that it opens."""
        intervals = self.solved.intervals
        return max(
            (k for k in range(1, len(intervals)) if intervals[k].start <= time),
            default=0,
        )

    @property
    def acting(self) -> Reduced:
        """The state equations that the signal asked obeys on the interval meant; all where none is asked."""
        return self.solved.acting_on(self.item.signal, self.index)

    def acts(self, element: str | None) -> bool:
        """Whether a storage element acts on the signal asked, on the interval meant; None is any."""
        return element not in {*self.solved.reduced(self.index).independent} - {*self.acting.independent}

    @property
    def element_meant(self) -> str | None:
        """The storage element named, or the only one that acts on the signal asked; None where there is no such one."""
        found = self.acting.independent if self.item.by is None and self.item.signal is not None else ()
        return found[0] if len(found) == 1 < self.solved.reduced(self.index).order else self.item.by

    @property
    def start(self) -> fmpq:
        """The instant that opens the interval meant, in seconds."""
        start = self.solved.intervals[self.index].start
        return fmpq(0) if start is None else start

    @property
    def end(self) -> fmpq | None:
        """The instant that closes the interval meant; None: it lasts."""
        return self.solved.intervals[self.index].end

    def stretch(self, *, lasting: bool = False) -> tuple[fmpq, fmpq | None]:
        """The time an item speaks of, in seconds: ``from`` and ``until``, where they are given.

        Unless one is, it is the interval meant; where ``lasting``, from its opening on for good.

        Raises
        ------
        NotDefined
            If it ends before it begins.
        """
        item = self.item
        start = self.start if item.start is None else item.start
        bounded = item.start is not None or item.until is not None or lasting
        end = item.until if bounded else self.end
        if end is not None and end <= start:
            raise NotDefined(f"'until' must be later than t = {time_text(start)}, from which on it is counted")
        return start, end

    def parts_of(self, start: fmpq, end: fmpq | None) -> Iterator[tuple[int, fmpq, fmpq | None]]:
        """A stretch of time cut at the actions: which interval, from when, until when."""
        for index, (opened, closed) in enumerate(self.solved.intervals):
            first = start if opened is None else max(start, opened)
            last = closed if end is None else end if closed is None else min(end, closed)
            if last is None or first < last:
                yield index, first, last

    @property
    def signal(self) -> Signal:
        """The signal asked.

        Raises
        ------
        NotDefined
            If the item names none.
        """
        if self.item.signal is None:
            raise NotDefined("no signal is named")
        return self.item.signal

    @property
    def waveform(self) -> Waveform:
        """The signal on the interval meant, in global t."""
        return self.solved.waveform(self.signal, self.index)

    def answer_to(self, item: Item) -> Any:
        """The solver's answer to an item of the same problem.

        Raises
        ------
        NotDefined
            If it has none.
        """
        place = _ASKED(item)
        if place not in self.known:
            try:
                self.known[place] = self.asked(item.find).reference(replace(self, item=item))
            except (NotDefined, CircuitError) as error:
                self.known[place] = error
        found = self.known[place]
        if isinstance(found, Exception):
            raise found
        return found

    def once(self, place: Hashable, work: Callable[[], Any]) -> Any:
        """What was found already under a name of the caller's, or is found now."""
        if place not in self.known:
            self.known[place] = work()
        return self.known[place]

    def earlier(self, *finds: str) -> Iterator[Item]:
        """The items listed before this one with one of these finds, nearest first."""
        ids = [item.id for item in self.problem.items]
        for item in reversed(self.problem.items[: ids.index(self.item.id)]):
            if item.find in finds:
                yield item

    def earlier_here(self, *finds: str) -> Iterator[Item]:
        """Those of `earlier` that look at the same interval."""
        for item in self.earlier(*finds):
            try:
                same = self.index_of(item) == self.index
            except NotDefined:
                continue
            if same:
                yield item

    def same_here(self, *finds: str) -> Iterator[Item]:
        """Those of `earlier_here` that ask for the very same signal."""
        return (item for item in self.earlier_here(*finds) if self.about(item) == 1)

    def about(self, item: Item) -> int:
        """1 if an item's signal is the one asked, -1 if it is the same counted the other way, else 0."""
        if self.item.signal is None or item.signal is None:
            return 0
        return same_signal(self.circuit, item.signal, self.item.signal)


def same_signal(circuit: Circuit, one: Signal, other: Signal) -> int:
    """1 where two signals are the same, -1 where one is the other's negative, 0 otherwise.

    The voltage of an element is that between its nodes.
    """
    if one == other:
        return 1
    if one.kind != "voltage" or other.kind != "voltage":
        return 0
    first, second = nodes_of_voltage(circuit, one), nodes_of_voltage(circuit, other)
    if first is None or second is None:
        return 0
    if first == second:
        return 1
    return -1 if first == second[::-1] else 0


def nodes_of_voltage(circuit: Circuit, signal: Signal) -> tuple[str, str] | None:
    """The two nodes of a voltage, first minus second; None for an element without two fixed ends."""
    if not isinstance(signal.of, str):
        return signal.of
    nodes: tuple[str, str] | None = getattr(circuit.element(signal.of), "between", None)
    return nodes


def time_text(time: fmpq) -> str:
    """An instant as an instructor writes it: ``"2 ms"``."""
    return value_text(to_float(time), TIME, digits=6)
