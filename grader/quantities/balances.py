"""Charge shared and heat for good by what is kept and what is left: ``q = C (v(∞) - v(0))``, energy before less energy after.

Whoever lets capacitors share a charge works so from their own voltages; what holds in any stretch of time is in `accumulated`.
"""

from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from grader.circuit.elements import Capacitor, CoupledInductors, Signal, Storage, other_signal, own_signal
from grader.problem import Item
from grader.quantities.composed import asked_earlier, from_values
from grader.quantities.finding import Find
from grader.quantities.links import asked_value, is_own_quantity, is_signal, multiple_of, together
from grader.quantities.question import Question
from grader.quantities.rules import Rule
from grader.values.scalar import HALF, ONE, Scalar
from grader.values.waveform import Waveform, constant


def for_good(question: Question) -> bool:
    """Whether the stretch asked is all that follows the switching, and nothing acts any more."""
    return question.end is None and question.stretch(lasting=True) == (question.start, None)


def charge_shared(question: Question) -> Iterator[Rule]:
    """The charge that passes a capacitor, or what carries its current, from where another ends that it shares its charge with."""
    for element in question.circuit.elements if for_good(question) else ():
        ended = _ended(question, own_signal(element)) if isinstance(element, Capacitor) else None
        if isinstance(element, Capacitor) and ended and not is_signal(question.circuit, ended[0], own_signal(element)):
            factor = multiple_of(question, other_signal(element))
            if factor is not None:
                says = f"This follows from the change of your own voltage of {element.name}."
                yield from _from_change(question, element, "k*(s*xf-x0)", constant(element.value * factor), says)


def heat_from_balance(question: Question) -> Iterator[Rule]:
    """What turns to heat, from the own charge, from the own change of a state, or as the energy before less that after."""
    spent = question.answer_to(question.item)
    if len(question.item.of) != 1 or not for_good(question) or not isinstance(spent, Waveform) or not spent.terms:
        return
    (name,) = question.item.of
    acting = question.solved.acting_on(Signal(kind="power", of=name), question.index)
    idle = {*question.solved.reduced(question.index).independent} - {*acting.independent}
    storing = [one for one in question.circuit.elements if isinstance(one, Storage) and one.name not in idle]
    single = bool(storing) and asked_value(question, own_signal(storing[0]), Find.TAU) is not None
    if single:
        yield from _from_charge(question, name, spent)
        for element in storing:
            x0, xf = (asked_value(question, own_signal(element), find) for find in (Find.INITIAL, Find.FINAL))
            if x0 is not None and xf is not None and x0 != xf:
                share = spent / ((xf - x0) * (xf - x0))
                says = f"This follows from the change of your own {element.stores} of {element.name}."
                yield from _from_change(question, element, "k*(s*xf-x0)^2", share, says)
    if not any(column >= acting.order for row in acting.derivatives for column in row):
        ends: list[tuple[Storage, str, str, Item | None]] = []
        for element in storing:
            own = own_signal(element)
            started = asked_earlier(replace(question, item=replace(question.item, signal=own)), Find.INITIAL)
            ended = _ended(question, own)
            ends += [(element, "x", Find.INITIAL, started), (element, "y", Find.FINAL, ended[0] if ended else None)]
        yield from _from_energies(question, ends, spent, single=single, delivered=Waveform())


def _from_change(question: Question, element: Storage, formula: str, factor: Waveform, says: str) -> Iterator[Rule]:
    """A rule in the ends of an element's own quantity."""
    own = own_signal(element)
    here = replace(question, item=replace(question.item, signal=own))
    ended = _ended(question, own)
    given = {"k": factor, "s": constant(ended[1] if ended else ONE)}
    needs = {"x0": Find.INITIAL, **({} if ended else {"xf": Find.FINAL})}
    uses = (("xf", ended[0].id),) if ended else ()
    yield from from_values(here, formula, says, needs=needs, given=given, uses=uses)


