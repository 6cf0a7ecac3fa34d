"""The worked solution as an instructor writes it on a board: steps with headings, sentences and lines of working."""

from grader.solution.equivalent_circuits import worked_solution
from grader.solution.formatting import BoardLine
from grader.solution.words import SolutionStep, nodes_spoken_of

__all__ = ["BoardLine", "SolutionStep", "nodes_spoken_of", "worked_solution"]
