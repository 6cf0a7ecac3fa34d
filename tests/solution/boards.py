"""Worked solutions of circuits, and their lines as text."""

from grader.circuit.response import solve
from grader.solution import prose_text, worked_solution


def board(net, *asked):
    solved = solve(net)
    return {prose_text(step.heading): step for step in worked_solution(solved, asked)}


def left(line):
    return line.sides[0].text


def middle(line):
    """What stands between the symbol and the value."""
    return " = ".join(side.text for side in line.sides[1:])


def text(step):
    """Every line without its value."""
    return [f"{line.label}: " * bool(line.label) + " = ".join(side.text for side in line.sides) for line in step.lines]


def said(step):
    return [prose_text(sentence) for sentence in step.sentences]


def values(step):
    return {left(line): line.value.value() for line in step.lines if line.value is not None and line.value.is_constant}
