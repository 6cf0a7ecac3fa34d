"""What comes out of marking: marks with their reasons."""

from msgspec import Struct

from grader.place import Placed

REMEMBERED = 4096
"""Different marks of which a report keeps what it says of them: in a class many are equal, blank ones above all."""

CORRECT = "correct"
FOLLOWED = "correct by follow-through"
PARTLY = "partly correct"
INCORRECT = "incorrect"
BLANK = "blank"
UNREADABLE = "unreadable"
NOT_DECIDED = "not decided"
"""The program came to no end with the answer: a person decides, and another run tries again."""

FOR_A_PERSON = "for a person"
"""What is asked of a person alone: a sketch, an explanation."""

PROMISE = "A person "
"""How a reason begins that promises a person's look; it holds until that person has decided."""

GAVE = f"{PROMISE}gave "
"""How a reason begins that tells points which a person gave for another answer than stands there now."""

VERDICTS = (CORRECT, FOLLOWED, PARTLY, INCORRECT, BLANK, UNREADABLE, NOT_DECIDED, FOR_A_PERSON)


class Part(Struct, frozen=True, kw_only=True):
    """One part of an expression: what it is called, what it earned of what, and how it came out."""

    name: str
    awarded: float
    possible: float
    verdict: str


class Mark(Placed, Struct, frozen=True, kw_only=True):
    """What one item earned, and why."""

    problem: str
    item: str
    answer: str
    """As written (with the unit from its own cell appended after a space)."""
    reading: str = ""
    """What was understood, as plain text; ``reading_mathml`` the same as MathML."""
    reading_mathml: str = ""
    reading_value: float | None = None
    """The value read, SI base units, of a plain value (for the audit's grouping)."""
    awarded: float
    """Points that it earned."""
    possible: float
    """Points that it could earn."""
    verdict: str
    parts: tuple[Part, ...] = ()
    mistakes: tuple[str, ...] = ()
    """Ids of the mistakes that would explain a wrong answer, most plausible first; ``tied`` says how many of the
    first fit equally well, and ``to_the_digit`` whether these fit every digit written."""
    tied: int = 1
    to_the_digit: bool = False
    follows_from: tuple[str, ...] = ()
    """Ids of the earlier items whose own (wrong) answers this one follows from."""
    says_wrong: bool = False
    """Whether what it says is wrong: not its unit or its figures alone."""
    review: bool = False
    """A person must look at it; ``reasons`` say why."""
    reasons: tuple[str, ...] = ()
    """Complete sentences, for the student and the instructor alike.  Never gives the reference answer away."""
    nudges: tuple[str, ...] = ()
    """Questions that lead a student to the slip (from the mistakes, or the item's hint)."""
    notes: tuple[str, ...] = ()
    """For the instructor alone."""
    decision: str = ""
    """The reason of a person's decision, where one overrides the mark."""

    @property
    def unmarked(self) -> bool:
        """Whether nobody has marked it yet: its points are nobody's judgement."""
        return self.verdict in (UNREADABLE, NOT_DECIDED, FOR_A_PERSON)

    @property
    def waits(self) -> bool:
        """Whether what it lost hangs on a person, who must look at it first."""
        return self.unmarked or (self.review and self.awarded < self.possible)


class Marked(Struct, frozen=True, kw_only=True):
    """One student's marks, in the rubric's order of items."""

    student: str
    file: str
    marks: tuple[Mark, ...]

    @property
    def total(self) -> float:
        """Points earned in all."""
        return sum(mark.awarded for mark in self.marks)

    @property
    def possible(self) -> float:
        """Points that could be earned in all."""
        return sum(mark.possible for mark in self.marks)
