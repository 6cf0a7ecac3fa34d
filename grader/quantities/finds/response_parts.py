"""Parts of a response: natural and forced, of the initial state and of the sources."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.superposition import parts_by_shape, zero_input
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import EXPRESSION as EXPRESSION_FIND
from grader.quantities.links import FINAL, from_expression
from grader.quantities.question import Question
from grader.quantities.records import EXPRESSION, SIGNAL, Asked, Sample
from grader.quantities.records import EXPRESSION as KIND
from grader.quantities.rules import Rule
from grader.quantities.s_domain import from_own_system, inverted
from grader.quantities.words import after_switching, phrase, signal_dimension
from grader.values.waveform import Waveform


class NaturalPart(Asked):
    """The natural (transient) part of a signal: the terms with the circuit's own exponents."""

    name = "natural part"
    answers = KIND
    needs = (SIGNAL,)
    allows = ("after", "parts")
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="-10*exp(-500*t)")
    natural = True
    words = "Natural (transient) part"

    def reference(self, question: Question) -> Waveform:
        """Told from the forced part by the sources' own shapes."""
        return parts_by_shape(question.solved, question.signal, question.index)[0 if self.natural else 1]

    def rules(self, question: Question) -> Iterator[Rule]:
        """With a final value, the own expression less that, or that itself."""
        step = steps.without_final if self.natural else steps.settled
        yield from from_expression(question, step, "This follows from your own expression.")
        if not self.natural:
            for item in question.earlier_here(FINAL):
                if question.about(item) == 1:
                    yield Rule(formula="x", uses=(("x", item.id),), says="This follows from your own final value.")
                    return

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{self.words} of the {phrase(item.signal)}{after_switching(problem, item)}"


class ForcedPart(NaturalPart):
    """The forced (steady) part of a signal: the terms with the sources' own shapes."""

    name = "forced part"
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="10")
    natural = False
    words = "Forced (steady) part"


class ZeroInputPart(Asked):
    """The part of a signal that comes from the initial state alone, all sources at zero."""

    name = "zero-input part"
    answers = EXPRESSION
    needs = (SIGNAL,)
    allows = ("after", "parts")
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="relay", item='current = "L1"', answer="3*exp(-20*t)")
    other = "zero-state part"
    words = "Zero-input part (from the initial state alone)"

    def reference(self, question: Question) -> Waveform:
        """The response with every source at zero."""
        return zero_input(question.solved, question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """What the own other part leaves of the own whole response."""
        whole = _same(question, EXPRESSION_FIND)
        rest = _same(question, self.other)
        if whole is not None and rest is not None:
            uses = (("x", whole.id), ("y", rest.id))
            yield Rule(formula="x-y", uses=uses, says="It is what the other part leaves of your own whole response.")

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Only what is linear divides."""
        wrong = item.signal is not None and item.signal.kind in ("power", "energy")
        return (
            ("a power or an energy does not divide into such parts; ask for a current or a voltage",) if wrong else ()
        )

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{self.words} of the {phrase(item.signal)}{after_switching(problem, item)}"


def _same(question: Question, find: str) -> Item | None:
    try:
        return next((item for item in question.earlier_here(find) if question.about(item) == 1), None)
    except NotDefined:
        return None


class ZeroStatePart(ZeroInputPart):
    """The part of a signal that comes from the sources alone, the storage elements empty at the start."""

    name = "zero-state part"
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="-10*exp(-500*t) + 10")
    other = "zero-input part"
    words = "Zero-state part (from the sources alone)"

    def reference(self, question: Question) -> Waveform:
        """What the initial state leaves."""
        return question.waveform - zero_input(question.solved, question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own impulse response, convolved with the source; what the own other part leaves."""
        yield from from_own_system(question, partial(inverted, start=question.start))
        yield from super().rules(question)


ENTRIES = (NaturalPart(), ForcedPart(), ZeroInputPart(), ZeroStatePart())
