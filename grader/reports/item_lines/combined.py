"""Several inductors or capacitors as one, where all are in series or all in parallel, two coils coupled or not."""

from grader.circuit.elements import Capacitor, CoupledInductors, Inductor, Storage
from grader.quantities.finds.combined_elements import SIZES, permeability_of
from grader.quantities.quantities import quantity
from grader.quantities.question import Question
from grader.quantities.rules import Answer
from grader.reading.tree import Parallel
from grader.reports.item_lines.derivation import Derivation
from grader.solution.formula import Formula, added, amount, name, whole
from grader.values.dimension import AREA, INDUCTANCE, LENGTH, NUMBER, PERMEABILITY
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import constant


def equivalent(question: Question) -> Derivation | None:
    """The sum, or the reciprocal of the sum of reciprocals, or what two coupled coils come to; nothing where it is none of these."""
    inductive = question.item.find == "equivalent inductance"
    kind = Inductor if inductive else Capacitor
    members: list[Storage] = [
        element
        for element in question.circuit.elements
        if isinstance(element, kind) and (not question.item.of or element.name in question.item.of)
    ]
    answer, sizes = question.answer_to(question.item), [element.value for element in members]
    if not members:
        return None
    left = name("L_eq" if inductive else "C_eq")
    letters = [name(element.name) for element in members]
    figures = [amount(element.value, element.dimension) for element in members]
    if constant(sum(sizes, ZERO)) == answer:
        return Derivation((left, added(letters), added(figures)), answer)
    if constant(ONE / sum((ONE / size for size in sizes), ZERO)) == answer:
        return Derivation((left, *(_reciprocal(side, inductive) for side in (letters, figures))), answer)
    names = {element.name for element in members}
    for coupling in question.circuit.elements:
        if isinstance(coupling, CoupledInductors) and set(coupling.inductors) == names:
            mutual = (name("M"), amount(coupling.mutual, INDUCTANCE))
            return _coupled(left, (letters, figures), mutual, (*sizes, coupling.mutual), answer)
    return None


def _coupled(
    left: Formula,
    coils: tuple[list[Formula], ...],
    mutual: tuple[Formula, ...],
    sizes: tuple[Scalar, ...],
    answer: Answer,
) -> Derivation | None:
    """``L1 + L2 ± 2 M`` in series, ``(L1 L2 − M²)/(L1 + L2 ∓ 2 M)`` in parallel."""
    one, other, between = sizes
    for turn in (1, -1):
        sums = [first + second + _signed(turn, whole(2) * m) for (first, second), m in zip(coils, mutual, strict=True)]
        series = one + other + 2 * turn * between
        if constant(series) == answer:
            return Derivation((left, *sums), constant(series))
        parallel = constant((one * other - between * between) / series) if series != 0 else None
        if parallel == answer and parallel is not None:
            products = [first * second - m**2 for (first, second), m in zip(coils, mutual, strict=True)]
            return Derivation((left, *(top / below for top, below in zip(products, sums, strict=True))), parallel)
    return None


def _signed(turn: int, term: Formula) -> Formula:
    return term if turn > 0 else -term


def coil(question: Question) -> Derivation:
    """``μ N² A/l``."""
    settings = dict(question.item.settings)
    turns, area, length = (quantity(settings[key], size).waveform for key, size in SIZES.items())
    core = permeability_of(settings["permeability"])
    letters = name("μ") * name("N") ** 2 * name("A") / name("l")
    figures = amount(core, PERMEABILITY) * amount(turns, NUMBER) ** 2 * amount(area, AREA) / amount(length, LENGTH)
    return Derivation((name("L"), letters, figures), core * turns * turns * area / length)


def _reciprocal(terms: list[Formula], inductive: bool) -> Formula:
    """Inductors in parallel as ``L1 ∥ L2``; capacitors in series as ``1/(1/C1 + 1/C2)``."""
    if inductive:
        return Formula(Parallel(tuple(term.tree for term in terms), 0))
    return whole(1) / added(whole(1) / term for term in terms)
