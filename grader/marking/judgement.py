"""What a judgement says: size, unit, parts; and what it is compared with."""

from enum import IntEnum, StrEnum, auto
from typing import NamedTuple

from flint import fmpq
from msgspec import Struct

from grader.quantities.design import Requirement
from grader.values.comparison import Comparison, FractionComparison
from grader.values.dimension import Dimension
from grader.values.scalar import ONE
from grader.values.waveform import Waveform


class Size(IntEnum):
    """How well the answer itself agrees, best last."""

    WRONG = auto()
    PARTS = auto()
    POWER_OF_TEN = auto()
    SIGN = auto()
    RIGHT = auto()


class UnitVerdict(StrEnum):
    """How its unit came out."""

    RIGHT = "right"
    MISSING = "missing"
    OTHER = "other"


class Judgement(NamedTuple):
    """What agrees between an answer and a target."""

    size: Size
    """Of the number or expression, unit and all."""
    unit: UnitVerdict = UnitVerdict.RIGHT
    """``OTHER``: a unit of another kind was written."""
    exponent: int = 0
    """With ``Size.POWER_OF_TEN``: the answer is 10**exponent times the target."""
    meant: fmpq = ONE
    """Size in the SI unit of the unit that a number without a fitting one was taken to be meant in."""
    meant_in: str = ""
    """Its symbol."""
    comparison: Comparison | FractionComparison | None = None
    """Of an expression, of a function of s: what it says, part by part."""
    found: tuple[int, int] | None = None
    """Of a set of roots or coefficients: how many are there, of how many."""
    found_of: str = "roots"
    """What they are."""
    found_said: str = ""
    """The sentence for it, where how many there are is for the student to find."""
    rounded_to: int = 0
    """The figures to which it is rightly rounded, where it lies outside the tolerance."""
    undecided: bool = False
    """Neither form nor algebra decides; a person must look."""

    @property
    def sentences(self) -> tuple[str, ...]:
        """What was assumed on the way, for the student."""
        if not self.meant_in or self.size < Size.POWER_OF_TEN:
            return ()
        start = "Without a unit, the" if self.unit is UnitVerdict.MISSING else "The"
        return (f"{start} number was taken to be meant in {self.meant_in}.",)

    @property
    def merit(self) -> tuple[int, int, int]:
        """For choosing the best of several judgements."""
        parts: tuple[bool, ...] = ()
        if isinstance(self.comparison, FractionComparison):
            parts = self.comparison
        elif self.comparison is not None:
            c = self.comparison
            parts = c.initial, c.final, c.rates, c.frequencies, c.form, c.slope
        return self.size, sum(parts), self.unit is UnitVerdict.RIGHT


WRONG = Judgement(size=Size.WRONG)

POWERS_OF_TEN = (-12, -9, -6, -3, -2, -1, 1, 2, 3, 6, 9, 12)
"""Powers of ten that are taken for a slip: of the decimal point, or of the prefix."""


class Target(Struct, frozen=True):
    """What an answer is compared with.

    ``scale`` is the size of the signal (SI base units), ``start`` the beginning of an expression's interval,
    ``varies`` whether it is an expression in t, ``percent`` whether the number is asked in percent,
    ``requirement`` what a value is right by where several are, ``figures`` to how many a value may be rounded whatever the tolerance.
    """

    answer: Waveform
    dimension: Dimension
    varies: bool
    scale: float
    start: fmpq | None = None
    percent: bool = False
    figures: tuple[int, ...] = ()
    requirement: Requirement | None = None
