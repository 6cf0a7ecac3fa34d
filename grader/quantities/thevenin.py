"""What follows from the own Thévenin or Norton equivalent at a storage element: ``v_L(0+) = v_oc - R i``, ``i(inf) = v_oc/R`` and the like."""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from grader.circuit.elements import CurrentSource, Inductor, Passive, Storage, other_signal, own_signal
from grader.problem import Item
from grader.quantities.composed import asked_earlier, first_order, from_values
from grader.quantities.finding import Find
from grader.quantities.links import CURRENT_AND_VOLTAGE, asked_value, multiple_of
from grader.quantities.question import Question
from grader.quantities.rules import Given, Rule
from grader.quantities.terminals import resistances_seen
from grader.values.waveform import constant

SAYS = "This follows from your own equivalent circuit at the storage element."

Uses = tuple[tuple[str, str], ...]


class _Drive(NamedTuple):
    """The open-circuit voltage as a formula, in what was asked and what the solver gives."""

    formula: str
    uses: Uses
    given: Given


def resistances(question: Question, by: str | None) -> Iterator[tuple[Rule, str]]:
    """The resistance that a storage element sees (``by`` names one alone), from both sources asked at its terminals, and its name."""
    for element in question.circuit.elements:
        if isinstance(element, Storage) and by in (None, element.name):
            own = dict(_at_terminals(question, element))
            if own.keys() >= {"v", "i"}:
                yield Rule(formula="v/i", uses=tuple((name, own[name].id) for name in "vi"), says=SAYS), element.name


def by_equivalent(question: Question, find: str) -> Iterator[Rule]:
    """A storage element's own quantity in the end, its other one at the start, or what is a fixed multiple of these."""
    if question.signal.kind not in CURRENT_AND_VOLTAGE:
        return
    for element in question.circuit.elements:
        if not isinstance(element, Storage):
            continue
        coil, ends = isinstance(element, Inductor), find == Find.FINAL
        signal = own_signal(element) if ends else other_signal(element)
        own = dict(_at_terminals(question, element))
        factor = multiple_of(question, signal) if own else None
        if factor is None:
            continue
        law = ("v/R" if coil else "v") if ends else ("v-R*x0" if coil else "(v-x0)/R")
        state = replace(question, item=replace(question.item, signal=own_signal(element), find=Find.INITIAL))
        for drive in _drives(question, element, own):
            formula = law.replace("v", drive.formula)
            uses, given = list(drive.uses), {"k": constant(factor), **dict(drive.given)}
            if "R" in formula and "R" in own:
                uses.append(("R", own["R"].id))
            elif "R" in formula:
                given |= dict(_solvers(question, element, "R", Find.SEEN))
            if uses:
                needs = {} if ends else {"x0": Find.INITIAL}
                yield from from_values(state, f"k*({formula})", SAYS, needs=needs, given=given, uses=tuple(uses))


def response_by_equivalent(question: Question, formula: str) -> Iterator[Rule]:
    """What is made of both ends and the time constant, ``formula``, where the end that the equivalent circuit gives was not asked."""
    for name, find in (("xf", Find.FINAL), ("x0", Find.INITIAL)):
        if asked_earlier(question, find) is None:
            for way in by_equivalent(question, find):
                yield from first_order(question, formula, SAYS, through=((name, way),))


def _at_terminals(question: Question, element: Passive) -> Iterator[tuple[str, Item]]:
    """Voltage ``v``, current ``i`` and resistance ``R`` of the equivalent circuit, as far as they were asked of these terminals."""
    for name, find in (("v", Find.OPEN), ("i", Find.SHORT)):
        for item in question.earlier_here(find):
            if item.by == element.name or item.between == element.between:
                yield name, item
                break
    for item in resistances_seen(question, element.name):
        if item.by == element.name or (item.by is None and question.acts(element.name)):
            yield "R", item
            break


def _drives(question: Question, element: Storage, own: dict[str, Item]) -> Iterator[_Drive]:
    """The open-circuit voltage as it was asked, or by the short-circuit current; else as the solver has it, by a current source's either way."""
    forms = {"v": ("v", Find.OPEN), "i": ("(i*R)", Find.SHORT)}
    asked = [name for name in forms if name in own]
    by_current = any(isinstance(one, CurrentSource) for one in question.circuit.elements)
    for name in asked or (forms if by_current else "v"):
        formula, find = forms[name]
        if name in own:
            yield _Drive(formula, ((name, own[name].id),), ())
        else:
            yield _Drive(formula, (), _solvers(question, element, name, find))


def _solvers(question: Question, element: Passive, name: str, find: str) -> Given:
    """What the solver finds at the terminals, by its name; nothing where it finds none."""
    bare = Item(id="", find=find, points=0.0, by=element.name, after=question.item.after)
    value = asked_value(replace(question, item=bare), None)
    return () if value is None else ((name, value),)
