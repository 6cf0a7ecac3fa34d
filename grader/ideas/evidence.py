"""Answers as evidence: which ways to hold an idea each of them speaks for or against, and how strongly."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from grader.ideas.catalogue import carried_on, facet_of, slips
from grader.ideas.records import FOLLOWED, RIGHT, WRONG, Item, Observation, Prediction, Predictions
from grader.mistakes.records import TOGETHER

NEAR = 0.1
"""Share of the answers an idea leads to that fit within the tolerance but not to the digits (common practice, no source)."""

BESIDE = 0.05
"""The same of an answer that something else explains better."""

TWICE = 0.3
"""Share of the answers touched by two ideas in which both show at once; a tenth is left to an idea with a slip upon it."""

BY_CHANCE, BY_CHANCE_NEAR, BY_SLIP = 0.05, 0.1, 0.2
"""Share of all slips that meet a given wrong answer to the digit, or within the tolerance; that are one of the named slips."""


class Clue(NamedTuple):
    """What one answer says."""

    item: Item
    outcome: str
    effects: Mapping[int, float]
    """By place in `grader.ideas.catalogue.facets`: how likely an answer like this is for a student who holds the
    idea; 0 speaks against it.  Facets that change nothing here are not in it."""
    pairs: frozenset[frozenset[int]] = frozenset()
    """Pairs of facets that explain it together."""
    chance: float = 1.0
    """How likely it is for one who slips, among all slips."""


class Visible(NamedTuple):
    """What an item can show, by facet, and the clue that a right answer to it is, the same for everybody."""

    facets: Mapping[int, Prediction]
    right: Clue


def by_facet(predictions: Mapping[str, Prediction]) -> dict[int, Prediction]:
    """What an item can show, by facet."""
    found: dict[int, Prediction] = {}
    for id in sorted(predictions):
        place = facet_of().get(id)
        if place is not None:
            before, own = found.get(place, Prediction(0, ruled=False)), predictions[id]
            found[place] = Prediction(before.values + own.values, before.ruled or own.ruled)
    return found


def clues(observations: Sequence[Observation], visible: Mapping[Item, Visible]) -> list[Clue]:
    """All answers of a student as clues; an answer that follows from a wrong one speaks against no cause of that one."""
    found: list[Clue] = []
    shown: dict[Item, frozenset[int]] = {}
    for one in observations:
        known = visible.get(one.item) or Visible({}, Clue(one.item, RIGHT, {}))
        seen = known.facets
        if one.outcome == RIGHT:
            clue = known.right
        elif one.outcome == FOLLOWED:
            causes = frozenset[int]().union(*(shown.get((one.item[0], id), frozenset()) for id in one.follows))
            against = {place: 0.0 for place, told in seen.items() if told.ruled and place not in causes}
            clue = Clue(one.item, FOLLOWED, against)
            shown[one.item] = causes
        else:
            earlier = frozenset[int]().union(*(own for item, own in shown.items() if item[0] == one.item[0]))
            clue = _of_wrong(one, seen, earlier)
            shown[one.item] = frozenset(place for place, effect in clue.effects.items() if effect)
        found.append(clue)
    return found


def _of_wrong(one: Observation, seen: Mapping[int, Prediction], earlier: frozenset[int]) -> Clue:
    """What a wrong answer says; `earlier` are the facets that earlier answers to the same problem show."""
    effects = dict.fromkeys(seen, 0.0)
    pairs: set[frozenset[int]] = set()
    slipped = False
    for rank, double in enumerate(one.mistakes):
        ids = double.split(TOGETHER)
        best = rank < one.tied
        fit = (1.0 if one.exact else NEAR) if best else BESIDE
        places = [
            place if (place := carried_on().get(id)) in earlier else facet_of()[id] for id in ids if id in facet_of()
        ]
        slipped |= best and len(ids) == 1 and ids[0] in slips()
        if len(ids) > 1:
            pairs |= {frozenset(places)} if len(set(places)) > 1 else set()
            fit *= TWICE / 3
        for place in places:
            values = max(seen[place].values, 1) if place in seen else 1
            effects[place] = max(effects.get(place, 0.0), fit / values)
    chance = (BY_CHANCE if one.exact else BY_CHANCE_NEAR) * max(one.tied, 1) + (BY_SLIP if slipped else 0.0)
    return Clue(one.item, WRONG, effects, frozenset(pairs), chance if one.mistakes else 1.0)


def visible_of(predictions: Predictions) -> dict[Item, Visible]:
    """What each item can show."""
    found = {}
    for item, own in predictions.items():
        seen = by_facet(own)
        found[item] = Visible(seen, Clue(item, RIGHT, dict.fromkeys(seen, 0.0)))
    return found
