"""Several inductors or capacitors as one, where all are in series or all in parallel."""

from grader.circuit.elements import Capacitor, Inductor, Storage
from grader.quantities.question import Question
from grader.reading.tree import Parallel
from grader.reports.item_lines.derivation import Derivation
from grader.solution.formula import Formula, added, amount, name, whole
from grader.values.scalar import ONE, ZERO, is_symbolic
from grader.values.waveform import constant


def equivalent(question: Question) -> Derivation | None:
    """The sum, or the reciprocal of the sum of reciprocals, whichever it is; nothing where it is neither."""
    inductive = question.item.find == "equivalent inductance"
    kind = Inductor if inductive else Capacitor
    members: list[Storage] = [
        element
        for element in question.circuit.elements
        if isinstance(element, kind) and (not question.item.of or element.name in question.item.of)
    ]
    answer, sizes = question.answer_to(question.item), [element.value for element in members]
    if len(members) < 2 or any(is_symbolic(size) for size in sizes):
        return None
    left = name("L_eq" if inductive else "C_eq")
    letters = [name(element.name) for element in members]
    figures = [amount(element.value, element.dimension) for element in members]
    if constant(sum(sizes, ZERO)) == answer:
        return Derivation((left, added(letters), added(figures)), answer)
    if constant(ONE / sum((ONE / size for size in sizes), ZERO)) == answer:
        return Derivation((left, *(_reciprocal(side, inductive) for side in (letters, figures))), answer)
    return None


def _reciprocal(terms: list[Formula], inductive: bool) -> Formula:
    """Inductors in parallel as ``L1 ∥ L2``; capacitors in series as ``1/(1/C1 + 1/C2)``."""
    if inductive:
        return Formula(Parallel(tuple(term.tree for term in terms), 0))
    return whole(1) / added(whole(1) / term for term in terms)
