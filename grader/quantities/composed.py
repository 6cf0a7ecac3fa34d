"""Answers made of several earlier ones: the response of first order, of second order, and what roots say.

A name in such a formula is the student's own answer where it was asked earlier, and the solver's where it was not.
"""

import re
from collections.abc import Iterator, Mapping
from functools import partial
from itertools import combinations, product
from typing import TypeAlias

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import other_signal, own_signal
from grader.problem import Item
from grader.quantities import steps
from grader.quantities.finding import Find
from grader.quantities.intervals import in_one_response
from grader.quantities.links import (
    CURRENT_AND_VOLTAGE,
    asked_value,
    held_before,
    is_own_quantity,
    passives,
    weights_on,
    with_storage,
)
from grader.quantities.question import Question
from grader.quantities.rules import Rule, Step, from_first
from grader.quantities.second_order import CRITICAL, expression, response
from grader.quantities.shared import from_other_interval, in_common
from grader.quantities.terminals import resistances_seen
from grader.regex import regex
from grader.values.comparison import ROUNDING, close
from grader.values.dimension import TIME
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import Waveform, constant


def from_values(
    question: Question,
    formula: str,
    says: str,
    *,
    needs: Mapping[str, str],
    step: Step | None = None,
    given: Mapping[str, Waveform] | None = None,
    uses: tuple[tuple[str, str], ...] = (),
    through: tuple[tuple[str, Rule], ...] = (),
) -> Iterator[Rule]:
    """A rule whose names are earlier items where they were asked, and the solver's own values where not.

    ``formula``, ``says``, ``step`` and ``through`` are as in `Rule`.  Each name of ``needs`` is the answer to a find, for this interval,
    or for one that has it in common with it, and for this signal where the find has one; ``given`` are further values by name,
    ``uses`` further earlier items.
    """
    used, ways = list(uses), list(through)
    fixed = dict(given or {})
    for name, find in needs.items():
        item = asked_earlier(question, find)
        if item is not None:
            used.append((name, item.id))
            continue
        if shared := next(from_other_interval(question, find), None):
            ways.append((name, shared))
            continue
        value = asked_value(question, question.item.signal, find)
        if value is None:
            return
        fixed[name] = value
    if used or ways:
        yield Rule(
            formula=formula, uses=tuple(used), given=tuple(fixed.items()), says=says, step=step, through=tuple(ways)
        )


def asked_earlier(question: Question, find: str) -> Item | None:
    """The nearest earlier item that gives an ingredient."""
    for item in question.earlier_here(find):
        about = item.signal is None or question.item.signal is None or question.about(item) == 1
        if about and question.acts(item.by):
            return item
    if find in OF_THE_CIRCUIT:  # the same circuit again after another switching has the same one
        here = asked_value(question, question.item.signal, find)
        for item in question.earlier(find):
            if here is not None and question.answer_to(item) == here:
                return item
    if find == Find.INITIAL and is_own_quantity(question.circuit, question.signal):
        before = asked_earlier(question, Find.JUST_BEFORE) or next(at_the_start(question), None)  # it cannot jump
        return before or next(held_before(question), None)
    return None


def at_the_start(question: Question) -> Iterator[Item]:
    """Earlier items that ask the signal's value at the instant that opens the interval."""
    for item in question.earlier(Find.AT):
        if item.at == question.start and question.about(item) == 1:
            yield item


OF_THE_CIRCUIT = (Find.TAU, Find.ALPHA, Find.OMEGA0, Find.OMEGA_D)
"""What the circuit of an interval has by itself, whatever signal is asked and however it starts."""

FIRST_ORDER = {"x0": Find.INITIAL, "xf": Find.FINAL, "tau": Find.TAU}
"""What the response of first order is made of."""


FIRST_ORDER_RESPONSE = "xf+(x0-xf)*e^(-(t-t1)/tau)"


def first_order(
    question: Question,
    formula: str,
    says: str,
    *,
    end: str = Find.FINAL,
    given: Mapping[str, Waveform] | None = None,
    through: tuple[tuple[str, Rule], ...] = (),
) -> Iterator[Rule]:
    """A rule in ``x0``, ``xf``, ``tau`` and ``t1``, the instant that opens the interval; tau by the resistance seen where it was not asked.

    ``end`` is the find that gives ``xf``; ``given`` and ``through`` as in `from_values`.
    """
    given = {"t1": constant(question.start), **(given or {})}
    ends = {"x0": Find.INITIAL, "xf": end}
    yield from from_values(question, formula, says, needs={**ends, "tau": Find.TAU}, given=given, through=through)
    seen = next((one for one in resistances_seen(question) if question.acts(one.by)), None)
    if seen is None or asked_earlier(question, Find.TAU) is not None:
        return
    for tau, own in with_storage(question, None, "(L/R)", "(R*C)"):
        by_resistance, uses = {**given, **dict(own)}, (("R", seen.id),)
        law = formula.replace("tau", tau)
        yield from from_values(question, law, says, needs=ends, given=by_resistance, uses=uses, through=through)


