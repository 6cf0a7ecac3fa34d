"""Where an idea shows: items in words, and the circuit with the elements framed that the answers are about."""

from collections import Counter
from pathlib import Path

from grader.circuit.elements import Storage
from grader.errors import RubricError
from grader.problem import Item, Problem, Rubric
from grader.reports.audit_records import IdeaFigures
from grader.reports.paper import questions
from grader.reports.schematic import schematic
from grader.rubric.files import load_rubric

RUBRIC = "rubric_as_marked.toml"
"""The copy of the rubric that a run leaves beside its marks."""


def kept_rubric(folder: Path) -> Rubric | None:
    """The rubric that the marks of a results folder follow; None where it is not there, or is none any more."""
    try:
        return load_rubric(folder / RUBRIC)
    except (OSError, RubricError):
        return None


def places(rubric: Rubric) -> dict[str, str]:
    """Every item (``problem.item``) in words."""
    titles = {problem.id: problem.title or problem.id for problem in rubric.problems}
    return {f"{problem}.{item}": f"{text} ({titles[problem]})" for (problem, item), text in questions(rubric).items()}


def circuit(idea: IdeaFigures, rubric: Rubric, id: str) -> tuple[str, tuple[str, ...]]:
    """The circuit in which an idea showed most, and its framed elements; "" where there is none.

    Framed is what the item is about in which the idea showed most.
    """
    shown = Counter[str]()
    for key, count in idea.items:
        shown[key.partition(".")[0]] += count
    drawn = {problem.id: problem for problem in rubric.problems if problem.circuit is not None}
    for name, _ in shown.most_common():
        if name in drawn:
            own = max((pair for pair in idea.items if pair[0].startswith(f"{name}.")), key=lambda pair: pair[1])
            items = {f"{name}.{item.id}": item for item in drawn[name].items}
            framed = elements(drawn[name], items[own[0]]) if own[0] in items else ()
            return schematic(drawn[name], marked=framed, id=id), framed
    return "", ()


def elements(problem: Problem, item: Item) -> tuple[str, ...]:
    """What an item is about: the element whose signal or surroundings are asked, else the storage elements."""
    if item.signal is not None:
        return (item.signal.of,) if isinstance(item.signal.of, str) else ()
    if item.of or item.by:
        return item.of or (item.by or "",)
    if item.between or problem.circuit is None:
        return ()
    return tuple(element.name for element in problem.circuit.elements if isinstance(element, Storage))
