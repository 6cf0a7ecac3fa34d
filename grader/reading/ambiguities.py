"""Places where an answer can be read in more than one way.

Reading is a chain of pure steps.  Wherever a step meets a fork it asks `Ambiguities.choose`; the first run takes the
first way everywhere and so finds the forks, and further runs take one other way each.  Every reading therefore
knows, in sentences, which way it took.
"""

from typing import NamedTuple

from grader.reading.limits import MAX_FORKS

ANYWHERE = 1 << 30
"""The place of a remark that concerns the whole answer."""


class Alternative(NamedTuple):
    """One way to read a place: a sentence saying so (empty if it goes without saying) and a writing slip's id."""

    note: str = ""
    slip: str = ""


class Fork(NamedTuple):
    """A place with several ways, the most plausible first; ``stage`` is the step that asks."""

    stage: str
    kind: str
    place: int
    ways: tuple[Alternative, ...]


class Ambiguities:
    """The forks met during one run, and the one that is taken differently.

    Parameters
    ----------
    other : (Fork, int) or None
        The fork at which the way of that number is taken, instead of the first; placed `ANYWHERE`, all of its kind:
        who writes ``1/2C(2/3V0)^2`` means the same by both slashes.
    """

    __slots__ = ("_places", "met", "other", "taken")

    def __init__(self, other: tuple[Fork, int] | None = None) -> None:
        self.met: list[Fork] = []
        self._places: set[tuple[str, int]] = set()
        self.taken: list[tuple[int, Alternative]] = []
        self.other = other

    def choose(self, stage: str, kind: str, place: int, ways: tuple[Alternative, ...]) -> int:
        """The number of the way to take at this fork."""
        number = 0
        if self.other is not None and self.other[0][:3] in {(stage, kind, place), (stage, kind, ANYWHERE)}:
            number = min(self.other[1], len(ways) - 1)
        elif (kind, place) in self._places:
            return 0
        self._places.add((kind, place))
        if len(self.met) < MAX_FORKS:
            self.met.append(Fork(stage, kind, place, ways))
        self.taken.append((place, ways[number]))
        return number

    def remark(self, note: str, slip: str = "", place: int = ANYWHERE) -> None:
        """State something about the reading where there is no fork."""
        if (place, Alternative(note, slip)) not in self.taken:
            self.taken.append((place, Alternative(note, slip)))

    def ways_from(self, place: int) -> list[Alternative]:
        """The ways taken from a place in the text on; what stands before it was no part of the answer."""
        return [way for at, way in self.taken if at >= place and (way.note or way.slip)]