def by_constants(question: Question) -> Iterator[Rule]:
    """The response of first order with its constants, ``xf + b e^(-(t-t1)/tau)``, as they were stated earlier."""
    if not any(True for _ in question.earlier(STATED)):
        return
    x0, xf = (asked_value(question, question.item.signal, find) for find in (Find.INITIAL, Find.FINAL))
    if x0 is None or xf is None:
        return
    for own in _as_stated(question, {"xf": xf, "b": x0 - xf}):
        law = FIRST_ORDER_RESPONSE.replace("(x0-xf)", "b") if "b" in own else FIRST_ORDER_RESPONSE
        needs = {name: find for name, find in FIRST_ORDER.items() if name in law and name not in own}
        says, given = (
            "This follows from your own constants, put into the general solution.",
            {"t1": constant(question.start)},
        )
        yield from from_values(question, law, says, needs=needs, given=given, through=tuple(own.items()))


def _as_stated(question: Question, constants: Mapping[str, Waveform], per_time: str = "") -> Iterator[dict[str, Rule]]:
    """What stands for the constants of a response where earlier stated values are these; the one ``per_time`` is a factor of t."""
    ways = ([None, *_own(question, name, right, name == per_time)] for name, right in constants.items())
    for taken in product(*ways):
        own = dict(one for one in taken if one is not None)
        if own and len({way.uses for way in own.values()}) == len(own):
            yield own


def _own(question: Question, name: str, right: Waveform, per_time: bool) -> Iterator[tuple[str, Rule]]:
    """The earlier stated values that are a constant: of its dimension, its value and its sign, and said by the rubric to be it."""
    measure = question.asked(question.item.find).dimension(question.problem, question.item)
    measure = measure.over(TIME) if per_time and measure else measure
    for item in question.earlier(STATED) if right.terms and not right.is_symbolic else ():
        theirs = question.answer_to(item)
        plain = isinstance(theirs, Waveform) and theirs.is_constant and not theirs.is_symbolic
        alike = plain and question.asked(STATED).dimension(question.problem, item) == measure
        if alike and close(theirs.value(), right.value(), ROUNDING) and _is_said(question, item, name):
            given = (("k", right / theirs),)
            yield name, Rule(formula="k*x", uses=(("x", item.id),), given=given, says="This is your own constant.")


def _is_said(question: Question, item: Item, constant: str) -> bool:
    """Whether the rubric says that a stated value is a constant of the response: by its name, or a key that names what was asked of the signal."""
    said = item.text.strip() or item.id
    names = {one[0] for one in (_NAME.match(said), _NAME.fullmatch(item.id)) if one} - {
        one.name for one in question.circuit.elements
    }
    for name in map(re.escape, names):
        if re.search(rf"(?<![\w^]){name}\s*{_NATURAL}", said):
            return constant != "xf"
        alone = re.match(rf"{name}\s*(?:$|[,:;=(])", said) or re.search(
            rf"(?:constant|coefficient)\s+{name}(?!\w)", said
        )
        if alone or (re.search(_NATURAL, said) and re.search(rf"[-−+=(]\s*{name}(?!\w)", said)):
            return True
    rules = question.asked(STATED).rules(replace(question, item=item))
    named = {id for rule in rules for _, id in rule.uses}
    return any(one.id in named for one in question.same_here(*(one.find for one in question.problem.items)))


_NAME = regex(r"[^\W\d_ituvqwpITUVQWP]_?[0-9₀-₉]?(?!\w)")
"""What a constant is called; i, v and their like are quantities."""
_NATURAL = r"[*·×]?\s*(?:e\s*\^|(?:exp|cos|sin)(?![^\W\d_]))"
"""What a constant of the natural part stands before."""


STATED = "stated value"


def forced_first_order(question: Question) -> Iterator[Rule]:
    """The response of first order to any source: what it forces, and what the start differs from that dying away."""
    end, forced = _end(question), asked_value(question, question.item.signal, Find.FORCED)
    if end != Find.FORCED or forced is None:
        return
    if asked_value(question, question.item.signal, Find.TAU) is None:
        yield from _growing(question, forced)
        return
    asked = asked_earlier(question, Find.FORCED)
    at_start = partial(steps.derivative_at, time=question.start)
    says = "This follows from your own initial value, forced part and time constant."
    yield from first_order(
        question,
        "xf+(x0-p)*e^(-(t-t1)/tau)",
        says,
        end=Find.FORCED,
        given={} if asked else {"p": forced.at(question.start)},
        through=(("p", Rule(formula="x", uses=(("x", asked.id),), says=says, step=at_start)),) if asked else (),
    )


