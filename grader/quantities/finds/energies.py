"""Energies, mean power and charge over a stretch of time, and what is lost at an instant."""

from collections.abc import Iterator
from functools import partial

from grader.circuit.elements import (
    CurrentSource,
    DependentSource,
    IdealOpAmp,
    Resistor,
    Signal,
    Source,
    Storage,
    VoltageSource,
)
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.accumulated import ENERGIES, accumulated, delivered_by, heat_left, in_proportion
from grader.quantities.balances import charge_shared, heat_from_balance, lost_at_once
from grader.quantities.finding import Find
from grader.quantities.links import CURRENT_AND_VOLTAGE, is_signal, ratio
from grader.quantities.question import Question
from grader.quantities.records import Asked, of_other_kinds
from grader.quantities.rules import Rule, from_first
from grader.quantities.stretches import (
    energy_taken,
    from_its_parts,
    from_own_expression,
    pieces_of,
    stored,
    taken_at_once,
)
from grader.quantities.words import phrase, stretch_text
from grader.values.dimension import CHARGE, ENERGY, NUMBER, POWER
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import Waveform, constant

SOURCES = (VoltageSource, CurrentSource, DependentSource, IdealOpAmp)


class EnergyDelivered(Asked):
    """The energy that sources deliver in a stretch of time; negative where they take it up."""

    name = "energy delivered"
    measures = ENERGY

    def reference(self, question: Question) -> Waveform:
        """The integral of -v i over every interval that the stretch of time meets."""
        return -energy_taken(question, question.item.of)

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_its_parts(question)
        start, end = question.stretch(lasting=True)
        parts = list(question.parts_of(start, end))
        if len(parts) != 1 or len(question.item.of) != 1:
            return
        power = Signal(kind="power", of=question.item.of[0])
        own = (one for one in question.earlier(Find.EXPRESSION) if is_signal(question.circuit, one, power))
        here = (one for one in own if question.index_of(one) == parts[0][0])
        says = f"This follows from your own power of {question.item.of[0]}."
        yield from from_first(here, "-x", says, step=partial(steps.delivered, start=start, end=end))
        source = question.circuit.element(question.item.of[0])
        if isinstance(source, (VoltageSource, CurrentSource)):
            yield from delivered_by(question, source, parts[0][0])
        yield from in_proportion(question)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        others = of_other_kinds(problem, item, SOURCES)
        return tuple(f"'of': {name} is no source; energy is delivered by sources" for name in others)


def _from_expressions(question: Question) -> Iterator[Rule]:
    """The heat of resistors from an own current or voltage that theirs are multiples of: ``integral of (R1 + R2) i^2``."""
    resistors = [question.circuit.element(name) for name in question.item.of]
    start, end = question.stretch(lasting=True)
    parts = list(question.parts_of(start, end))
    if len(parts) > 1:
        return
    for item in question.earlier(Find.EXPRESSION):
        signal = item.signal
        if question.index_of(item) != parts[0][0] or signal is None or signal.kind not in CURRENT_AND_VOLTAGE:
            continue
        factor: Scalar = ZERO
        for one in resistors:
            share = ratio(question, Signal(kind="current", of=one.name), signal, parts[0][0])
            if not isinstance(one, Resistor) or share is None:
                break
            factor = factor + one.value * share * share
        else:
            yield Rule(
                formula="integral of k*x^2",
                uses=(("x", item.id),),
                given=(("k", constant(factor)),),
                says=f"This follows from your own {phrase(signal)}.",
                step=partial(steps.dissipated, start=start, end=end),
            )


class EnergyDissipated(Asked):
    """The energy turned to heat in resistors, from a switching on for good, or in a stretch of time."""

    name = "energy dissipated"
    measures = ENERGY

    def reference(self, question: Question) -> Waveform:
        """The integral of the power over every interval that the stretch of time meets."""
        return energy_taken(question, question.item.of)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression of the resistor's current or voltage; its fixed share of the energy stored at the start."""
        yield from from_its_parts(question)
        yield from _from_expressions(question)
        yield from in_proportion(question)
        yield from heat_from_balance(question)
        yield from heat_left(question)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        others = of_other_kinds(problem, item, (Resistor,))
        return tuple(f"'of': {name} is no resistor; energy is dissipated in resistors" for name in others)


