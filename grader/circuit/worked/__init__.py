"""The worked solution as an instructor writes it on a board: steps with headings, sentences and lines of working."""

from grader.circuit.worked.board import Line
from grader.circuit.worked.pictures import worked_solution
from grader.circuit.worked.words import Step

__all__ = ["Line", "Step", "worked_solution"]
