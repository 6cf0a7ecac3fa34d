"""The step of the worked solution in the s-domain: impedances, sources for what is held at 0-, and the answers in s."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from grader.circuit.elements import Capacitor, Circuit, Inductor
from grader.circuit.response import Solved
from grader.circuit.transformed import delivered_by, held_before
from grader.problem import Problem
from grader.quantities.records import TRANSFORM
from grader.rubric.references import Reference
from grader.solution import BoardLine, SolutionStep
from grader.solution.formula import Formula, added, exponential, name, number, polynomial_formula, whole
from grader.solution.words import symbol
from grader.values.laplace import VARIABLE, delayed_parts, fraction
from grader.values.scalar import Scalar
from grader.values.waveform import Waveform

S = name(VARIABLE)


def s_domain_step(problem: Problem, solved: Solved, found: Iterable[Reference]) -> SolutionStep | None:
    """The step; None where nothing is asked in the s-domain.

    Parameters
    ----------
    problem : Problem
        Its items.
    solved : Solved
        The response of its circuit.
    found : iterable of Reference
        The reference answers, of this problem or of more.
    """
    asked = [one for one in found if one.problem == problem.id and one.kind == TRANSFORM]
    if not asked:
        return None
    lines = [*_impedances(solved.circuit)]
    sentences = ["Every inductor has the impedance sL, every capacitor 1/(sC); divide and combine them as resistances."]
    if any(one.find == TRANSFORM for one in asked):
        beside = [*_sources(solved)]
        lines += beside
        if beside:
            sentences.append("A source acts with its transform, and so does what a storage element holds at 0−.")
    for one in asked:
        assert isinstance(one.answer, Waveform)
        sides = () if one.find != TRANSFORM else (name(f"{_called(problem, one)}(s)"),)
        lines.append(BoardLine(label=one.item, sides=(*sides, added(_delayed_quotients(one.answer)))))
    return SolutionStep(
        heading=("In the s-domain",), sentences=tuple((sentence,) for sentence in sentences), lines=tuple(lines)
    )


def _called(problem: Problem, one: Reference) -> str:
    """The capital letter of a transform: ``V_C1``."""
    signal = problem.item(one.item).signal
    assert signal is not None
    small = symbol(signal)
    return f"{small[0].upper()}{small[1:]}"


def _impedances(circuit: Circuit) -> Iterator[BoardLine]:
    for element in circuit.elements:
        if isinstance(element, (Capacitor, Inductor)):
            sides = [S * name(element.name), number(element.value) * S]
            if isinstance(element, Capacitor):
                sides = [whole(1) / side for side in sides]
            yield BoardLine(sides=(name(f"Z_{element.name}"), *sides))


def _sources(solved: Solved) -> Iterator[BoardLine]:
    """The transforms of the sources, and those of what is held: a voltage beside the impedance."""
    for source, value in delivered_by(solved.circuit).items():
        if value:
            yield BoardLine(sides=(name(f"{source}(s)"), _quotient(value)))
    for held, value in held_before(solved).items():
        if value:
            element = solved.circuit.element(held)
            if isinstance(element, Capacitor):
                sides = (name(f"v_{held}(0−)") / S, number(value) / S)
            else:
                sides = (name(held) * name(f"i_{held}(0−)"), number(element.value * value))  # type: ignore[attr-defined]
            yield BoardLine(label=held, sides=sides)


def _delayed_quotients(answer: Waveform) -> Iterator[Formula]:
    """The quotient of every delay, with its factor."""
    for delay, found in delayed_parts(answer):
        quotient = _quotient(found.value)
        yield quotient * exponential(-(number(delay) * S)) if delay else quotient


def _quotient(value: Scalar) -> Formula:
    """A function of s, numerator over denominator."""
    found = fraction(value)
    top, bottom = (polynomial_formula(tuple(reversed(side))) for side in found)
    return top if len(found.bottom) == 1 else top / bottom
