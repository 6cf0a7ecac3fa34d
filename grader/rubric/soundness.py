"""Whether a rubric asks sensible things: what an instructor should look at before handing it out."""

import re
from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from grader.circuit.elements import ChangeoverSwitch, Circuit, Inductor, Passive, Source
from grader.circuit.feedback import positive_feedback
from grader.circuit.response import Solved, solve
from grader.errors import CircuitError, NotDefined
from grader.problem import Item, Problem, Rubric
from grader.quantities.catalogue import asked, question_of
from grader.quantities.design import USUAL
from grader.quantities.finding import Find
from grader.quantities.question import time_text
from grader.quantities.terminals import at_storage
from grader.quantities.words import phrase
from grader.regex import regex
from grader.rubric.wording import stuck
from grader.uploads.names import folded, latinised
from grader.values.scalar import is_symbolic, to_float
from grader.values.text import quoted, value_text
from grader.values.waveform import Waveform

ABOUT_CHANGE = ("expression", "final value", "value at", "initial slope", "time to reach")
"""Finds that are trivial where the signal does not change."""

LASTING = ("energy dissipated", "response")
"""Finds that speak of all time unless the item says otherwise."""

BARE = regex(r"\d[\d.,\s]*(?:[eE][-+]?\d+)?")
"""A value written without prefix and unit."""


class Remark(Struct, frozen=True, kw_only=True):
    """One thing to look at: where it is, a sentence, and whether it is wrong (or only worth a look)."""

    where: str
    sentence: str
    wrong: bool = False

    def __str__(self) -> str:
        return f"{self.where}: {self.sentence}"


def soundness(rubric: Rubric) -> tuple[Remark, ...]:
    """Remarks on a rubric whose references exist; on keys see `grader.marking.vetting`."""
    found: list[Remark] = []
    for problem in rubric.problems:
        where = f"problem '{problem.id}'"
        solved = None if problem.circuit is None else solve(problem.circuit)
        if solved is not None:
            found.extend(Remark(where=where, sentence=text) for text in _on_circuit(problem, solved))
        for item in problem.items:
            here = f"{where}, item '{item.id}'"
            found.extend(Remark(where=here, sentence=text, wrong=wrong) for wrong, text in _on_points(item))
            if solved is not None and item.signal is not None and item.find in ABOUT_CHANGE:
                found.extend(Remark(where=here, sentence=text) for text in _on_change(problem, item, solved))
            if solved is not None and item.find == Find.BETWEEN:
                found.extend(Remark(where=here, sentence=text) for text in _on_coils(problem, item, solved))
        if solved is not None:
            found.extend(Remark(where=where, sentence=text) for text in _on_intervals(problem, solved))
        found.extend(Remark(where=where, sentence=text) for text in (*_on_labels(problem), *stuck(problem)))
    if sum(item.points for problem in rubric.problems for item in problem.items) == 0:
        found.append(Remark(where=rubric.name, sentence="no item has any points.", wrong=True))
    return tuple(found)


def _on_points(item: Item) -> Iterator[tuple[bool, str]]:
    total = sum(points for _, points in item.parts)
    if item.parts and abs(total - item.points) > 1e-9:
        yield True, f"the parts add up to {total:g} points, but the item has {item.points:g}; make them agree."
    if item.points == 0:
        yield False, "it has no points."
    if item.marking.tolerance == 0:
        yield False, "with a tolerance of 0 a rounded answer is wrong; 1 % to 2 % is usual."
    if item.marking.tolerance > 0.1:
        yield False, f"a tolerance of {item.marking.tolerance:.0%} may let a wrong answer pass."


def _on_intervals(problem: Problem, solved: Solved) -> Iterator[str]:
    """Items that leave open which of several intervals they speak of, all in one sentence."""
    if len(solved.intervals) < 3:
        return
    open_items = [
        item.id
        for item in problem.items
        if "after" in asked(item.find).allows
        and (item.after, item.at, item.start) == (None, None, None)
        and item.find not in LASTING
    ]
    if open_items:
        first, *later = (time_text(opened) for opened, _ in solved.intervals[1:] if opened is not None)
        taken = "is taken to speak" if len(open_items) == 1 else "are taken to speak"
        yield (
            f"the circuit changes at t = {', '.join((first, *later))}; {quoted(open_items)} {taken} of the switching "
            f'at t = {first}. Say so with after = "{first}", or name another.'
        )


