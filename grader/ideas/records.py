"""What the inference is given of a student's answers, and what it says."""

from collections.abc import Mapping
from typing import NamedTuple, TypeAlias

from msgspec import Struct

Item: TypeAlias = tuple[str, str]
"""Problem and item id."""

RIGHT, FOLLOWED, WRONG = "right", "followed", "wrong"


class Observation(NamedTuple):
    """One answer, as evidence."""

    item: Item
    outcome: str
    """`RIGHT`; `FOLLOWED`: right by what the student carried forward; `WRONG`.  A blank is no observation."""
    mistakes: tuple[str, ...] = ()
    """Of a wrong answer: what would explain it, alone or two together, the best first."""
    tied: int = 1
    """How many of the first fit equally well."""
    exact: bool = False
    """Whether those fit every digit written."""
    follows: tuple[str, ...] = ()
    """Items of the same problem from which a followed answer follows."""


class Prediction(NamedTuple):
    """That a mistake changes an item: to how many different values, and whether it does so to carried values, too."""

    values: int
    ruled: bool


Predictions: TypeAlias = Mapping[Item, Mapping[str, Prediction]]
"""By item: the mistakes that it can show.  An item where a mistake changes nothing is no evidence about it."""


class HeldIdea(Struct, frozen=True, kw_only=True):
    """An idea that a student seems to hold."""

    id: str
    others: tuple[str, ...] = ()
    """Ideas that explain the same answers as well, so that only "this or one of those" can be said."""
    probability: float
    """That the student holds it (or one of the others), to three decimals."""
    shown: tuple[Item, ...]
    """Answers in which it shows."""
    refuted: tuple[Item, ...] = ()
    """Right answers that it would have changed."""


class Explanation(Struct, frozen=True, kw_only=True):
    """A whole upload explained."""

    student: str
    ideas: tuple[HeldIdea, ...] = ()
    """The surest first."""
    slips: tuple[tuple[Item, str], ...] = ()
    """Wrong answers that no idea held explains, each with the mistake that explains it alone."""
    unexplained: tuple[Item, ...] = ()
    """Wrong answers that nothing explains."""
    testable: tuple[str, ...] = ()
    """Ideas that the student's answers speak for or against at all."""
