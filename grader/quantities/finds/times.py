"""When and how fast: the time constant and the half-life, levels reached, settling and rise times."""

import re
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import islice, product

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Signal
from grader.circuit.resistance import time_constant
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import FIRST_ORDER, from_values
from grader.quantities.crossing import FALLING, RISING, counted, crossing
from grader.quantities.finding import Find
from grader.quantities.finds.extremes import FromEnds
from grader.quantities.links import asked_value, with_storage
from grader.quantities.quantities import is_share, share_of
from grader.quantities.question import Question
from grader.quantities.records import Asked
from grader.quantities.rules import Rule, follow, from_first
from grader.quantities.shared import from_other_interval
from grader.quantities.stretches import ends_of, from_own_expression, pieces_of
from grader.quantities.terminals import resistances_seen
from grader.quantities.thevenin import resistances
from grader.quantities.words import after_switching, ordinal, phrase, stretch_text
from grader.reading.render.typeset import stated_text
from grader.reading.render.waveform_tree import scalar_tree
from grader.values.dimension import TIME
from grader.values.functions import log
from grader.values.scalar import ZERO, Scalar, is_symbolic, to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform, constant


class TimeConstant(Asked):
    """The time constant of a response of first order: L over, or C times, the resistance seen."""

    name = Find.TAU
    measures = TIME

    def reference(self, question: Question) -> Waveform:
        return constant(time_constant(question.circuit, question.index, question.item.by, question.item.signal))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The resistance seen, with the storage element's value or the own combined one; the only rate of an own expression."""
        for item in question.earlier_here(Find.EXPRESSION):
            says = "This follows from the decay in your own expression."
            yield Rule(formula="x", uses=(("x", item.id),), says=says, step=steps.decay_time)
        by = question.item.by
        asked = (one for one in resistances_seen(question, by) if None in (one.by, by) or one.by == by)
        seen = next(asked, None)
        if seen is not None:
            says = "This follows from the resistance that you found the storage element to see."
            yield from _by_resistance(question, seen.by or by, Rule(formula="R", uses=(("R", seen.id),), says=says))
            return
        for way, name in resistances(question, by):
            rule = Rule(formula="R", uses=(), through=(("R", way),), says=way.says)
            yield from _by_resistance(question, name, rule)
        right = asked_value(question, None, Find.SEEN)
        if right is not None:
            says = "This follows from the element that you combined the storage elements into."
            yield from _by_combined(question, Rule(formula="R", uses=(), given=(("R", right),), says=says))
        yield from from_other_interval(question, Find.TAU)


def _by_resistance(question: Question, by: str | None, resistance: Rule) -> Iterator[Rule]:
    """L/R or R C with the resistance of a rule and with the own combined element, or the circuit's."""
    yield from _by_combined(question, resistance)
    for formula, given in with_storage(question, by, "L/R", "R*C"):
        yield replace(resistance, formula=formula, given=given)


def _by_combined(question: Question, resistance: Rule) -> Iterator[Rule]:
    """L/R or R C with the resistance of a rule and with the own combined element."""
    for combined, formula, letter in (("inductance", "L/R", "L"), ("capacitance", "R*C", "C")):
        for other in islice(question.earlier(f"equivalent {combined}"), 1):
            yield replace(resistance, formula=formula, uses=(*resistance.uses, (letter, other.id)))


class HalfLife(Asked):
    """The time in which a natural response of first order falls to half: τ ln 2."""

    name = "half life"
    measures = TIME

    def reference(self, question: Question) -> Waveform:
        return constant(time_constant(question.circuit, question.index, question.item.by)) * log(constant(fmpq(2)))

    def rules(self, question: Question) -> Iterator[Rule]:
        says = "This follows from your own time constant."
        yield from from_first(question.earlier_here(Find.TAU), "tau*ln(2)", says, name="tau")


def _level(question: Question) -> Scalar:
    """The level as stated, or that share of the way from the initial to the final value."""
    item = question.item
    if item.level_share is None:
        assert item.level is not None
        return item.level
    return steps.level_of_share(*ends_of(question), item.level_share)


_AFTER_THE_END = "Your own expression reaches it only after the time for which it holds."


