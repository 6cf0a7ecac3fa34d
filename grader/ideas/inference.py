"""The few ideas that explain a class's answers: a Bayesian model with slips, its frequencies estimated by EM.

A student holds each idea or not.  An answer that some of the student's ideas would change comes from one of them,
with probability `Rates.shows`; otherwise it is right, or a slip.  The answers' likelihood under every set of up to
three ideas gives the probability of each set; how common each idea is in the class is estimated along with it.

Every sum runs in a fixed order and uses the four basic operations alone, which IEEE 754 rounds alike everywhere: the
same answers give the same digits on every machine.

References
----------
J. S. Brown and R. R. Burton, Cognitive Science 2, 155-192 (1978): diagnostic models of procedural bugs.
B. W. Junker and K. Sijtsma, Appl. Psychol. Meas. 25, 258-272 (2001): slips and guesses in such models.
B.-C. Kuo, C.-H. Chen and J. de la Torre, Appl. Psychol. Meas. 42, 179-191 (2018): skills and misconceptions at once.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from grader.ideas.catalogue import facets
from grader.ideas.evidence import Clue
from grader.ideas.records import FOLLOWED, WRONG
from grader.mistakes.catalogue import catalogue

MAX_IDEAS = 3
"""Ideas of one student at once."""

MAX_CANDIDATES = 7
"""Ideas weighed against each other for one student."""

COMMON = 0.02
"""How many students hold an idea, before anything is known of the class, per step of its mistakes' weight."""

ROUNDS, STEPS = 3, 5
"""Rounds of the estimation, each with new rates of slips; steps of the ideas' frequencies within a round."""

PRIOR_STUDENTS = 10.0
"""Students whose weight the catalogue's frequencies have beside the class's own."""

PRIOR_ANSWERS = 30.0
"""Answers whose weight the rates have that are held likely before anything is known."""

UNCLEAR = 0.5
"""How strongly a wrong answer that nothing explains speaks against an idea, where a right one has 1."""


class Rates(Struct, frozen=True, kw_only=True):
    """Rates of a class."""

    slip: float
    """How often an answer that no idea touches is wrong."""
    shows: float
    """How often an idea shows where it can."""
    held: tuple[float, ...]
    """How many of the students hold each facet."""


def first_rates() -> Rates:
    """What is held likely before anything is known of a class."""
    weights = (max(catalogue()[id].prior for id in facet.mistakes) for facet in facets())
    return Rates(slip=0.08, shows=0.85, held=tuple(COMMON * weight for weight in weights))


class Suspect(NamedTuple):
    """Facets that this student's answers cannot tell apart, and what clues say of them, by number of clue."""

    facets: tuple[int, ...]
    effects: dict[int, float]
    wrong: dict[int, float]
    """Of those what wrong answers say."""
    others: frozenset[int]
    """The other ones."""


class Case(NamedTuple):
    """One student: the clues and the suspects."""

    clues: Sequence[Clue]
    suspects: tuple[Suspect, ...]

    @property
    def touched(self) -> frozenset[int]:
        """Facets that some answer speaks for or against."""
        return frozenset[int]().union(*(clue.effects for clue in self.clues))


def case_of(clues: Sequence[Clue]) -> Case:
    """Find the facets that some answer speaks for, those together that no answer tells apart."""
    wrong = (clue for clue in clues if clue.outcome == WRONG)
    places = sorted({place for clue in wrong for place, effect in clue.effects.items() if effect > 0})
    alike: dict[tuple[tuple[int, float], ...], list[int]] = {}
    for place in places:
        effects = ((number, clue.effects[place]) for number, clue in enumerate(clues) if place in clue.effects)
        alike.setdefault(tuple(effects), []).append(place)
    suspects = [_suspect(clues, group, dict(effects)) for effects, group in alike.items()]
    if len(suspects) > MAX_CANDIDATES:
        rates = first_rates()
        alone = {one.facets: _odds(one, rates) * _likelihood(clues, (one,), rates) for one in suspects}
        suspects = sorted(suspects, key=lambda one: (-alone[one.facets], one.facets))[:MAX_CANDIDATES]
    return Case(clues, tuple(sorted(suspects, key=lambda one: one.facets)))


def _suspect(clues: Sequence[Clue], facets: Sequence[int], effects: dict[int, float]) -> Suspect:
    wrong = {number: effect for number, effect in effects.items() if clues[number].outcome == WRONG}
    return Suspect(tuple(facets), effects, wrong, frozenset(effects.keys() - wrong.keys()))


def _odds(suspect: Suspect, rates: Rates) -> float:
    total = 0.0
    for place in suspect.facets:
        total += rates.held[place]
    return total / (1 - min(total, 0.9))


def _likelihood(clues: Sequence[Clue], held: Sequence[Suspect], rates: Rates) -> float:
    """How much likelier the answers are for one who holds these ideas than for one who holds none."""
    touching: dict[int, list[float]] = {}
    for one in held:
        for number, effect in one.wrong.items():
            touching.setdefault(number, []).append(effect)
    product = 1.0
    for _ in frozenset().union(*(one.others for one in held)):
        product *= 1 - rates.shows
    for number, effects in touching.items():
        product *= _ratio(clues[number], held, effects, rates)
    return product


