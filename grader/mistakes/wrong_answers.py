"""All wrong answers of a rubric: for every item a table of them, sorted for look-up."""

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.response import Solved, solve
from grader.errors import CircuitError, NotDefined
from grader.mistakes.case import Case
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import NumericForm, numeric_form, relative_deviation, sort_key
from grader.mistakes.records import Mistake, Wrong
from grader.mistakes.resistances import Found, all_combinations
from grader.problem import Item, Problem, Rubric
from grader.quantities.catalogue import asked, question_of
from grader.quantities.finding import Find
from grader.quantities.intervals import with_interval_items
from grader.quantities.part import in_own_part
from grader.quantities.records import EQUATION
from grader.quantities.records import EXPRESSION as VARIES
from grader.quantities.rules import Answer
from grader.rubric.references import Reference
from grader.values.scalar import to_float
from grader.values.waveform import NotAWaveform

PARTS = {"initial value": Find.INITIAL, "final value": Find.FINAL, "time constant": Find.TAU}
"""What an expression says, each part with mistakes of its own."""


class WrongAnswerRow(NamedTuple):
    """One wrong answer: what it is sorted by, its numbers, and which mistake leads to it."""

    key: float
    form: NumericForm
    id: str
    variant: str


class Resistors(NamedTuple):
    """Combinations of the circuit's resistors, and how a time constant turns into a resistance.

    ``storage`` is a capacitance (``capacitive``) or an inductance; None where a resistance itself is asked.
    """

    found: tuple[Found, ...]
    storage: float | None = None
    capacitive: bool = False

    def resistance(self, value: float) -> float | None:
        """The resistance that an answer means, ohms."""
        if self.storage is None:
            return value
        if value <= 0 or self.storage <= 0:
            return None
        return value / self.storage if self.capacitive else self.storage / value


class WrongAnswerTable(Struct, frozen=True, kw_only=True):
    """The wrong answers to one item, or to one part of an expression."""

    find: str
    right: NumericForm
    varies: bool
    """Whether it is an expression in t, on an interval from ``start`` on (seconds)."""
    start: fmpq
    tolerance: float
    """As for marking, like ``scale``."""
    scale: float
    rows: tuple[WrongAnswerRow, ...]
    """Sorted."""
    values: Mapping[str, int]
    """How many different answers each mistake gives here."""
    ruled: tuple[tuple[str, Wrong], ...] = ()
    """Mistakes that are rules on earlier answers, or change what follows from these."""
    inductive: bool | None = None
    """For a time constant: L/R (True) or R·C (False)."""
    resistors: Resistors | None = None
    """For a resistance or a time constant."""
    parts: tuple[tuple[str, "WrongAnswerTable"], ...] = ()
    """Of an expression."""
    hidden: tuple[str, ...] = ()
    """Mistakes that lead to the right answer here, so that this item cannot show them."""

    def weight(self, id: str) -> float:
        """How common a mistake is held to be, over the number of its answers: of many, each is explained less."""
        return catalogue()[id].prior / self.values[id]


