"""The worked solution as an instructor writes it on a board: steps with headings, sentences and lines of working."""

from grader.circuit.solution.equivalent_circuits import worked_solution
from grader.circuit.solution.formatting import BoardLine
from grader.circuit.solution.words import SolutionStep

__all__ = ["BoardLine", "SolutionStep", "worked_solution"]
