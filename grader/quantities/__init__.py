"""What can be asked: a class for every ``find`` of a rubric, in the file of its family in the folder ``finds``.

A class says the answer's kind and dimension, the right answer from the solved circuit, and how it follows from earlier
answers; the file beside it which keys an item needs, the text on the answer sheet, and a sample.
"""

from grader.quantities.catalogue import FINDS, asked
from grader.quantities.records import Asked
from grader.quantities.rules import Answer, Roots, Rule, follow

__all__ = ["FINDS", "Answer", "Asked", "Roots", "Rule", "asked", "follow"]
