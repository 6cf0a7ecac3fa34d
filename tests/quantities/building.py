"""Small problems for the tests of this room, written as rubric files are."""

from grader.circuit.response import solve
from grader.problem import Problem
from grader.quantities.catalogue import question_of
from grader.quantities.question import Question
from grader.quantities.samples import CIRCUITS
from grader.rubric.files import read_rubric


def problem(circuit: str, *items: str) -> Problem:
    """A problem with one of the sample circuits (or its own element lines), and items given by their keys."""
    lines = CIRCUITS.get(circuit, circuit)
    listed = ",\n".join(f"{{points = 1, {item}}}" for item in items)
    text = f"""
        title = "Test"
        [[problem]]
        id = "p"
        {'ground = "g"' if lines else ""}
        {f"element = [{lines}]" if lines else ""}
        item = [{listed}]
    """
    return read_rubric(text.encode(), "test.toml").problems[0]


def question(circuit: str, *items: str) -> Question:
    """The last of some items, with its solved circuit."""
    found = problem(circuit, *items)
    solved = None if found.circuit is None else solve(found.circuit)
    return question_of(found, found.items[-1], solved)