def _ended(question: Question, own: Signal) -> tuple[Item, Scalar] | None:
    """The earlier final value of a state, or of another that ends at the same, and its sign: capacitors that share a charge end alike."""
    right = asked_value(question, own, Find.FINAL)
    items = [one for one in question.earlier_here(Find.FINAL) if one.signal is not None and one.signal.kind == own.kind]
    items.sort(key=lambda one: not is_signal(question.circuit, one, own))
    for item in items:
        assert item.signal is not None
        if right is not None and right.terms and is_own_quantity(question.circuit, item.signal):
            theirs = question.answer_to(item)
            if theirs in (right, -right):
                return item, ONE if theirs == right else -ONE
    return None


def _from_charge(question: Question, name: str, spent: Waveform) -> Iterator[Rule]:
    """Half the own charge times the voltage it falls through, or its square over twice the capacitance."""
    for item in question.earlier_here("charge passed"):
        same = (item.start, item.until) == (question.item.start, question.item.until)
        if same and is_signal(question.circuit, item, Signal(kind="current", of=name)):
            charge = question.answer_to(item)
            for formula, over in (("k*q", charge), ("k*q^2", charge * charge)):
                given = (("k", spent / over),) if charge.terms else ()
                yield Rule(
                    formula=formula, uses=(("q", item.id),), given=given, says="This follows from your own charge."
                )
            return


def lost_at_once(question: Question, delivered: Waveform) -> Iterator[Rule]:
    """What is lost at an instant: the energy stored before and ``delivered`` less that after, of what passes an impulse."""
    lost, struck = question.answer_to(question.item), {one.element for one in question.solved.impulses}
    if not isinstance(lost, Waveform) or any(isinstance(one, CoupledInductors) for one in question.circuit.elements):
        return
    ends = []
    for element in question.circuit.elements:
        if not isinstance(element, Storage):
            continue
        own = own_signal(element)
        before = (one for one in question.earlier_here(Find.JUST_BEFORE) if is_signal(question.circuit, one, own))
        began, after = next(before, None), _together_with(question, own)
        if element.name in struck and began is not None and after is None:
            return  # it hangs on that, too: `by_way_of_unasked`
        ends += [(element, "x", Find.JUST_BEFORE, began), (element, "y", Find.INITIAL, after)]
    yield from _from_energies(question, ends, lost, single=False, delivered=delivered)


def _together_with(question: Question, own: Signal) -> Item | None:
    """The earlier initial value of a state, or of another that is as large from then on: coils in series, capacitors in parallel."""
    here = replace(question, item=replace(question.item, signal=own, find=Find.INITIAL))
    found = sorted(question.earlier_here(Find.INITIAL), key=lambda one: not is_signal(question.circuit, one, own))
    alike = (one for one in found if one.signal is not None and one.signal.kind == own.kind)
    return next((one for one in alike if one.signal and together(here, one.signal) in (ONE, -ONE)), None)


def _from_energies(
    question: Question,
    ends: Iterable[tuple[Storage, str, str, Item | None]],
    spent: Waveform,
    *,
    single: bool,
    delivered: Waveform,
) -> Iterator[Rule]:
    """The energy stored at first (``x``) and what is delivered, less that in the end (``y``); of one exponential, a fixed share of it."""
    rest, terms, uses, given = delivered, ["w"], [], {}
    lost = delivered
    for number, (element, name, find, item) in enumerate(ends, start=1):
        half, value = element.value * HALF, asked_value(question, own_signal(element), find)
        if value is None:
            return
        energy = (value * value).scaled(half if name == "x" else -half)
        lost = lost + energy
        if item is None:
            rest = rest + energy
            continue
        terms.append(f"{'+' if name == 'x' else '-'}c{number}*{name}{number}^2")
        uses.append((f"{name}{number}", item.id))
        given[f"c{number}"] = constant(half)
    share = constant(ONE)
    if spent != lost:
        if not lost.terms:
            return
        share = spent / lost
    if uses and (single or share == constant(ONE)):
        yield Rule(
            formula=f"k*({''.join(terms)})",
            uses=tuple(uses),
            given=(("w", rest), ("k", share), *given.items()),
            says="This follows from your own values by the balance of energy.",
        )