class EnergyShare(Asked):
    """The energy that ``of`` takes up as a share of what ``out_of`` takes up or delivers; a number or in per cent."""

    name = "energy share"
    measures = NUMBER

    def reference(self, question: Question) -> Waveform:
        part, whole = (energy_taken(question, names) for names in (question.item.of, whole_of(question.item)))
        if not whole.terms:
            raise NotDefined(f"{' and '.join(whole_of(question.item))} takes up no energy in all, so it has no shares")
        share = part / whole
        return -share if share.is_number and not share.is_symbolic and share.value() < 0 else share

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own energies of both, over the same stretch of time."""
        uses = []
        for name, elements in (("w", question.item.of), ("all", whole_of(question.item))):
            for item in question.earlier(*ENERGIES):
                same = (item.after, item.start, item.until) == (
                    question.item.after,
                    question.item.start,
                    question.item.until,
                )
                if set(item.of) == set(elements) and same:
                    uses.append((name, item.id))
                    break
        if len(uses) == 2:
            yield Rule(formula="w/all", uses=tuple(uses), says="This follows from your own energies.")

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        known = [] if problem.circuit is None else [element.name for element in problem.circuit.elements]
        return tuple(
            f"'out_of': there is no element '{name}'" for name in whole_of(item) if known and name not in known
        )

    def text(self, problem: Problem, item: Item) -> str:
        of, whole = " and ".join(item.of), " and ".join(whole_of(item))
        return f"Share of the energy of {whole} that {of} takes up {stretch_text(problem, item, lasting=True)}, in per cent"


def whole_of(item: Item) -> tuple[str, ...]:
    """The elements whose energy is the whole."""
    return tuple(dict(item.settings).get("out_of", "").replace(",", " ").split())


class EnergyLost(Asked):
    """The energy that is gone at the instant of a switching: capacitors joined, or coils, by nothing that limits the impulse."""

    name = "energy lost"
    measures = ENERGY

    def reference(self, question: Question) -> Waveform:
        """What was stored before, and what impulses in the sources deliver, less what is stored after."""
        just_after = partial(question.solved.just_after, index=question.index)
        return (
            _stored_before(question) - stored(question.circuit, _storing(question), just_after) + _delivered(question)
        )

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own values of what jumps, before and after."""
        yield from lost_at_once(question, _delivered(question))


def _storing(question: Question) -> tuple[str, ...]:
    return tuple(element.name for element in question.circuit.elements if isinstance(element, Storage))


def _stored_before(question: Question) -> Waveform:
    """All that is stored just before the switching, couplings included."""
    return stored(question.circuit, _storing(question), partial(question.solved.just_before, index=question.index))


def _delivered(question: Question) -> Waveform:
    """What sources deliver in the impulse: their voltage times the charge, their current times the flux."""
    total = Waveform()
    for impulse in question.solved.impulses:
        if impulse.time == question.start and isinstance(question.circuit.element(impulse.element), Source):
            total = total - taken_at_once(question, impulse)
    return total


class AveragePower(Asked):
    """The mean of the power that an element takes in a stretch of time."""

    name = "average power"
    measures = POWER

    def reference(self, question: Question) -> Waveform:
        """The energy taken, that of impulses with it, over the time."""
        start, end = question.stretch()
        if end is None:
            raise NotDefined("a mean is taken over a bounded time")
        assert isinstance(question.signal.of, str)
        return energy_taken(question, [question.signal.of], lasting=False).scaled(ONE / (end - start))

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_own_expression(question, partial(steps.on_stretch, measure=steps.mean))

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        wrong = item.signal is not None and item.signal.kind != "power"
        return ('an average power is that of an element\'s power; name it, as in power = "R1"',) if wrong else ()


class ChargePassed(Asked):
    """The charge that passes through an element in a stretch of time, counted in its own direction."""

    name = "charge passed"
    measures = CHARGE

    def reference(self, question: Question) -> Waveform:
        """The integral of the current, and what impulses carry."""
        start, end = question.stretch(lasting=True)
        total = steps.whole_integral(pieces_of(question, lasting=True))
        for impulse in question.solved.impulses:
            inside = start <= impulse.time and (end is None or impulse.time < end)
            if inside and impulse.kind == "charge" and impulse.element == question.signal.of:
                total = total + impulse.amount
        return total

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_its_parts(question)
        yield from accumulated(question, question.signal, constant(ONE))
        yield from charge_shared(question)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        wrong = item.signal is not None and item.signal.kind != "current"
        return ('charge is passed by a current; name one, as in current = "R1"',) if wrong else ()

    def text(self, problem: Problem, item: Item) -> str:
        assert item.signal is not None
        return f"Charge that passes through {item.signal.of} {stretch_text(problem, item, lasting=True)}"
