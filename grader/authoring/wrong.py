"""The wrong answers to expect at every item: what each mistake of the catalogue leads to, worked out and written."""

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from grader.circuit.response import solve
from grader.mistakes.case import Case
from grader.mistakes.catalogue import catalogue
from grader.mistakes.records import Mistake
from grader.mistakes.wrong_answers import case_of, wrong_answers
from grader.problem import Problem, Rubric
from grader.quantities import Answer
from grader.quantities.catalogue import asked
from grader.rubric.formatting import answer_text
from grader.rubric.references import Reference


class Expected(NamedTuple):
    """A wrong answer to one item: which mistake leads to it, the answer, and the same as an instructor would write it."""

    mistake: Mistake
    answer: Answer
    text: str


def expected(
    rubric: Rubric, found: Sequence[Reference], mistakes: Iterable[Mistake] | None = None
) -> Iterator[tuple[Reference, tuple[Expected, ...]]]:
    """Every item's reference with the wrong answers that mistakes lead to, commonest mistakes first.

    Answers that are right as written are left out; ``mistakes`` are all unless given.
    """
    ordered = sorted(
        catalogue().values() if mistakes is None else mistakes, key=lambda mistake: (-mistake.prior, mistake.id)
    )
    by_item = {one.place: one for one in found}
    for problem in rubric.problems:
        for case, reference in _cases(problem, by_item):
            yield reference, tuple(_of(case, reference, ordered))


def _cases(problem: Problem, by_item: Mapping[tuple[str, str], Reference]) -> Iterator[tuple[Case, Reference]]:
    solved = None if problem.circuit is None else solve(problem.circuit)
    memo: dict[Hashable, Any] = {}
    for item in problem.items:
        reference = by_item.get((problem.id, item.id))
        if reference is not None:
            yield case_of(problem, item, solved, reference.answer, memo), reference


def _of(case: Case, reference: Reference, mistakes: Sequence[Mistake]) -> Iterator[Expected]:
    """Each different text once, under the commonest mistake that leads to it."""
    seen = {reference.text}
    for mistake in mistakes:
        for wrong in wrong_answers(mistake, case):
            own = asked(reference.find).written(case.item, wrong.answer)
            text = own or answer_text(wrong.answer, reference.unit, reference.dimension, reference.start)
            if text not in seen:
                seen.add(text)
                yield Expected(mistake, wrong.answer, text)
