"""From the answers of a class to an explanation of every student: the public entry point of this room."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from sys import intern
from typing import TypeVar

from grader.ideas.catalogue import facets, ideas
from grader.ideas.evidence import Visible, clues, visible_of
from grader.ideas.inference import Case, Rates, Suspect, case_of, estimated, first_rates, judged, shares
from grader.ideas.records import WRONG, Explanation, HeldIdea, Item, Observation, Predictions

NAMED = 0.5
"""Probability from which an idea is named."""

ENOUGH = 1000
"""Students, evenly spread over a larger class, from whom its rates are estimated."""

ALONE = 0.9
"""Share of the probability from which one of several ideas that explain the same answers is named alone."""


def explaining(
    students: Iterable[str], observations: Callable[[str], Sequence[Observation]], predictions: Predictions
) -> Callable[[str, Sequence[Observation]], Explanation]:
    """What explains a student by the observations, once the class's rates are known.

    The observations of a student come in the order of the rubric; the predictions are what every item can show.
    """
    visible, ordered = visible_of(predictions), sorted(students)
    every = max(1, len(ordered) // ENOUGH)
    sample = {student: case_of(clues(observations(student), visible)) for student in ordered[::every]}
    rates = estimated([*sample.values()])

    def explanation(student: str, own: Sequence[Observation]) -> Explanation:
        return _explanation(student, own, sample[student] if student in sample else case_of(clues(own, visible)), rates)

    return explanation


def explained(
    students: Iterable[str], observations: Callable[[str], Sequence[Observation]], predictions: Predictions
) -> dict[str, Explanation]:
    """The same for all of them at once, in order of id."""
    ordered = sorted(students)
    explanation = explaining(ordered, observations, predictions)
    return {student: explanation(student, observations(student)) for student in ordered}


def explained_alone(student: str, observations: Sequence[Observation], visible: Mapping[Item, Visible]) -> Explanation:
    """Explain one student's answers, knowing nothing of a class but what every item can show (`visible_of`)."""
    case = case_of(clues(observations, visible))
    return _explanation(student, observations, case, first_rates())


def _explanation(student: str, observations: Sequence[Observation], case: Case, rates: Rates) -> Explanation:
    held = _held(case, rates)
    own = {id for idea in held for id in (idea.id, *idea.others)}
    shown = {item for idea in held for item in idea.shown}
    slips, unexplained = [], []
    for one in observations:
        if one.outcome != WRONG or one.item in shown:
            continue
        if one.mistakes:
            slips.append((_shared(one.item), intern(one.mistakes[0])))
        else:
            unexplained.append(_shared(one.item))
    testable = {facets()[place].idea for place in case.touched}
    return Explanation(
        student=student,
        ideas=held,
        slips=tuple(slips),
        unexplained=tuple(unexplained),
        testable=_shared(tuple(id for id in ideas() if id in testable or id in own)),
    )


Names = TypeVar("Names", bound=tuple[str, ...])


@lru_cache(maxsize=4096)
def _shared(names: Names) -> Names:
    """The same for all students: what is kept of a hundred thousand refers to it."""
    return names


def _held(case: Case, rates: Rates) -> tuple[HeldIdea, ...]:
    """The ideas that are likelier than not, the surest first; the ways to hold one of them are taken together."""
    beliefs = judged(case, rates)
    names = [_named(suspect, rates) for suspect in case.suspects]
    held = []
    for id in dict.fromkeys(named[0] for named in names):
        ways = [place for place, named in enumerate(names) if named[0] == id]
        total = 0.0
        for chosen, probability in beliefs.sets.items():
            if any(place in ways for place in chosen):
                total += probability
        if total >= NAMED:
            likely = [place for place in ways if beliefs.each[place] >= NAMED]
            ways = likely or [max(ways, key=lambda place: beliefs.each[place])]
            held.append(
                HeldIdea(
                    id=id,
                    others=names[ways[0]][1:],
                    probability=round(min(total, 1.0), 3),
                    shown=_items(case, ways, lambda effect: effect > 0),
                    refuted=_items(case, ways, lambda effect: effect == 0),
                )
            )
    return tuple(sorted(held, key=lambda idea: (-idea.probability, idea.id)))


def _named(suspect: Suspect, rates: Rates) -> tuple[str, ...]:
    """The idea, and those that cannot be told from it; it alone where the class makes the others unlikely."""
    likely: dict[str, float] = {}
    for place, share in shares(suspect, rates):
        likely[facets()[place].idea] = likely.get(facets()[place].idea, 0.0) + share
    ordered = sorted(likely, key=lambda name: (-likely[name], name))
    return tuple(ordered[:1]) if likely[ordered[0]] >= ALONE else tuple(ordered)


def _items(case: Case, ways: Sequence[int], speaks: Callable[[float], bool]) -> tuple[Item, ...]:
    """Answers of which one of the suspects says so."""
    found = []
    for number, clue in enumerate(case.clues):
        effects = [case.suspects[place].effects for place in ways]
        if any(number in own and speaks(own[number]) for own in effects):
            found.append(_shared(clue.item))
    return tuple(found)
