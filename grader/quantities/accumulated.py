"""What a current or voltage adds up to over a stretch of time, by its ends: ``q = C (v(t2) - v(t1))``, the source's share besides.

Whoever counts a charge so starts from their own values at both ends, or from their own expression taken there; the way by the
integral of the current is in `stretches`.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from itertools import product
from typing import NamedTuple, TypeAlias

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import (
    CoupledInductors,
    CurrentSource,
    Resistor,
    Signal,
    Source,
    Storage,
    VoltageSource,
    own_signal,
)
from grader.circuit.elimination import Row, add_scaled
from grader.circuit.reduction import Reduced
from grader.errors import NotDefined
from grader.problem import Item
from grader.quantities import steps
from grader.quantities.composed import asked_earlier
from grader.quantities.finding import Find
from grader.quantities.links import CURRENT_AND_VOLTAGE, is_own_quantity, proportion, weights_on
from grader.quantities.question import Question
from grader.quantities.rules import Rule, from_first
from grader.quantities.words import phrase
from grader.values.scalar import HALF, ONE, ZERO, Scalar
from grader.values.waveform import Waveform, constant

CHARGE = "charge passed"
ENERGIES = ("energy dissipated", "energy delivered")

Stretch: TypeAlias = tuple[int, fmpq, fmpq | None]
"""The interval of the response, and from when until when (None: for good)."""


class Ends(NamedTuple):
    """The earlier items that give a signal at the end of a stretch of time and at its start; None: the solver's values."""

    last: Item | None
    first: Item | None

    def uses(self, number: str = "") -> tuple[tuple[str, str], ...]:
        """The names of `steps.at_ends` for these items."""
        named = ((f"x{number}", self.last), (f"y{number}", self.first))
        return tuple((name, item.id) for name, item in named if item is not None)

    def given(
        self, question: Question, signal: Signal, index: int, number: str = ""
    ) -> tuple[tuple[str, Waveform], ...]:
        """The solver's own expression for what no item gives."""
        right = question.solved.waveform(signal, index)
        named = ((f"x{number}", self.last), (f"y{number}", self.first))
        return tuple((name, right) for name, item in named if item is None)


def accumulated(question: Question, signal: Signal, scale: Waveform) -> Iterator[Rule]:
    """How the integral of ``scale`` times a current or voltage, over the stretch asked, follows from own values.

    Of what the signal is the derivative of, sources aside, the change counts; of what is in proportion to it, or of its charge, a share.
    """
    found = _one_interval(question)
    if found is None or signal.kind not in CURRENT_AND_VOLTAGE:
        return
    index, start, end = found
    reduced = question.solved.reduced(index)
    mine, whole = _row(question, signal, index), question.solved.waveform(signal, index) * scale

    def shares(theirs: Row, part: Waveform) -> Iterator[tuple[tuple[str, Waveform], ...]]:
        """``k``, how much of a part the integral holds, and ``a``, what sources add; nothing where that hangs on more than the part."""
        factor = proportion(mine, theirs, range(reduced.order))
        if factor is not None:
            k = scale.scaled(factor)
            with suppress(NotDefined):  # for good sources may add more and more
                yield ("a", steps.integral(whole - part * k, start, end)), ("k", k)

    for item in question.earlier(CHARGE):
        assert item.signal is not None
        if same_stretch(item, question.item):
            for given in shares(_row(question, item.signal, index), question.solved.waveform(item.signal, index)):
                says = f"This follows from your own charge through {item.signal.of}."
                yield Rule(formula="a+k*q", uses=(("q", item.id),), given=given, says=says)
    for own in _signals(question):
        theirs, part = _row(question, own, index), question.solved.waveform(own, index)
        written = _written(question, own, index)
        for given in shares(theirs, part):
            says, step = (
                f"This follows from your own {phrase(own)}.",
                partial(steps.share_of_integral, start=start, end=end),
            )
            yield from from_first(written, "a+k*(integral of x)", says, given=dict(given), step=step)
        for given in shares(_rate(reduced, theirs), part.derivative()):
            for ends in _ends(question, own, found):
                yield Rule(
                    formula="a+k*(x-y)",
                    uses=ends.uses(),
                    given=(*given, *ends.given(question, own, index)),
                    says=f"This follows from the change of your own {phrase(own)}.",
                    step=partial(steps.at_ends, formula="a+k*(x-y)", start=start, end=end),
                )


