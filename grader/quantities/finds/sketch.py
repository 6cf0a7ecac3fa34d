"""A drawing that a person looks at and gives points for."""

from __future__ import annotations

from grader.quantities.finds.explanation import Explanation
from grader.quantities.records import Sample


class Sketch(Explanation):
    """A drawing that a person marks; in its place the student says where it is (a page, a file)."""

    name = "sketch"
    words = "Sketch; write here where it is to be found"
    sample = Sample(answer="A person gives the points.")


ENTRY = Sketch()
