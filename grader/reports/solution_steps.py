"""All steps of a problem's worked solution: the circuit's own, then those of the items."""

from collections.abc import Sequence

from grader.circuit.response import Solved
from grader.problem import Problem
from grader.reports.item_lines import values_step
from grader.reports.s_domain import s_domain_step
from grader.reports.terminals import terminal_steps
from grader.rubric.references import Reference
from grader.solution import SolutionStep, worked_solution


def solution_steps(problem: Problem, solved: Solved | None, found: Sequence[Reference]) -> tuple[SolutionStep, ...]:
    """The steps in the order of the board; without a circuit those of single items alone."""
    if solved is None:
        return tuple(filter(None, (values_step(problem, solved, found),)))
    signals = tuple(dict.fromkeys(item.signal for item in problem.items if item.signal is not None))
    asked = (step(problem, solved, found) for step in (s_domain_step, values_step))
    return (
        *worked_solution(solved, signals),
        *terminal_steps(problem, solved, found),
        *filter(None, asked),
    )