def _ratio(clue: Clue, held: Sequence[Suspect], touching: Sequence[float], rates: Rates) -> float:
    explained = 0.0
    for effect in touching:  # not by sum(), which rounds otherwise from Python 3.12 on
        explained += effect
    explained /= len(touching)
    if len(touching) > 1 and clue.pairs:
        own = {place for one in held for place in one.facets}
        if any(pair <= own for pair in clue.pairs):
            explained = max(explained, 0.5)
    if explained == 0:
        return 1 - rates.shows * (UNCLEAR if clue.chance == 1.0 else 1.0)
    return 1 - rates.shows + rates.shows * explained / (rates.slip * clue.chance)


Weighed = list[tuple[tuple[int, ...], float]]
"""Sets of suspects, by place, each with its likelihood."""


def _sets(case: Case, rates: Rates) -> Weighed:
    """All sets that explain more than any of them with one idea less: the others have next to no probability."""
    found: dict[tuple[int, ...], float] = {(): 1.0}
    largest = dict(found)
    for _ in range(MAX_IDEAS):
        larger: dict[tuple[int, ...], float] = {}
        for chosen, likelihood in largest.items():
            for place in range(len(case.suspects)):
                more = tuple(sorted({*chosen, place}))
                if place in chosen or more in larger:
                    continue
                explains = _likelihood(case.clues, [case.suspects[one] for one in more], rates)
                if explains > likelihood:
                    larger[more] = explains
        found |= larger
        largest = larger
    return list(found.items())


class Beliefs(NamedTuple):
    """Probabilities: of sets of suspects, by their places in `Case.suspects`, and of each suspect."""

    sets: dict[tuple[int, ...], float]
    each: list[float]


def posterior(case: Case, weighed: Weighed, rates: Rates) -> Beliefs:
    """The probability of every set of suspects, and of each suspect."""
    odds = [_odds(one, rates) for one in case.suspects]
    total, weights = 0.0, []
    for chosen, likelihood in weighed:
        weight = likelihood
        for place in chosen:
            weight *= odds[place]
        weights.append(weight)
        total += weight
    each = [0.0] * len(case.suspects)
    of_sets = {}
    for (chosen, _), weight in zip(weighed, weights, strict=True):
        share = weight / total
        of_sets[chosen] = share
        for place in chosen:
            each[place] += share
    return Beliefs(of_sets, each)


def estimated(cases: Sequence[Case]) -> Rates:
    """The rates of a class, by expectation and maximisation; those held likely at first for a class of one."""
    rates = first = first_rates()
    if len(cases) < 2:
        return rates
    testable = [0.0] * len(first.held)
    for case in cases:
        for place in case.touched:
            testable[place] += 1
    suspected = [case for case in cases if case.suspects]
    for _ in range(ROUNDS):
        sets = [_sets(case, rates) for case in suspected]
        for _ in range(STEPS):
            expected = [0.0] * len(first.held)
            for case, weighed in zip(suspected, sets, strict=True):
                for suspect, probability in zip(case.suspects, posterior(case, weighed, rates).each, strict=True):
                    for place, share in shares(suspect, rates):
                        expected[place] += probability * share
            held = tuple(
                (count + PRIOR_STUDENTS * common) / (students + PRIOR_STUDENTS)
                for count, common, students in zip(expected, first.held, testable, strict=True)
            )
            rates = replace(rates, held=held)
        rates = _with_slips(cases, suspected, sets, rates, first)
    return rates


def shares(suspect: Suspect, rates: Rates) -> Iterator[tuple[int, float]]:
    """How likely each of the facets that answers cannot tell apart is the one, by what the class does elsewhere."""
    total = 0.0
    for place in suspect.facets:
        total += rates.held[place]
    for place in suspect.facets:
        yield place, rates.held[place] / total


def _with_slips(
    cases: Sequence[Case], suspected: Sequence[Case], sets: Sequence[Weighed], rates: Rates, first: Rates
) -> Rates:
    """Rates with slips and shows counted under the likeliest ideas of everybody."""
    likeliest = {}
    for case, weighed in zip(suspected, sets, strict=True):
        of_sets = posterior(case, weighed, rates).sets
        likeliest[id(case)] = [case.suspects[place] for place in max(of_sets, key=lambda chosen: of_sets[chosen])]
    slips, free = first.slip * PRIOR_ANSWERS, PRIOR_ANSWERS
    shown, could = first.shows * PRIOR_ANSWERS, PRIOR_ANSWERS
    for case in cases:
        held = likeliest.get(id(case), [])
        for number, clue in enumerate(case.clues):
            touching = [one.effects[number] for one in held if number in one.effects]
            if not touching and clue.outcome != FOLLOWED:
                free += 1
                slips += clue.outcome == WRONG
            elif len(touching) == 1 and clue.outcome != FOLLOWED:
                could += 1
                shown += touching[0] > 0
    return replace(rates, slip=slips / free, shows=min(shown / could, 0.95))


def judged(case: Case, rates: Rates) -> Beliefs:
    """The probability of every set of one student's suspects, and of each suspect."""
    return posterior(case, _sets(case, rates), rates)