def _on_labels(problem: Problem) -> Iterator[str]:
    """Items that a student cannot tell apart by their words."""
    by_text: dict[str, list[str]] = {}
    for item in problem.items:
        by_text.setdefault(item.text, []).append(item.id)
    for text, ids in by_text.items():
        if len(ids) > 1:
            of_list = len({re.sub(r"-\d+$", "", id) for id in ids}) == 1 and problem.item(ids[0]).find == "value at"
            right = "leave 'text' out, and each says its instant" if of_list else "give them texts of their own"
            yield f"{', '.join(ids)} all read '{text}' on the sheet; {right}."


def _on_circuit(problem: Problem, solved: Solved) -> Iterator[str]:
    """Names, impulses, and what the solver had to assume."""
    assert problem.circuit is not None
    yield from _on_names(problem.circuit)
    struck = any(isinstance(element, Source) and element.drive.impulses for element in problem.circuit.elements)
    meant = struck or any(item.find == "energy lost" for item in problem.items)
    for impulse in () if meant else solved.impulses:
        what = "voltage" if impulse.kind == "flux" else "current"
        yield (
            f"at t = {time_text(impulse.time)} the {what} of '{impulse.element}' is an impulse; is that meant, and does "
            "the switching leave a path for every inductor's current?"
        )
    yield from (f"{note.rstrip('.')}." for note in solved.notes)
    latching = {name for opened, _ in solved.intervals for name in positive_feedback(problem.circuit, opened)}
    for name in sorted(latching):
        yield (
            f"a rise of the output of '{name}' raises its + input more than its - input, and a real op amp would go to "
            "its limit; are the inputs swapped?"
        )
    yield from _on_values(problem)


def _on_names(circuit: Circuit) -> Iterator[str]:
    """Nodes that one element alone is connected to, and elements whose names are easily taken for one another."""
    ends = Counter(node for element in circuit.elements for node in dict.fromkeys(element.terminals()))
    throws = {t for e in circuit.elements if isinstance(e, ChangeoverSwitch) for t in e.terminals()}
    for node, count in ends.items():
        if count == 1 and node not in throws:
            only = next(e.name for e in circuit.elements if node in e.terminals())
            yield f"only '{only}' is connected to node '{node}'; is the node's name spelled right?"
    looks: dict[str, str] = {}
    for element in circuit.elements:
        other = looks.setdefault(folded(latinised(element.name)), element.name)
        if other != element.name:
            yield f"'{other}' and '{element.name}' differ in letter case, width or alphabet alone, which students do not keep; rename one."


def _on_values(problem: Problem) -> Iterator[str]:
    """Values without a unit, or of a size that a slip with the prefix makes."""
    assert problem.circuit is not None
    written = dict(problem.values)
    for element in problem.circuit.elements:
        if not isinstance(element, Passive) or is_symbolic(element.value):
            continue
        least, most = USUAL[type(element)]
        size, text = to_float(element.value), written.get(element.name, "").strip()
        if BARE.fullmatch(text):
            yield f"the value of '{element.name}', {text}, has no unit; it is taken as {value_text(size, element.dimension)}."
        elif size and not least <= abs(size) <= most:
            yield f"the value of '{element.name}', {text}, is an unusual size; is its prefix right (m and M differ)?"


def _on_change(problem: Problem, item: Item, solved: Solved) -> Iterator[str]:
    """A signal that the switching leaves alone."""
    question = question_of(problem, item, solved)
    index = question.index_asked
    if index == 0:
        return
    try:
        after: Waveform = solved.waveform(question.signal, index)
        before: Waveform = solved.just_before(question.signal, index)
    except (CircuitError, NotDefined):
        return
    start = question.solved.intervals[index].start
    passed = any(one.time == start and one.element == question.signal.of for one in solved.impulses)
    if after.is_constant and after == before and not passed:
        yield f"the {phrase(item.signal)} does not change at t = {time_text(start)}; is the right signal asked?"


def _on_coils(problem: Problem, item: Item, solved: Solved) -> Iterator[str]:
    """A resistance between the ends of a coil, which is a wire there."""
    question = question_of(problem, item, solved)
    for coil in question.circuit.elements:
        if isinstance(coil, Inductor) and at_storage(question, item, coil.name):
            yield f"'{coil.name}' between these nodes is a wire at rest, so 0 Ω is right; ask 'resistance seen' by it where what is around it is meant."
