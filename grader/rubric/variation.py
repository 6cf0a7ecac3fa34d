"""Practice: the same circuit with other values, drawn from a seed, so that a set can be had again.

Resistors, capacitors and inductors take preferred values near their own (E12, half to twice), dc sources of E24.
What has symbols, varies with t or is magnetically coupled keeps its value; texts name the new ones.  A draw is kept if every item still has an
answer of a sensible size; items whose answer would be the original's are left out, so that practice gives nothing away.
"""

import hashlib
from collections.abc import Iterator

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import Element, Passive, Source
from grader.errors import NotDefined, RubricError
from grader.problem import Item, Problem, Rubric
from grader.quantities import FINDS, Answer, asked
from grader.quantities.design import UNKNOWN, level_of
from grader.quantities.preferred import preferred
from grader.rubric.personal import coupled, draw, with_values
from grader.rubric.references import Reference, references
from grader.rubric.wording import is_formula_of, reworded, unsaid
from grader.values.scalar import to_float
from grader.values.waveform import Waveform

SEEDS = 1_000_000
"""Seeds run from 0 to one less: six digits to write down."""

STATED = tuple(find for find in FINDS if asked(find).key_is_answer)
"""Finds whose answer the instructor states: it does not follow from the values."""

DRAWS = 40
"""Draws tried for one seed before giving up; a circuit that needs more is delicate."""

NEAR = fmpq(2)
"""A value drawn is half to twice the original."""

APART = fmpq(11, 100)
"""And differs from it by more than this share, so that the original's answers are not right by tolerance."""

SENSIBLE = 30.0
"""An answer may be this many times larger or smaller than the original's."""

SAME = 0.05
"""Answers closer than this share would give the original's away."""


class Practice(Struct, frozen=True, kw_only=True):
    """A set of values for one problem."""

    rubric: Rubric
    """Holds the one problem, with the new values and the items that are practised."""
    left_out: tuple[Item, ...]
    """Items whose answers are the same as on the sheet."""


def practice(rubric: Rubric, problem: str, seed: int) -> Practice:
    """Draw a set of values for one problem; ``seed`` runs from 0 to `SEEDS` - 1.

    Raises
    ------
    NotDefined
        If the problem has no values to vary, or no draw gives sensible answers.
    """
    original = rubric.problem(problem)
    if not can_vary(original):
        raise NotDefined("This problem has no plain values to vary, so there is nothing to practise.")
    known = {one.item: one for one in references(_alone(rubric, original))}
    for attempt in range(DRAWS):
        try:
            drawn = varied(original, seed, attempt)
            single = _alone(rubric, drawn)
            found = {one.item: one for one in references(single)}
        except RubricError:
            continue  # say, a level that is never reached with these values
        if not all(sensible(known[id].answer, found[id].answer) for id in found):
            continue
        kept = tuple(item for item in drawn.items if not _gives_away(known[item.id], found[item.id]))
        if kept:
            ids = {item.id for item in kept}
            left_out = tuple(item for item in original.items if item.id not in ids)
            return Practice(rubric=_alone(rubric, replace(drawn, items=kept)), left_out=left_out)
    raise NotDefined("No other values near these give sensible answers, so there is nothing to practise.")


def can_vary(problem: Problem) -> bool:
    """Whether a problem has a value to vary, and an item whose answer follows from the values."""
    return any(item.find not in STATED and not unsaid(problem, item) for item in problem.items) and any(
        True for _ in near_values(problem)
    )


def varied(problem: Problem, seed: int, attempt: int = 0) -> Problem:
    """One draw, sensible or not: the same for the same problem, seed and attempt, everywhere."""
    values: dict[str, fmpq] = {}
    for name, found in near_values(problem):
        values[name] = found[draw(b"practice", problem.id, name, str(seed), str(attempt)) % len(found)]
    drawn = with_values(problem, values)
    # What the instructor wrote about answers holds for the original values alone, unless it is a formula; what is
    # answered by it, not at all.
    items = tuple(
        replace(
            item,
            key=None,
            accept=tuple(text for text in item.accept if is_formula_of(problem, text)),
            known_wrong=tuple(known for known in item.known_wrong if is_formula_of(problem, known.answer)),
        )
        for item in drawn.items
        if item.find not in STATED and not unsaid(problem, problem.item(item.id))
    )
    return reworded(replace(drawn, items=items), problem)


def near_values(problem: Problem, series: int = 0) -> Iterator[tuple[str, tuple[fmpq, ...]]]:
    """Each element that varies, and the values it may take: of a series, or each of its kind's own."""
    if problem.circuit is None:
        return
    tied = coupled(problem.circuit) | {name for name, text in problem.values if text == UNKNOWN}
    for element in problem.circuit.elements:
        value, own = _plain_value(element)
        if value is None or element.name in tied:
            continue
        size = abs(value)
        near = (one for one in preferred(size / NEAR, size * NEAR, series or own) if abs(one - size) > APART * size)
        yield element.name, tuple(one if value > 0 else -one for one in near)


def _plain_value(element: Element) -> tuple[fmpq | None, int]:
    """The value that may vary, and the series it is drawn from."""
    if isinstance(element, Source):
        return level_of(element.drive), 24
    if isinstance(element, Passive) and isinstance(element.value, fmpq) and element.value != 0:
        return element.value, 12
    return None, 12


def _alone(rubric: Rubric, problem: Problem) -> Rubric:
    digest = hashlib.sha256(f"{rubric.digest} {problem.id} {problem.values}".encode()).hexdigest()
    return replace(rubric, problems=(problem,), digest=digest)


def sensible(original: Answer, new: Answer) -> bool:
    """Whether an answer has a size like the original's, and is neither born nor lost by a coincidence of values."""
    before, after = _size(original), _size(new)
    if before is None or after is None:
        return True
    if before == 0 or after == 0:
        return before == after
    return 1 / SENSIBLE <= abs(after / before) <= SENSIBLE


def _gives_away(original: Reference, new: Reference) -> bool:
    """Whether the new answer tells the original one."""
    before, after = _size(original.answer), _size(new.answer)
    if before is not None and after is not None:
        return abs(after - before) <= SAME * abs(before)
    return original.answer == new.answer


def _size(answer: Answer) -> float | None:
    """A plain answer as a number; None for expressions, roots and choices."""
    if not isinstance(answer, Waveform) or answer.is_symbolic or not answer.is_number:
        return None
    return to_float(answer.number)
