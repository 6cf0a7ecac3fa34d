"""What the answers before one leave behind, and as much of it as one item can see."""

from collections.abc import Hashable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import Signal
from grader.marking.follow import CarriedForward
from grader.marking.itemkey import ItemKey


class ProblemContext(Struct, frozen=True, kw_only=True):
    """What the items before this one leave behind, within one problem."""

    carried: Mapping[str, CarriedForward] = {}
    """What each passes on, by id."""
    unit_charged: bool = False
    """Whether a unit was charged already."""
    reversed: Mapping[Signal, str] = {}
    """Signals whose reference direction was turned, with the id of the item where that was charged."""

    def seen_by(self, item: ItemKey) -> "ProblemContext":
        """As much of it as can matter to one item: what its rules or names use, and everything that is wrong.

        A right answer that is only named is taken as the exact one, however it was rounded.
        """
        used, named = item.rests_on
        carried = {}
        for place, passed_on in self.carried.items():
            if passed_on.source or place in used:
                carried[place] = passed_on
            elif place in named:
                carried[place] = passed_on if passed_on.near is None else replace(passed_on, near=None)
        turned = {signal: where for signal, where in self.reversed.items() if signal == item.signal}
        return ProblemContext(carried=carried, unit_charged=self.unit_charged, reversed=turned)

    def followed_by(self, after: "ProblemContext") -> "ProblemContext":
        """The whole again, after an item that saw a part of it."""
        return ProblemContext(
            carried={**self.carried, **after.carried, **self.carried},  # rounded as it was, and in order
            unit_charged=after.unit_charged,
            reversed={**self.reversed, **after.reversed},
        )

    @property
    def token(self) -> Hashable:
        """The same for the same context while that is held; an exact answer is told by its place alone."""
        known = ((place, one.missing if one.exact else id(one)) for place, one in self.carried.items())
        return self.unit_charged, tuple(self.reversed.values()), tuple(known)
