"""The energy that capacitors and inductors store at an instant; without ``at``, after a long time.

Of coupled coils named together it is that of their common field: with the part ``M i1 i2`` of every coupling between two
of them.
"""

from collections.abc import Iterator, Sequence
from functools import partial

from grader.circuit.elements import Capacitor, CoupledInductors, Element, Inductor, Signal, Storage, own_signal
from grader.circuit.response import Solved
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.finding import Find
from grader.quantities.links import is_signal
from grader.quantities.question import Question, time_text
from grader.quantities.records import Asked, of_other_kinds
from grader.quantities.rules import Rule
from grader.quantities.stretches import stored
from grader.quantities.words import in_the_end
from grader.values.dimension import ENERGY
from grader.values.scalar import HALF
from grader.values.waveform import Waveform, constant


def _settled_or_at(question: Question, signal: Signal) -> Waveform:
    """A signal at the instant asked, or what it tends to."""
    at = question.item.at
    solved: Solved = question.solved
    return solved.final(signal, question.index) if at is None else solved.waveform(signal, question.index_at(at)).at(at)


def _states(question: Question) -> Iterator[tuple[Item, str]]:
    """Earlier items that give a state at the instant asked, best first."""
    at = question.item.at
    if at is None:
        yield from ((item, Find.FINAL) for item in question.earlier_here(Find.FINAL))
    else:
        yield from ((item, "value at") for item in question.earlier("value at") if item.at == at)
        for find in (Find.INITIAL, Find.JUST_BEFORE):
            for item in question.earlier(find):
                if question.solved.intervals[question.index_of(item)].start == at:
                    yield item, find
    for item in question.earlier(Find.EXPRESSION):
        if question.index_of(item) == question.index_asked:
            yield item, Find.EXPRESSION


class StoredEnergy(Asked):
    """The energy that capacitors and inductors store at an instant; without ``at``, after a long time."""

    name = "stored energy"
    measures = ENERGY

    def reference(self, question: Question) -> Waveform:
        """Added up over the elements named."""
        return stored(question.circuit, question.item.of, partial(_settled_or_at, question))

    def rules(self, question: Question) -> Iterator[Rule]:
        """From the own current or voltage: asked at that instant, or by the own expression."""
        elements = [question.circuit.element(name) for name in question.item.of]
        if len(elements) > 1:
            yield from self._of_several(question, elements)
            return
        (element,) = elements
        if not isinstance(element, Storage):
            return
        own = own_signal(element)
        symbol = "C" if isinstance(element, Capacitor) else "L"
        for item, find in _states(question):
            if is_signal(question.circuit, item, own):
                at = question.item.at
                yield Rule(
                    formula=f"(1/2)*{symbol}*x^2",
                    uses=(("x", item.id),),
                    given=((symbol, constant(element.value)), ("k", constant(element.value * HALF))),
                    says=f"This follows from your own {own.kind} of {element.name}.",
                    step=partial(steps.weighted_square, time=at) if find == Find.EXPRESSION else None,
                )

    def _of_several(self, question: Question, elements: Sequence[Element]) -> Iterator[Rule]:
        """Added up over the values of all of them."""
        values = [(item, find) for item, find in _states(question) if find != Find.EXPRESSION]
        uses, given = [], []
        for number, element in enumerate(elements, start=1):
            of_it = (
                item
                for item, _ in values
                if isinstance(element, Storage) and is_signal(question.circuit, item, own_signal(element))
            )
            item = next(of_it, None)
            if item is None or not isinstance(element, Storage):
                return
            uses.append((f"x{number}", item.id))
            given.append((f"k{number}", constant(element.value * HALF)))
        formula = "+".join(f"k{number}*x{number}^2" for number, _ in enumerate(elements, start=1))
        yield Rule(
            formula=formula,
            uses=tuple(uses),
            given=tuple(given),
            says="This follows from what each of them holds by your own answers.",
        )

    def text(self, problem: Problem, item: Item) -> str:
        when = in_the_end(problem, item) if item.at is None else f"at t = {time_text(item.at)}"
        return f"Energy stored in {' and '.join(item.of)} {when}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Only storage elements store energy, and none of it counts twice."""
        elements = () if problem.circuit is None else problem.circuit.elements
        couplings = (e for e in elements if isinstance(e, CoupledInductors) and e.name in item.of)
        twice = (coupling for coupling in couplings if not set(coupling.inductors).isdisjoint(item.of))
        others = of_other_kinds(problem, item, (Capacitor, Inductor, CoupledInductors))
        return (
            *(
                f"'of': {e.name} holds the energy of {' and '.join(e.inductors)} already; name it or them"
                for e in twice
            ),
            *(f"'of': {name} stores no energy; name a capacitor or an inductor" for name in others),
        )