def _growing(question: Question, forced: Waveform) -> Iterator[Rule]:
    """A response that grows from its own start as the circuit has it: there is no time constant to ask for."""
    natural = question.waveform - forced
    rates = {term.rate for term in natural.terms}
    if len(rates) == 1 and not any(term.power or term.frequency for term in natural.terms):
        given = {
            "f": forced,
            "p": forced.at(question.start),
            "r": constant(rates.pop()),
            "t1": constant(question.start),
        }
        says = "This follows from where your own response starts."
        yield from from_values(question, "f+(x0-p)*e^(r*(t-t1))", says, needs={"x0": Find.INITIAL}, given=given)


def forced_by_damping(question: Question) -> Iterator[Rule]:
    """The forced part of a response of second order to one exponential: it goes as 1/(s^2 + 2 alpha s + omega0^2)."""
    forced = asked_value(question, question.item.signal, Find.FORCED)
    alpha, omega0 = (asked_value(question, question.item.signal, find) for find in (Find.ALPHA, Find.OMEGA0))
    if forced is None or alpha is None or omega0 is None or len(forced.terms) != 1:
        return
    (term,) = forced.terms
    if term.rate and not term.frequency and not term.power:
        rate = constant(term.rate)
        right = rate * rate + rate * alpha.scaled(fmpq(2)) + omega0 * omega0
        says = "This follows from your own damping, put into the equation with the source's exponential."
        needs = {"alpha": Find.ALPHA, "omega0": Find.OMEGA0}
        formula = "f*k/(r^2+2*alpha*r+omega0^2)"
        yield from from_values(question, formula, says, needs=needs, given={"f": forced, "k": right, "r": rate})


def _end(question: Question) -> str:
    """The find that gives what a response settles to: the final value, or the forced part where that was asked or varies."""
    final = asked_value(question, question.item.signal, Find.FINAL)
    return Find.FORCED if final is None or asked_earlier(question, Find.FORCED) else Find.FINAL


def first_order_law(question: Question) -> Iterator[Rule]:
    """A storage element's other quantity at the start, ``i = C (xf - x0)/tau`` or ``v = L (xf - x0)/tau``."""
    for element in passives(question.circuit, question.signal):
        if other_signal(element).kind == question.signal.kind:
            here = replace(question, item=replace(question.item, signal=own_signal(element)))
            says = f"This follows from your own values of {element.name} by its law."
            given = {"k": constant(element.value)}
            for rule in from_values(here, "k*(xf-x0)/tau", says, needs=FIRST_ORDER, given=given):
                if not {"x0", "xf"}.isdisjoint(name for name, _ in rule.uses):  # nobody works it out from tau alone
                    yield rule


Uses: TypeAlias = tuple[tuple[str, str], ...]
"""Names in a formula, and the ids of earlier items."""


def second_order(question: Question) -> Iterator[Rule]:
    """The expression from its ends, its initial slope and what was asked of the roots; its constants as they were stated, where they were."""
    says = "This follows from your own earlier values, put into the general solution of second order."
    step = partial(expression, start=question.start)
    ends = {"x0": Find.INITIAL, "slope": Find.SLOPE, "xf": _end(question)}
    damped = "xf+e^(-alpha*(t-t1))*(B1*cos(wd*(t-t1))+B2*sin(wd*(t-t1)))"
    roots = next(question.earlier_here(Find.ROOTS), None)
    paces: list[tuple[str, dict[str, str], Uses]] = [(damped, {"alpha": Find.ALPHA, "omega0": Find.OMEGA0}, ())]
    if next(question.earlier_here(Find.OMEGA_D), None) is not None:
        paces.insert(0, (damped, {"alpha": Find.ALPHA, "omega_d": Find.OMEGA_D}, ()))
    if roots is not None:
        paces.insert(0, ("xf+A1*e^(s1*(t-t1))+A2*e^(s2*(t-t1))", {}, (("roots", roots.id),)))
    for own in ({}, *_own_constants(question)):
        for formula, pace, uses in paces:
            through = tuple(own.items())
            yield from from_values(
                question, formula, says, needs={**ends, **pace}, step=step, uses=uses, through=through
            )


