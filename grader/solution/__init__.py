"""The worked solution as an instructor writes it on a board: steps with headings, sentences and lines of working."""

from grader.solution.board import BoardLine, Picture, Prose, SolutionStep, prose_text
from grader.solution.equivalent_circuits import worked_solution
from grader.solution.words import nodes_spoken_of

__all__ = ["BoardLine", "Picture", "Prose", "SolutionStep", "nodes_spoken_of", "prose_text", "worked_solution"]
