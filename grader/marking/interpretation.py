"""What an answer may say, worked out, or why nothing could be made of it."""

from typing import NamedTuple

from flint import fmpq
from msgspec import Struct

from grader.quantities import Answer
from grader.reading.line.chain import CONTRADICTION
from grader.reading.line.left_side import MADE_OF_VALUES
from grader.reading.line.root_list import MULTIPLE
from grader.reading.record import Reading
from grader.reading.tokens.units import look_up
from grader.reading.tree import Name, walk
from grader.values.dimension import Dimension, is_of_a_quantity
from grader.values.scalar import ONE
from grader.values.waveform import Waveform

PUT_IN = frozenset({"t-left-out", "e-left-out", "signs-lost", CONTRADICTION, MADE_OF_VALUES, MULTIPLE})
"""Slips in writing after which a right answer is one only if the reader chose well."""


ROUND_THOUSANDS = "thousands-point-of-zeros"
"""``48.000 V/s``: nobody writes three zeros behind a decimal point where they say nothing, but in a unit with a prefix they may."""
THOUSANDS = frozenset({"thousands-point", ROUND_THOUSANDS})
"""Slips that make up for a wrong prefix: whoever assumes one beside `PREFIX_CASE`, ``4424 mJ`` for ``4.424 MJ``, pardons it."""


class Interpretation(Struct, frozen=True):
    """One reading of an answer, worked out."""

    reading: Reading
    answer: Answer
    """In SI base units of the unit written."""
    dimension: Dimension | None
    """Of the unit written; None: none was, and none was needed or none is known."""
    rank: int = 0
    """0 for the most plausible reading."""
    notes: tuple[str, ...] = ()
    """Which reading this is, where there are several."""
    stored: bool = False
    """A spreadsheet kept the number and not the text."""
    own: Answer | None = None
    """Where names in it stand for earlier items that the student left open, so that right answers were put in: the
    same with values that are right nowhere, which shows what it says without them."""
    later: tuple[Waveform, ...] = ()
    """What it becomes at later instants of the interval asked, where it has steps or ranges."""
    contested: bool = False
    """What the line says besides changes it, or may be what was meant where it is wrong: a person looks."""
    intervals: tuple["Interpretation", ...] = ()
    """Of a response: what it says on each interval."""
    silent: bool = False
    """It says nothing of that interval."""

    consistent: bool = True
    """Whether what it adds has one unit."""
    told: Waveform | None = None
    """What it says if its unit only tells the result of names and plain numbers, where that is a question."""
    told_twice: bool = False
    """Of a response: two of its pieces are told for the same time."""
    before: str = ""
    """Of a response: what it says to have held before all, as written."""

    @property
    def doubtful(self) -> bool:
        """Whether a person should see it: something that matters was put in, or a slip assumed in a less plausible reading."""
        slips = {slip for slip in self.reading.slips if slip != ROUND_THOUSANDS or self.unit_scale < 1}
        return bool(slips) and (self.rank > 0 or not PUT_IN.isdisjoint(slips))

    @property
    def contradicted(self) -> bool:
        """Whether working counts as the answer, and a side of its equal signs differs: that may be the answer."""
        return CONTRADICTION in self.reading.slips and self.digits is None

    @property
    def of_no_quantity(self) -> bool:
        """Whether its units make up what no quantity has: ``0.5 C v^2``, where a letter was meant and not the coulomb."""
        named = any(isinstance(node, Name) for node in walk(self.reading.tree))
        return not named and self.dimension is not None and not is_of_a_quantity(self.dimension)

    @property
    def counts_turns(self) -> bool:
        """Whether it is given in hertz, which counts turns and not radians."""
        return self.reading.unit is not None and self.reading.unit.endswith("Hz")

    @property
    def unit_scale(self) -> fmpq:
        """The size of the unit written, in the SI unit of its kind; 1 where none was."""
        meanings = look_up(self.reading.unit) if self.reading.unit is not None else ()
        return meanings[0].scale if meanings else ONE

    @property
    def digits(self) -> int | None:
        """Significant digits, if the answer is one decimal number."""
        return self.reading.digits

    @property
    def figures(self) -> int | None:
        """Significant figures given; None where that cannot be told: zeros at the end of a stored number are lost."""
        return None if self.stored else self.digits

    def meant(self, factor: fmpq) -> Answer:
        """The answer in SI base units where a missing unit stands for `factor`."""
        return self.answer.scaled(factor) if isinstance(self.answer, Waveform) else self.answer


class Unreadable(NamedTuple):
    """An answer that could not be read or worked out: the sentence for the student, and the reading as far as it went.

    ``wrong``: it can only be wrong, so that nobody need look.
    """

    sentence: str
    reading: str = ""
    mathml: str = ""
    wrong: bool = False