class TimeToReach(Asked):
    """The instant at which a signal reaches a given value, for the first time or a later one, on the problem's own clock."""

    name = "time to reach"
    measures = TIME

    def reference(self, question: Question) -> Waveform:
        """The crossing in the interval meant, or in the stretch of time given, over actions too."""
        number, direction = counted(question.item)
        return crossing(pieces_of(question), _level(question), number=number, direction=direction)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's first crossing; initial value, final value and time constant."""
        level, share = _level(question), question.item.level_share
        number, direction = counted(question.item)
        reached = partial(crossing, level=level, number=number, direction=direction)
        if share is not None:
            measure = partial(steps.reached, share=share, number=number, direction=direction)
            yield from from_own_expression(question, partial(steps.measured_on, measure=measure))
        else:
            yield from from_own_expression(question, partial(steps.on_stretch, measure=reached))
            later = partial(steps.in_the_end, measure=reached)
            bounded = pieces_of(question)[-1][2] is not None
            for rule in from_own_expression(question, partial(steps.on_stretch, measure=later)) if bounded else ():
                yield replace(rule, says=_AFTER_THE_END)
        if len(pieces_of(question)) > 1:
            return
        yield from from_values(
            question,
            "t1+tau*ln((x0-xf)/(x2-xf))",
            "This follows from your own initial value, final value and time constant.",
            needs=FIRST_ORDER,
            given={"t1": constant(question.start), "x2": constant(level)},
        )
        if share is not None and number == 1 and not direction:
            formula = "t1+tau*ln(1/(1-k))"
            given = {"t1": constant(question.start), "k": constant(share)}
            says = "This follows from your own time constant."
            yield from from_values(question, formula, says, needs={"tau": Find.TAU}, given=given)

    def text(self, problem: Problem, item: Item) -> str:
        """With the level, which crossing of it counts, and in what time."""
        if item.level_share is not None:
            level = f"{to_float(item.level_share * 100):g} % of its whole change"
        else:
            assert item.level is not None
            assert item.signal is not None
            dimension = item.signal.dimension
            level = (
                stated_text(scalar_tree(item.level))
                if is_symbolic(item.level)
                else value_text(to_float(item.level), dimension, 6).replace("-", "−")
            )
        return f"Time t at which the {phrase(item.signal)} reaches {level}{_which(problem, item)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """A count from 1 to 99; a direction of two."""
        settings, found = dict(item.settings), list(_no_count(item))
        if settings.get("direction", RISING) not in (RISING, FALLING):
            found.append(f"'direction' must be '{RISING}' or '{FALLING}', not '{settings['direction']}'")
        return tuple(found)


def _no_count(item: Item) -> Iterator[str]:
    """What is wrong with which crossing counts."""
    count = dict(item.settings).get("crossing", "1")
    if not re.fullmatch(r"[1-9][0-9]?", count):
        yield f"'crossing' says which crossing counts, a whole number from 1 to 99, not '{count}'"


def _which(problem: Problem, item: Item) -> str:
    """Which crossing is meant, and in what time."""
    number, direction = counted(item)
    often = "" if number == 1 else f" for the {ordinal(str(number))} time"
    bounded = item.start is not None or item.until is not None
    where = f", {stretch_text(problem, item)}" if bounded else after_switching(problem, item)
    return f"{f', {direction}' if direction else ''}{often}{where}"


class TimeWhenEqual(Asked):
    """The instant at which a signal equals the same quantity of another element, for the first time or a later one."""

    name = Find.MEET
    measures = TIME

    def reference(self, question: Question) -> Waveform:
        """The zero of their difference, in the interval meant or in the stretch of time given."""
        both = zip(pieces_of(question), pieces_of(_the_other(question)), strict=True)
        number, _ = counted(question.item)
        try:
            return crossing([(mine - theirs, *when) for (mine, *when), (theirs, *_) in both], ZERO, number=number)
        except NotDefined as error:
            said = str(error).replace("the signal", "their difference").replace("has that value", "is zero")
            raise NotDefined(said.replace("that value", "zero")) from None

    def rules(self, question: Question) -> Iterator[Rule]:
        """The two as expressions, each as it stands or as it follows from earlier answers; the solver's where there is nothing."""
        start, end = question.stretch()
        if [index for index, _, _ in question.parts_of(start, end)] != [question.index]:
            return
        number, _ = counted(question.item)
        meet = partial(
            steps.on_stretch, spans=(("x", start, end),), measure=partial(crossing, level=ZERO, number=number)
        )
        says = "This follows from the two quantities as you have them."
        for ways in _together(_as_expression(question), _as_expression(_the_other(question))):
            both = tuple(zip(("x", "y"), ways, strict=True))
            own = tuple((name, way) for name, way in both if isinstance(way, Rule))
            given = tuple((name, way) for name, way in both if isinstance(way, Waveform))
            if own:
                difference = Rule(formula="x-y", uses=(), given=given, through=own, says=says)
                yield Rule(formula="x", uses=(), through=(("x", difference),), says=says, step=meet)

    def text(self, problem: Problem, item: Item) -> str:
        """With the other quantity, which meeting of them counts, and in what time."""
        return f"Time t at which the {phrase(item.signal)} equals the {phrase(other_of(item))}{_which(problem, item)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Another element of the circuit; a count from 1 to 99."""
        equals = dict(item.settings).get("equals", "")
        known = problem.circuit is not None and equals in [element.name for element in problem.circuit.elements]
        return (
            *_no_count(item),
            *(() if known else (f"'equals' must name an element of the circuit, not '{equals}'",)),
        )


