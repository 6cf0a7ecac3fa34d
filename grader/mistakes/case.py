"""What a mistake works on: one item and its circuit, and the means to solve that circuit wrongly on purpose."""

from collections.abc import Callable, Hashable, Iterator, Mapping
from typing import Any, TypeVar

from flint import fmpq
from msgspec import Struct, field
from msgspec.structs import replace

from grader.circuit.elements import Capacitor, Circuit, Resistor, Signal, Source, Storage, Switch, own_signal
from grader.circuit.network import instant_of
from grader.circuit.ports import resistance_between
from grader.circuit.resistance import resistance_seen
from grader.circuit.response import Solved, solve
from grader.circuit.statics import ResistiveCircuit, Substitution, dc
from grader.errors import CircuitError, NotDefined
from grader.problem import Item
from grader.quantities.catalogue import asked
from grader.quantities.finding import Find
from grader.quantities.links import is_own_quantity
from grader.quantities.question import Question
from grader.quantities.rules import Answer
from grader.values.functions import exp
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import TIME, NotAWaveform, Waveform, constant

Treatments = Mapping[str, Substitution]
T = TypeVar("T")


class Case(Struct, frozen=True, kw_only=True, eq=False):
    """One item of a problem."""

    question: Question
    """The item, its problem and the circuit solved rightly."""
    right: Answer
    memo: dict[Hashable, Any] = field(default_factory=dict)
    """What was worked out already on this circuit, shared by all cases of a problem."""

    # -- the item ----------------------------------------------------------------------------------

    @property
    def item(self) -> Item:
        """The item."""
        return self.question.item

    @property
    def find(self) -> str:
        """What it asks for."""
        return self.item.find

    @property
    def signal(self) -> Signal | None:
        """The signal it asks about."""
        return self.item.signal

    @property
    def has_circuit(self) -> bool:
        """Whether there is a circuit to solve wrongly."""
        return self.question.problem.circuit is not None and self.question.response is not None

    @property
    def solved(self) -> Solved:
        """The circuit solved rightly; `NotDefined` if there is none."""
        return self.question.solved

    @property
    def index(self) -> int:
        """The interval meant: for a value at an instant, the one that holds it."""
        if self.find == Find.AT and self.item.at is not None:
            return self.question.index_at(self.item.at)
        return self.question.index if self.has_circuit else 0

    @property
    def start(self) -> fmpq:
        """The instant that opens the interval meant, in seconds."""
        start = self.solved.intervals[self.index].start
        return fmpq(0) if start is None else start

    def is_own(self) -> bool:
        """Whether the signal cannot jump: a capacitor's voltage, an inductor's current, and what goes with them."""
        return self.signal is not None and is_own_quantity(self.circuit, self.signal)

    @property
    def may_jump(self) -> bool:
        """Whether the signal is another one, and a switching opens the interval."""
        return self.signal is not None and self.index > 0 and not self.is_own()

    @property
    def starts_settled(self) -> bool:
        """Whether the interval follows the first switching of a circuit at rest, no initial value being given."""
        return self.index == 1 and all(element.initial is None for element in self.storage)

    @property
    def value(self) -> Waveform | None:
        """The right answer where it is a value or an expression."""
        return self.right if isinstance(self.right, Waveform) else None

    @property
    def number(self) -> Waveform | None:
        """The right answer where it is a number other than zero, without symbols."""
        right = self.value
        return right if right is not None and right.is_constant and right.terms and not right.is_symbolic else None

    # -- the circuit -------------------------------------------------------------------------------

    @property
    def circuit(self) -> Circuit:
        """The circuit as stated."""
        return self.question.circuit

    @property
    def storage(self) -> tuple[Storage, ...]:
        """Capacitors and inductors."""
        return tuple(e for e in self.circuit.elements if isinstance(e, Storage))

    @property
    def about(self) -> Signal | None:
        """The signal asked, or that of the one element named."""
        name = self.item.by or (self.item.of[0] if len(self.item.of) == 1 else None)
        if self.signal is not None or name is None:
            return self.signal
        element = self.circuit.element(name)
        return own_signal(element) if element.stores else Signal(kind="power", of=name)

    @property
    def acting(self) -> tuple[Storage, ...]:
        """The storage elements without those that, on this interval, do not act on what is asked."""

        def work() -> tuple[Storage, ...]:
            whole, own = self.solved.reduced(self.index), self.solved.acting_on(self.about, self.index)
            others = {*whole.independent} - {*own.independent}
            return tuple(element for element in self.storage if element.name not in others)

        return self._once(("acting", self.about, self.index), work) or self.storage

    @property
    def capacitive(self) -> bool | None:
        """Whether all storage elements that act are capacitors; None where there are both kinds or none."""
        kinds = {isinstance(element, Capacitor) for element in self.acting}
        return kinds.pop() if len(kinds) == 1 else None

    @property
    def resistors(self) -> tuple[Resistor, ...]:
        """Resistors."""
        return tuple(e for e in self.circuit.elements if isinstance(e, Resistor) and e.value != 0)

    @property
    def sources(self) -> tuple[Source, ...]:
        """Independent sources."""
        return tuple(e for e in self.circuit.elements if isinstance(e, Source))

    @property
    def switches(self) -> tuple[Switch, ...]:
        """Plain switches."""
        return tuple(e for e in self.circuit.elements if isinstance(e, Switch))

    @property
    def opens(self) -> fmpq | None:
        """Switches and sources as after the switching: from this instant on."""
        return self.solved.intervals[self.index].start

    @property
    def opened_before(self) -> fmpq | None:
        """Switches and sources as before it: from this instant on; None: for all past time."""
        return self.solved.intervals[max(self.index - 1, 0)].start

    @property
    def order(self) -> int:
        """Order of the interval's response."""
        return self.solved.characteristic(self.index, self.signal).order

    # -- the right values --------------------------------------------------------------------------

    def solvers(self, find: str, signal: Signal | None = None) -> Waveform | None:
        """The solver's own value of another quantity on this interval; None where it has none, or there is no circuit."""
        if not self.has_circuit:
            return None

        def work() -> Waveform | None:
            after = self.opens if self.index else None
            item = Item(
                id=self.item.id, find=find, points=0, signal=signal or self.signal, after=after, by=self.item.by
            )
            answer = asked(find).reference(replace(self.question, item=item))
            return answer if isinstance(answer, Waveform) else None

        return self._once(("right", find, signal or self.signal, self.index, self.item.by), work)

    @property
    def exponential(self) -> tuple[Waveform, Waveform, Waveform] | None:
        """Initial value, final value and time constant, where they make up the whole response; else None."""
        x0, xf, tau = self.solvers(Find.INITIAL), self.solvers(Find.FINAL), self.solvers(Find.TAU)
        if self.signal is None or self.index == 0 or x0 is None or xf is None or tau is None:
            return None
        formula = xf + (x0 - xf) * exp(-(TIME - constant(self.start)) / tau)
        return (x0, xf, tau) if formula == self.solvers(Find.EXPRESSION) else None

    # -- solved wrongly ----------------------------------------------------------------------------

    def static(self, when: fmpq | None, treat: Treatments) -> ResistiveCircuit | None:
        """The circuit as a resistive one with elements treated as told; None where that has no solution.

        Sources take the value they settle to.
        """
        return self._once(("static", when, _key(treat)), lambda: dc(self.circuit, when, treat))

    def read(self, static: ResistiveCircuit | None, signal: Signal | None = None) -> Waveform | None:
        """The item's signal in a static circuit; None where it has no value there."""
        wanted = signal or self.signal
        if static is None or wanted is None:
            return None
        try:
            return static.value(wanted)
        except (CircuitError, NotDefined):
            return None

    def states(self, static: ResistiveCircuit | None) -> dict[str, Waveform] | None:
        """Capacitor voltages and inductor currents in a static circuit; None where one of them has no value."""
        values: dict[str, Waveform] = {}
        for element in self.storage:
            value = self.read(static, own_signal(element))
            if value is None:
                return None
            values[element.name] = value
        return values

    def source_values(self, when: fmpq | None) -> Iterator[tuple[str, str, Waveform]]:
        """What each independent source delivers in dc: its name, ``"voltage"`` or ``"current"``, and its value."""
        static = self.static(when, {})
        for element in self.sources:
            value = self.read(static, Signal(kind=element.delivers, of=element.name))
            if value is not None:
                yield element.name, element.delivers, value

    def undivided(self, kind: str, when: fmpq | None) -> Iterator[tuple[Waveform, str]]:
        """Voltages or currents that sources would give if nothing shared them, each with what it was made of.

        A source's own value; for a current a voltage over a single resistor, for a voltage a current times one.
        """
        for name, own, value in self.source_values(when):
            if not value.terms:
                continue
            if own == kind:
                yield value, name
                continue
            for resistor in self.resistors:
                if own == "voltage":
                    yield value.scaled(ONE / resistor.value), f"{name}/{resistor.name}"
                else:
                    yield value.scaled(resistor.value), f"{name}·{resistor.name}"

    def resistance(self, index: int, treat: Treatments, at: str | None = None) -> Scalar | None:
        """The resistance at the terminals asked, or those of the element named, with others treated as told; None where there is none."""
        if at is None and (nodes := self.item.between) is not None:
            when = instant_of(self.circuit, index)
            place = "between", index, nodes, _key(treat)
            return self._once(place, lambda: resistance_between(self.circuit, nodes, when, treat))
        alone = self.acting[0].name if len(self.acting) == 1 else None
        by = at or self.item.by or alone
        return self._once(("seen", index, by, _key(treat)), lambda: resistance_seen(self.circuit, index, by, treat))

    def on(self, circuit: Circuit) -> "Case":
        """The same item on another circuit, for its static solutions."""
        problem = replace(self.question.problem, circuit=circuit)
        return replace(self, question=replace(self.question, problem=problem), memo=self.memo.setdefault(circuit, {}))

    def answer_on(self, circuit: Circuit | None, find: str = "") -> Answer | None:
        """The item's answer on another circuit, or that to another find; None where there is none."""
        if circuit is None or not asked(self.find).circuit or self.find == "element value":
            return None
        item = replace(self.item, id="", find=find or self.find)

        def work() -> Answer | None:
            solved = self._once(("solved", circuit), lambda: solve(circuit))
            if solved is None:
                raise NotDefined("that circuit has no solution")
            problem = replace(self.question.problem, circuit=circuit)
            return asked(item.find).reference(replace(self.question, problem=problem, response=solved, item=item))

        return self._once(("answer", circuit, item), work)

    def _once(self, key: Hashable, work: Callable[[], T]) -> T | None:
        """Work something out unless it was already; None where the wrong circuit leads nowhere."""
        if key not in self.memo:
            try:
                self.memo[key] = work()
            except (CircuitError, NotDefined, NotAWaveform, ZeroDivisionError, ValueError):
                # A circuit altered at random may contradict itself or settle nowhere: then this mistake has no answer.
                self.memo[key] = None
        found: T | None = self.memo[key]
        return found


def _key(treat: Treatments) -> Hashable:
    return tuple(sorted((name, repr(treatment)) for name, treatment in treat.items()))