class WrongAnswerTables(Mapping[tuple[str, str], WrongAnswerTable]):
    """A table for every item, by problem and item id: worked out when it is first looked into.  Picklable.

    Most answers are right, and many items of many uploads never need theirs; all of them together take longer than
    solving the rubric.
    """

    def __init__(self, rubric: Rubric, references: Sequence[Reference]) -> None:
        self._problems = {problem.id: with_interval_items(problem) for problem in rubric.problems}
        self._references = {reference.place: reference for reference in references}
        self._made: dict[tuple[str, str], WrongAnswerTable | None] = {}
        self._shared: dict[str, tuple[Any, dict[Hashable, Any]]] = {}

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_shared": {}}

    def __getitem__(self, place: tuple[str, str]) -> WrongAnswerTable:
        if place not in self._made:
            self._made[place] = self._make(*place)
        table = self._made[place]
        if table is None:
            raise KeyError(place)
        return table

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return (place for place in self._references if self.get(place) is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def _make(self, problem_id: str, item_id: str) -> WrongAnswerTable | None:
        reference, problem = self._references.get((problem_id, item_id)), self._problems.get(problem_id)
        if reference is None or problem is None:
            return None
        if problem_id not in self._shared:
            self._shared[problem_id] = (None if problem.circuit is None else solve(problem.circuit), {})
        solved, memo = self._shared[problem_id]
        item = next(one for one in problem.items if one.id == item_id)
        return item_table(case_of(problem, item, solved, reference.answer, memo), reference.scale)


def case_of(problem: Problem, item: Item, solved: Solved | None, right: Answer, memo: dict[Hashable, Any]) -> Case:
    """The case of an item in the part of the circuit that it lives in; ``memo`` is one for the problem."""
    question = in_own_part(question_of(problem, item, solved, memo.setdefault("known", {})))
    return Case(question=replace(question, known={}), right=right, memo=memo.setdefault(question.problem.circuit, {}))


def item_table(case: Case, scale: float) -> WrongAnswerTable | None:
    """The table of one item; of an expression with those of its parts."""
    whole = _table(case, scale)
    if whole is None or case.find != Find.EXPRESSION or case.exponential is None:
        return whole
    parts = []
    for name, find in PARTS.items():
        part = _part(case, find)
        made = None if part is None else _table(part, scale)
        if made is not None:
            parts.append((name, made))
    return replace(whole, parts=tuple(parts))


def _part(case: Case, find: str) -> Case | None:
    """The case of an expression's part, as if it had been asked by itself."""
    right = case.solvers(find)
    if right is None:
        return None
    item = Item(
        id=case.item.id, find=find, points=0, signal=case.signal, after=case.item.after, marking=case.item.marking
    )
    return replace(case, question=replace(case.question, item=item), right=right)


def _table(case: Case, scale: float) -> WrongAnswerTable | None:
    varies = asked(case.find).kind(case.question.problem, case.item) in (VARIES, EQUATION)
    start = case.start if case.has_circuit else fmpq(0)
    right = numeric_form(case.right, varies, start)
    if right is None:
        return None
    tolerance = case.item.marking.tolerance
    rows: list[WrongAnswerRow] = []
    ruled: list[tuple[str, Wrong]] = []
    hidden: dict[str, None] = {}
    for mistake in catalogue().values():
        for wrong in wrong_answers(mistake, case):
            found = numeric_form(wrong.answer, varies, start)
            if found is None:
                continue
            if relative_deviation(found, right, tolerance, scale) <= 1:
                hidden.setdefault(mistake.id)
                continue
            rows.append(WrongAnswerRow(sort_key(found), found, mistake.id, wrong.variant))
            if wrong.is_ruled:
                ruled.append((mistake.id, wrong))
    ordered = tuple(sorted(rows, key=lambda row: (row.key, row.id, row.variant)))
    answers = Counter(id for id, _ in {(row.id, row.form) for row in ordered})
    return WrongAnswerTable(
        find=case.find,
        right=right,
        varies=varies,
        start=start,
        tolerance=tolerance,
        scale=scale,
        rows=ordered,
        values=dict(answers),
        ruled=tuple(ruled),
        inductive=None if case.find != Find.TAU or case.capacitive is None else not case.capacitive,
        resistors=_resistors(case),
        hidden=tuple(id for id in hidden if id not in answers),
    )


def wrong_answers(mistake: Mistake, case: Case) -> Iterator[Wrong]:
    """What a mistake leads to on a case, as far as it can be worked out."""
    try:
        yield from mistake.wrong(case)
    except (CircuitError, NotDefined, NotAWaveform, ZeroDivisionError, ValueError):
        # A circuit altered on purpose may have no such quantity: then the mistake leads nowhere there.
        return


def _resistors(case: Case) -> Resistors | None:
    if case.find not in (Find.SEEN, Find.BETWEEN, Find.TAU) or not case.has_circuit:
        return None
    found = all_combinations({r.name: r.value for r in case.resistors})
    if case.find != Find.TAU:
        return Resistors(found)
    tau, seen = case.solvers(Find.TAU), case.solvers(Find.SEEN)
    if case.capacitive is None or tau is None or seen is None or not seen.terms or not found:
        return None
    storage = tau / seen if case.capacitive else tau * seen
    if not storage.is_number or storage.is_symbolic:
        return None
    return Resistors(found, to_float(storage.number), case.capacitive)