def heat_left(question: Question) -> Iterator[Rule]:
    """What turns to heat in all resistors, or a fixed share of it: what the one source delivers, less the change of what is stored."""
    found = _one_interval(question)
    if found is None:
        return
    index, start, end = found
    storing, sources, heating = _acting(question, index)
    share = _share_of_heat(question, question.item.of, heating, index)
    if share is None or len(sources) > 1:
        return
    every = [[*_ends(question, own_signal(one), found)] or [Ends(None, None)] for one in storing]
    kept = "".join(("w", *(f"-c{n}*(x{n}^2-y{n}^2)" for n, _ in enumerate(storing, start=1))))
    formula = kept if share == ONE else f"k*({kept})"
    ways: list[Rule | None] = [*_delivered(question, sources, index)]
    for way, ends in product(ways or [None], product(*every)):
        uses: list[tuple[str, str]] = []
        given: list[tuple[str, Waveform]] = [("k", constant(share))]
        if way is None:
            given.append(("w", steps.integral(_taken(question, sources, index), start, end)))
        for number, (element, one) in enumerate(zip(storing, ends, strict=True), start=1):
            uses += one.uses(f"{number}")
            given += one.given(question, own_signal(element), index, f"{number}")
            given.append((f"c{number}", constant(element.value * HALF)))
        if uses or way is not None:
            yield Rule(
                formula=formula,
                uses=tuple(uses),
                given=tuple(given),
                says="This follows from your own values by the balance of energy.",
                step=partial(steps.at_ends, formula=formula, start=start, end=end),
                through=() if way is None else (("w", way),),
                aside=True,
            )


def _share_of_heat(question: Question, names: Sequence[str], heating: Collection[str], index: int) -> Scalar | None:
    """How much of the heat of all that turns power to heat some take; None where that changes in time, or is not all in resistors."""
    if {*names} == {*heating}:
        return ONE
    elements = [question.circuit.element(name) for name in heating]
    if not {*names} <= {*heating} or not all(isinstance(one, Resistor) for one in elements):
        return None
    rows = {one.name: _row(question, Signal(kind="current", of=one.name), index) for one in elements}
    first = rows[names[0]]
    factors = {name: proportion(row, first, {*row, *first}) for name, row in rows.items()}
    if None in factors.values():
        return None
    heats = {
        one.name: one.value * factors[one.name] * factors[one.name] for one in elements if isinstance(one, Resistor)
    }
    share: Scalar = sum((heats[name] for name in names), start=ZERO) / sum(heats.values(), start=ZERO)
    return share


def in_proportion(question: Question) -> Iterator[Rule]:
    """An energy that is a fixed multiple of an own one: by heats in proportion; for good, where all goes with the strength of one drive."""
    found = _one_interval(question)
    if found is None:
        return
    _, _, heating = _acting(question, found[0])
    for item in question.earlier(*ENERGIES, Find.STORED):
        factor = _multiple(question, item, found, heating)
        if factor is not None:
            says = "It is a fixed multiple of an energy that you found before."
            yield Rule(formula="k*w", uses=(("w", item.id),), given=(("k", factor),), says=says)


def _multiple(question: Question, item: Item, stretch: Stretch, heating: Collection[str]) -> Waveform | None:
    """Which fixed multiple of an earlier item's energy is asked; None where it is of another stretch, or the ratio is not fixed."""
    index, start, end = stretch
    held = item.find == Find.STORED and (item.at == start if item.at is not None else question.index_of(item) == index)
    if not (held or (item.find in ENERGIES and same_stretch(item, question.item))):
        return None
    if item.find == question.item.find == Find.DISSIPATED:
        part, other = (_share_of_heat(question, one.of, heating, index) for one in (question.item, item))
        if part is not None and other is not None:
            return constant(part / other)
    if end is not None:
        return None
    mine, theirs = question.answer_to(question.item), question.answer_to(item)
    share = _share_of_heat(question, question.item.of, heating, index) if held else None
    if share is not None and mine == theirs.scaled(share):  # all that is stored, or a fixed share of it, turns to heat
        return constant(share)
    rational = mine.is_number and theirs.is_number and theirs.terms
    return mine / theirs if rational and _drives(question, (*question.item.of, *item.of), index) == 1 else None


def _drives(question: Question, names: Iterable[str], index: int) -> int:
    """How many sources, and storage elements that are not empty at the start, act on the power of some elements."""
    every = [question.solved.acting_on(Signal(kind="power", of=name), index) for name in names]
    storing = (question.circuit.element(name) for name in {name for acting in every for name in acting.independent})
    start = question.solved.opening(index) or ZERO
    begins = [question.solved.waveform(own_signal(one), index).at(start) for one in storing]
    fed = any(column >= acting.order for acting in every for row in acting.derivatives for column in row)
    return sum(bool(value.terms) for value in begins) + (len(_acting(question, index)[1]) if fed else 0)


