"""What `vet` asks of personal values at the ends of their ranges: that every item has an answer, and that keys hold."""

from collections.abc import Iterator, Mapping
from itertools import combinations, islice
from time import monotonic

from flint import fmpq
from msgspec.structs import replace

from grader.errors import RubricError
from grader.marking.key import Key, build_key
from grader.marking.vetting import check_keys, reading_of
from grader.problem import Problem
from grader.rubric.personal import choices, ranges, valued, with_values
from grader.rubric.soundness import Remark
from grader.values.text import listed

MOST = 16
"""Combinations of ends tried for a problem: of three ranges all eight, of more those that differ in one."""

SECONDS = 20.0
"""How long may be tried before a new combination is begun."""


def check_ends(key: Key) -> tuple[Remark, ...]:
    """The first combination of ends at which an item has no answer, or its key, if that names elements, is wrong."""
    told = {remark.where for remark in check_keys(key)}
    found: dict[str, Remark] = {}
    over = monotonic() + SECONDS
    for problem in key.rubric.problems:
        for values in ends(problem):
            if monotonic() > over:
                late = "not all ends of the ranges were tried, which takes too long; ask for less in one file."
                return (*found.values(), Remark(where=key.rubric.name, sentence=late))
            for remark in _at(key, problem, values):
                if remark.where not in told:
                    found.setdefault(remark.where, remark)
    return tuple(found.values())


def ends(problem: Problem) -> Iterator[Mapping[str, fmpq]]:
    """Combinations of the least and the largest values: all alike first, then one unlike the others."""
    if problem.circuit is None:
        return
    spans = {name: choices(text, valued(problem.circuit.element(name)).dimension) for name, text in ranges(problem)}
    chosen = (
        tuple((name, span[-1 if (name in unlike) == high else 0]) for name, span in spans.items())
        for width in (0, 1)
        for unlike in combinations(spans, width)
        for high in (True, False)
    )
    yield from map(dict, islice(dict.fromkeys(chosen) if spans else (), MOST))


def _at(key: Key, problem: Problem, values: Mapping[str, fmpq]) -> Iterator[Remark]:
    """Remarks on a problem with these values."""
    try:
        drawn = with_values(problem, values)
        own = build_key(replace(key.rubric, problems=(drawn,)))
    except RubricError as error:
        for fault in error.faults:
            where, _, sentence = fault.removeprefix(f"{key.rubric.name}, ").partition(": ")
            right = "narrow the ranges, or write what it asks as a formula of the elements' names."
            yield _remark(problem, values, where, f"{sentence.rstrip('.')}; {right}")
        return
    depends = {
        f"problem '{problem.id}', item '{item.id}'"
        for item in drawn.items
        if item.key is not None and reading_of(own, problem.id, item) != reading_of(key, problem.id, item)
    }
    for remark in check_keys(own):
        if remark.wrong and remark.where in depends:
            yield _remark(problem, values, remark.where, remark.sentence)


def _remark(problem: Problem, values: Mapping[str, fmpq], where: str, sentence: str) -> Remark:
    """One that says with which of a student's possible values."""
    texts = dict(with_values(replace(problem, items=()), values).values)
    said = listed([f"{name} = {texts[name]}" for name in values])
    return Remark(where=where, sentence=f"with {said}, as a student may get: {sentence}", wrong=True)
