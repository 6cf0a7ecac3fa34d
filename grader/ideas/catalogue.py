"""The ideas of ``ideas.toml``, and which of them every mistake shows."""

import tomllib
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from msgspec import Struct


class Idea(Struct, frozen=True, kw_only=True):
    """What a student believes, and shows wherever a circuit lets it show."""

    id: str
    title: str
    mistakes: tuple[tuple[str, ...], ...]
    """Groups of mistakes; a student who holds the idea makes those of one group."""
    belief: str
    """For the instructor: what is believed."""
    say: str
    """What to say to the class."""
    ask: str
    """What to ask it."""
    nudge: str
    """For the student: a question that gives nothing away."""
    carried: tuple[str, ...] = ()
    """Mistakes that it looks like in an answer worked out from one that shows it."""


class Facet(NamedTuple):
    """One way to hold an idea: the mistakes that go together."""

    idea: str
    mistakes: tuple[str, ...]


@cache
def _tables() -> dict[str, list[dict[str, str]]]:
    return tomllib.loads(Path(__file__).with_name("ideas.toml").read_text(encoding="utf-8"))


@cache
def ideas() -> MappingProxyType[str, Idea]:
    """All ideas by id, in the order of the file."""
    found = [
        Idea(
            **{  # type: ignore[arg-type]
                **table,
                "mistakes": tuple(tuple(group) for group in table["mistakes"]),
                "carried": tuple(table.get("carried", ())),
            }
        )
        for table in _tables()["idea"]
    ]
    return MappingProxyType({idea.id: idea for idea in found})


@cache
def slips() -> frozenset[str]:
    """Mistakes that happen to anybody, and show no idea."""
    return frozenset(map(str, _tables()["slips"]))


@cache
def facets() -> tuple[Facet, ...]:
    """Every way to hold every idea, in the order of the file."""
    return tuple(Facet(idea.id, group) for idea in ideas().values() for group in idea.mistakes)


@cache
def facet_of() -> MappingProxyType[str, int]:
    """The place in `facets` of each mistake that shows an idea."""
    return MappingProxyType({id: place for place, facet in enumerate(facets()) for id in facet.mistakes})


@cache
def carried_on() -> MappingProxyType[str, int]:
    """The place in `facets` of the idea that each mistake shows in an answer worked out from one that shows it."""
    found = {id: facet_of()[idea.mistakes[0][0]] for idea in ideas().values() for id in idea.carried}
    return MappingProxyType(found)


def idea_of(mistake: str) -> str | None:
    """The idea that a mistake shows; None for a slip."""
    place = facet_of().get(mistake)
    return None if place is None else facets()[place].idea
