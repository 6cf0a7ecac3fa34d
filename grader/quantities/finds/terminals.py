"""What a circuit is, seen from two terminals: at rest its voltage, current and resistance, in s its impedance."""

from collections.abc import Iterator
from itertools import islice

from grader.circuit.laplace import impedance
from grader.circuit.network import instant_of
from grader.circuit.ports import opened, resistance_between, shorted
from grader.circuit.resistance import resistance_seen
from grader.problem import Item, Problem
from grader.quantities.finding import Find
from grader.quantities.links import with_storage
from grader.quantities.question import Question
from grader.quantities.records import Asked
from grader.quantities.rules import Rule
from grader.quantities.s_domain import InSDomain
from grader.quantities.words import after_switching
from grader.values.dimension import CURRENT, RESISTANCE, VOLTAGE
from grader.values.waveform import Waveform, constant


def _terminals_missing(problem: Problem, item: Item) -> tuple[str, ...]:  # noqa: ARG001 - as a method of `Asked`
    """Exactly one of a node pair and an element."""
    if (item.between is None) == (item.by is None):
        return ('name the terminals: between = ["a", "b"], or by = "C1" for those of an element; one of the two',)
    return ()


def _by_ohms_law(question: Question, formula: str, **finds: tuple[str, ...]) -> Iterator[Rule]:
    """One of voltage, current and resistance from the other two, where they were asked of the same terminals."""
    asked = question.item
    uses = []
    for name, some in finds.items():  # at the same terminals, as far as the items name them
        earlier = (item for find in some for item in question.earlier_here(find))
        here = (one for one in earlier if one.between == asked.between and one.by in (asked.by, None))
        uses += [(name, item.id) for item in islice(here, 1)]
    if len(uses) == len(finds):
        says = "By Ohm's law this follows from your own values at these terminals."
        yield Rule(formula=formula, uses=tuple(uses), says=says)


class OpenCircuitVoltage(Asked):
    """The open-circuit (Thévenin) voltage between two nodes, or at an element's terminals with the element taken out."""

    name = Find.OPEN
    measures = VOLTAGE
    faults = staticmethod(_terminals_missing)

    def reference(self, question: Question) -> Waveform:
        return opened(question.circuit, question.index, question.item.between, question.item.by).value

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from _by_ohms_law(question, "i*R", i=(Find.SHORT,), R=(Find.BETWEEN, Find.SEEN))


class ShortCircuitCurrent(Asked):
    """The short-circuit (Norton) current from one node to another, or through an element's place with a wire in it."""

    name = Find.SHORT
    measures = CURRENT
    faults = staticmethod(_terminals_missing)

    def reference(self, question: Question) -> Waveform:
        """At rest, the other storage elements in their dc roles."""
        return shorted(question.circuit, question.index, question.item.between, question.item.by).value

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from _by_ohms_law(question, "v/R", v=(Find.OPEN,), R=(Find.BETWEEN, Find.SEEN))


class ResistanceBetween(Asked):
    """The resistance between two nodes, all independent sources set to zero."""

    name = Find.BETWEEN
    measures = RESISTANCE

    def reference(self, question: Question) -> Waveform:
        assert question.item.between is not None
        when = instant_of(question.circuit, question.index)
        return constant(resistance_between(question.circuit, question.item.between, when))

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from _by_ohms_law(question, "v/i", v=(Find.OPEN,), i=(Find.SHORT,))


class ResistanceSeen(Asked):
    """The Thévenin resistance that the storage element looks into, all independent sources set to zero."""

    name = Find.SEEN
    measures = RESISTANCE

    def reference(self, question: Question) -> Waveform:
        """At the storage element's terminals, in the interval meant."""
        return constant(resistance_seen(question.circuit, question.index, question.element_meant))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own open-circuit voltage and short-circuit current; the own time constant."""
        yield from _by_ohms_law(question, "v/i", v=(Find.OPEN,), i=(Find.SHORT,))
        says = "This follows from your own time constant."
        for item in question.earlier_here(Find.TAU):
            for formula, given in with_storage(question, None, "L/tau", "tau/C"):
                yield Rule(formula=formula, uses=(("tau", item.id),), given=given, says=says)

    def text(self, problem: Problem, item: Item) -> str:
        who = item.by or "the storage element"
        return f"Thévenin resistance seen by {who}{after_switching(problem, item)}"


class Impedance(InSDomain):
    """The impedance between two nodes, or at an element's terminals, as a function of s: sources at zero, nothing held."""

    name = "impedance"
    faults = staticmethod(_terminals_missing)

    def reference(self, question: Question) -> Waveform:
        """The voltage that a current of one ampere meets in the s-domain."""
        return impedance(question.circuit, question.index, question.item.between, question.item.by)