def other_of(item: Item) -> Signal:
    """The same quantity of the other element."""
    assert item.signal is not None
    return replace(item.signal, of=dict(item.settings)["equals"])


def _the_other(question: Question) -> Question:
    return replace(question, item=replace(question.item, signal=other_of(question.item)))


def _as_expression(question: Question) -> list[Rule | Waveform]:
    """How a signal follows as an expression: the own one, or what leads to it; the solver's where nothing does."""
    here = replace(question, item=replace(question.item, find=Find.EXPRESSION))
    own = from_first(here.same_here(Find.EXPRESSION), "x", "This follows from your own expression.")
    return (
        [*own]
        or [one for one in question.asked(Find.EXPRESSION).rules(here) if _is_sound(one, here)]
        or [here.waveform]
    )


def _together(
    mine: Sequence[Rule | Waveform], theirs: Sequence[Rule | Waveform]
) -> Sequence[tuple[Rule | Waveform, ...]]:
    """Ways to both quantities: from the same earlier answers, where there are such."""
    pairs = list(product(mine, theirs))
    return [pair for pair in pairs if len({one.items for one in pair if isinstance(one, Rule)}) == 1] or pairs


def _is_sound(rule: Rule, question: Question) -> bool:
    """Whether a rule leads from the right earlier answers to the right one."""
    answers = {id: question.answer_to(question.problem.item(id)) for id in rule.items}
    return follow(rule, answers) == question.waveform


class SettlingTime(FromEnds):
    """How long a signal takes to stay within a band about its final value."""

    name = "settling time"
    measures = TIME

    def measure(self, item: Item) -> steps.Measure:
        return partial(steps.settling_time, band=share_of(dict(item.settings)["band"]))

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        return _no_shares(item, "2 %", "band")


class RiseTime(FromEnds):
    """How long a signal takes from ``low`` to ``high`` of its whole change."""

    name = "rise time"
    measures = TIME

    def measure(self, item: Item) -> steps.Measure:
        low, high = map(share_of, _levels(item))
        return partial(steps.rise_time, low=low, high=high)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        wrong = _no_shares(item, "10 %", "low", "high")
        low, high = _levels(item)
        return wrong or (() if share_of(low) < share_of(high) else ("'low' must be less than 'high'",))

    def text(self, problem: Problem, item: Item) -> str:
        low, high = _levels(item)
        where = after_switching(problem, item)
        return f"Rise time of the {phrase(item.signal)}, from {low} to {high} of the whole change{where}"


def _levels(item: Item) -> tuple[str, str]:
    found = dict(item.settings)
    return found.get("low", "10 %"), found.get("high", "90 %")


def _no_shares(item: Item, sample: str, *keys: str) -> tuple[str, ...]:
    """Settings that must be shares and are none."""
    wrong = [(key, text) for key, text in item.settings if key in keys and not is_share(text)]
    return tuple(f"'{key}' must be a share of the change, as \"{sample}\", not '{text}'" for key, text in wrong)