def _acting(question: Question, index: int) -> tuple[list[Storage], list[Source], set[str]]:
    """What takes power: the elements that store, the sources, and the names of what turns it to heat; a coupling takes its coils'."""
    elements = (one for one in question.circuit.elements if not isinstance(one, CoupledInductors))
    acting = [one for one in elements if _takes_power(question, one.name, index)]
    storing = [one for one in acting if isinstance(one, Storage)]
    sources: list[Source] = [one for one in acting if isinstance(one, (VoltageSource, CurrentSource))]
    return storing, sources, {one.name for one in acting} - {one.name for one in (*storing, *sources)}


def _delivered(question: Question, sources: Sequence[Source], index: int) -> Iterator[Rule]:
    """The energy of the one source, as it was answered, or as it follows."""
    for source in sources:
        for item in question.earlier("energy delivered"):
            if item.of == (source.name,) and same_stretch(item, question.item):
                yield Rule(formula="w", uses=(("w", item.id),), says="")
                return
        yield from delivered_by(question, source, index)


def delivered_by(question: Question, source: Source, index: int) -> Iterator[Rule]:
    """The energy that a source of constant strength delivers, from what its own other quantity adds up to."""
    drive = question.solved.waveform(Signal(kind=source.delivers, of=source.name), index)
    other = "current" if source.delivers == "voltage" else "voltage"
    if drive.is_constant:
        yield from accumulated(question, Signal(kind=other, of=source.name), -drive)


def same_stretch(one: Item, other: Item) -> bool:
    """Whether two items speak of the same stretch of time."""
    return (one.after, one.start, one.until) == (other.after, other.start, other.until)


def _ends(question: Question, own: Signal, stretch: Stretch) -> Iterator[Ends]:
    """Where a signal's values at both ends of a stretch come from: the values asked, and the expression."""
    index, start, end = stretch
    here, written = _on(question, own, index), _written(question, own, index)
    first = asked_earlier(here, Find.INITIAL) if start == here.start else _value_at(here, start)
    last = asked_earlier(here, Find.FINAL) if end is None else _value_at(here, end)
    if last is not None or (end is None and first is not None):
        yield Ends(last, first or next(iter(written), None))
    yield from (Ends(one, one) for one in written[:1])


def _on(question: Question, own: Signal, index: int) -> Question:
    """The question for another signal on an interval."""
    return replace(question, item=replace(question.item, signal=own, after=question.solved.opening(index)))


def _written(question: Question, own: Signal, index: int) -> list[Item]:
    """The earlier items that ask for the expression of a signal on an interval."""
    return [*_on(question, own, index).same_here(Find.EXPRESSION)]


def _value_at(question: Question, time: fmpq) -> Item | None:
    """The earlier item that gives the signal at an instant, or just before it."""
    for item in question.earlier(Find.AT, Find.JUST_BEFORE, Find.INITIAL):
        lasting = item.find == Find.JUST_BEFORE or is_own_quantity(question.circuit, question.signal)
        at = item.at if item.find == Find.AT else item.after if lasting else None
        if at == time and question.about(item) == 1:
            return item
    return None


def _one_interval(question: Question) -> Stretch | None:
    """The interval that holds all of the stretch asked, and its ends; None where several do, or it begins before anything acts."""
    start, end = question.stretch(lasting=True)
    (index, *_), *others = question.parts_of(start, end)
    return None if others or not index else (index, start, end)


def _signals(question: Question) -> Iterable[Signal]:
    """The currents and voltages whose values or expressions earlier items ask."""
    items = question.earlier(Find.AT, Find.EXPRESSION, Find.FINAL, Find.INITIAL, Find.JUST_BEFORE)
    asked = (item.signal for item in items)
    return dict.fromkeys(one for one in asked if one is not None and one.kind in CURRENT_AND_VOLTAGE)


def _row(question: Question, signal: Signal, index: int) -> Row:
    return question.solved.reduced(index).free(dict(weights_on(question, signal, index)))


def _rate(reduced: Reduced, row: Row) -> Row:
    """The derivative of what a row stands for."""
    total: Row = {}
    for column, factor in row.items():
        add_scaled(total, reduced.matrix[column], factor)
    return total


def _taken(question: Question, sources: Sequence[Source], index: int) -> Waveform:
    """The power that sources deliver."""
    powers = (question.solved.waveform(Signal(kind="power", of=one.name), index) for one in sources)
    return -sum(powers, start=Waveform())


def _takes_power(question: Question, name: str, index: int) -> bool:
    return bool(question.solved.waveform(Signal(kind="power", of=name), index).terms)