def _own_constants(question: Question) -> Iterator[dict[str, Rule]]:
    """The two constants of a response of second order as they were stated earlier."""
    finds = {"x0": Find.INITIAL, "slope": Find.SLOPE, "xf": _end(question), "alpha": Find.ALPHA, "omega0": Find.OMEGA0}
    asked = finds.items() if any(True for _ in question.earlier(STATED)) else ()
    named = {name: asked_value(question, question.item.signal, find) for name, find in asked}
    known = {name: value for name, value in named.items() if value is not None and not value.is_symbolic}
    if known.keys() == finds.keys():
        right = response(known, start=question.start)
        yield from _as_stated(question, {"a": right.a, "b": right.b}, "b" if right.kind == CRITICAL else "")


def from_interval_before(question: Question) -> Iterator[Rule]:
    """The expression from the own one on the interval before: where there is one state, its end is where this one starts.

    What the own expression is off by at the end is off by the same factor here in which the signal holds the state.
    """
    before, here = question.index - 1, question.index
    signal = question.signal
    if before == 0 or signal.kind not in CURRENT_AND_VOLTAGE:
        return
    for item in question.earlier(Find.EXPRESSION):
        if question.about(item) != 1 or question.index_of(item) != before:
            continue
        one = _held(question, before)
        other = one and _held(question, here) and _passed_on(question, before)
        initial = asked_value(question, signal, Find.INITIAL)
        if one and other and initial is not None:
            right = question.solved.waveform(signal, before).at(question.start)
            given = {"x0": initial, "k": constant(other / one), "r": right, "t1": constant(question.start)}
            needs = {"xf": Find.FINAL, "tau": Find.TAU}
            for ways in _kept(question, item):
                yield from from_values(
                    question,
                    "xf+(x0+k*(x-r)-xf)*e^(-(t-t1)/tau)",
                    "This follows from where your own expression for the interval before ends.",
                    needs={name: find for name, find in needs.items() if name not in dict(ways)},
                    given=given,
                    uses=(("x", item.id),),
                    step=partial(steps.carried_on, start=question.start),
                    through=ways,
                )
        return


def _kept(question: Question, item: Item) -> Iterator[tuple[tuple[str, Rule], ...]]:
    """What else may be carried on from the expression on the interval before: where it tends to, and how fast, as far as this one has it in common.

    Nothing within one response: each of its intervals is to say both, and a slip repeated there was never an answer of its own.
    """
    before, says = question.index_of(item), "It has this in common with your own expression for the interval before."
    ways: list[tuple[str, Rule]] = []
    if in_one_response(question.problem, question.item, item):
        yield ()
        return
    for name, find, step in (("xf", Find.FINAL, steps.settled), ("tau", Find.TAU, steps.decay_time)):
        factor = in_common(question, before, find) if asked_earlier(question, find) is None else None
        if factor is not None:
            given, own = (("k", constant(factor)),), partial(steps.share_of, step=step)
            ways.append((name, Rule(formula="k*x", uses=(("x", item.id),), given=given, says=says, step=own)))
    for count in range(len(ways) + 1):
        yield from combinations(ways, count)


def _held(question: Question, index: int) -> Scalar:
    """How much of the one state a signal holds on an interval; 0 where there are several states, or it holds none."""
    reduced = question.solved.reduced(index)
    acting = question.solved.acting_on(question.signal, index).independent
    held = reduced.free(dict(weights_on(question, question.signal, index)))
    return held.get(reduced.independent.index(acting[0]), ZERO) if len(acting) == 1 else ZERO


def _passed_on(question: Question, before: int) -> Scalar:
    """How much of the one state on the interval before the signal asked holds just after, what jumps included."""
    earlier, reduced = question.solved.reduced(before), question.solved.reduced(question.index)
    (acting,) = question.solved.acting_on(question.signal, before).independent
    columns, total = reduced.columns, ZERO
    weights = weights_on(question, question.signal, question.index)
    for name, column in columns.states.items():
        after = {**reduced.jump.get(columns.derivatives.get(name, -1), {})}
        after[column] = after.get(column, ZERO) + ONE
        for other, theirs in columns.states.items():
            share = earlier.free({earlier.columns.states[other]: ONE}).get(earlier.independent.index(acting), ZERO)
            total += weights.get(column, ZERO) * after.get(theirs, ZERO) * share
    return total


def from_roots(question: Question, formula: str, step: Step) -> Iterator[Rule]:
    """A rule in the characteristic roots asked earlier."""
    says = "This follows from your own characteristic roots."
    yield from from_first(question.earlier_here(Find.ROOTS), formula, says, name="roots", step=step)
