"""What an audit holds: the frozen figures that the page and the workbook both show."""

from collections.abc import Mapping
from typing import NamedTuple

from msgspec import Struct

from grader.marking.marks import BLANK, VERDICTS, Mark
from grader.reports.statistics import Distribution, Figure

CARDS, SMALL_CLASS = 4, 10
"""Ideas on cards; students below which one who holds an idea is many."""

BLANK_ITEMS = 3
"""Items that are named as left blank."""


class AuditLine(NamedTuple):
    """One line of ``marks.jsonl``: a mark, whose, and in which section of the roster.

    ``personal``: the problem has other values for every student, so that equal answers say nothing.
    """

    student: str
    section: str
    mark: Mark
    personal: bool = False


class Answer(NamedTuple):
    """What is kept of an answer that is wrong, or right but for its unit or its figures.

    ``key`` is ``problem.item``; ``value`` what was read of a plain value (SI base units), ``words`` the reading without
    blanks where there is none; ``lost`` is in points; ``decided``: a person gave the others;
    ``fault``: what alone a right one lost them for (`fault_alone`).
    """

    student: str
    section: str
    key: str
    text: str
    value: float | None
    words: str
    wrong: bool
    mistakes: tuple[str, ...]
    tied: int
    lost: float
    decided: bool = False
    fault: str = ""
    personal: bool = False

    @property
    def unexplained(self) -> bool:
        """Whether it is wrong, no mistake explains it, and equal answers of others would say something."""
        return self.wrong and not self.mistakes and not self.personal


class Example(NamedTuple):
    """An answer as written, where, and by how many students."""

    item: str
    answer: str
    students: int


class MistakeFigures(Struct, frozen=True, kw_only=True):
    """One mistake over a class.

    ``lost`` is in points; an answer that several mistakes explain equally well is shared among them, and
    ``unsure`` counts the students with such answers alone.  ``items`` holds (problem.item, students).
    """

    id: str
    title: str
    idea: str
    source: str
    lost: float
    students: tuple[str, ...]
    unsure: int
    items: tuple[tuple[str, int], ...]
    examples: tuple[Example, ...]


class Rate(NamedTuple):
    """How many hold an idea, of how many whom it would have shown, and the 95 % interval of that share."""

    held: int
    of: int
    low: float
    high: float


class IdeaFigures(Struct, frozen=True, kw_only=True):
    """One idea over a class; or, told to the class like one, a mistake or fault of several, or an item ("" its title).

    ``title`` names all ideas that the answers cannot tell apart; ``lost`` is in points; ``unsure`` counts holders of
    whom it is merely likely; ``items`` holds (problem.item, answers); ``examples`` are pooled by what they say.
    """

    id: str
    title: str
    belief: str
    say: str
    ask: str
    lost: float
    students: tuple[str, ...]
    unsure: int
    rate: Rate
    items: tuple[tuple[str, int], ...]
    examples: tuple[Example, ...]
    tested: bool = True
    """Whether ``rate`` counts those whom it would have shown: of what is no idea it counts all students."""
    also: tuple[str, ...] = ()
    """Who made one of its mistakes without holding it; `topics` count their points, too."""

    @property
    def all(self) -> int:
        """How many students it is about."""
        return len(self.students) + len(self.also)

    @property
    def weight(self) -> float:
        """How much the class has of it: points lost, times students."""
        return self.lost * self.all


class Pair(NamedTuple):
    """Two students to discuss an idea: one who seems to hold it, one who has shown not to."""

    idea: str
    holder: str
    partner: str


class IdeaCourse(NamedTuple):
    """An idea over several results folders: its rate in each (None: nothing asked would have shown it), what became of it."""

    id: str
    title: str
    rates: tuple[Rate | None, ...]
    change: str

    @property
    def became(self) -> str:
        """What became of it, in words: where it stayed, whether with more or with fewer than in the folder before."""
        if self.change != "stayed":
            return self.change
        before, last = [rate.held / rate.of for rate in self.rates if rate is not None][-2:]
        return "stayed" if last == before else f"stayed, with {'more' if last > before else 'fewer'}"


class LostPoints(NamedTuple):
    """Where a class's points went, in points."""

    blank: float
    ideas: float
    slips: float
    unit_and_sign: float
    unexplained: float
    following: float
    decided: float
    unread: float

    @property
    def total(self) -> float:
        """All of them."""
        return sum(self)


LOST_TO = {
    "blank": "blank answers",
    "ideas": "ideas",
    "slips": "single mistakes",
    "unit_and_sign": "units, figures, signs and powers of ten",
    "unexplained": "answers that nothing explains",
    "following": "what following an earlier slip leaves",
    "decided": "what a person decided",
    "unread": "answers that wait for a person",
}
"""The parts of `LostPoints` in words."""

NO_IDEA = "No idea shows in the answers of this class."


class ItemFigures(Struct, frozen=True, kw_only=True):
    """One item over a class; ``verdicts`` holds (verdict, students) in the order of `VERDICTS`."""

    key: str
    possible: float
    mean: Figure
    difficulty: Figure
    discrimination: Figure
    point_biserial: Figure
    item_rest: Figure
    alpha_without: Figure
    verdicts: tuple[tuple[str, int], ...]
    explained: int
    wrong: int
    review: int
    mistakes: tuple[tuple[str, int], ...]
    second_look: tuple[str, ...]


class Cluster(Struct, frozen=True, kw_only=True):
    """A wrong answer that several students share and no mistake explains."""

    item: str
    answer: str
    students: tuple[str, ...]
    known_wrong: str
    """The line to paste below the item in the rubric."""


class Shared(NamedTuple):
    """Students with the same rare wrong answers: (problem.item, answer) each."""

    students: tuple[str, ...]
    answers: tuple[tuple[str, str], ...]


class Elsewhere(NamedTuple):
    """A wrong answer that is right with other personal values than the student's own, and the note that says so."""

    student: str
    item: str
    answer: str
    note: str


class SectionFigures(Struct, frozen=True, kw_only=True):
    """One section of the roster: how many students, mean share of the points, its commonest mistakes."""

    name: str
    students: int
    share: Figure
    mistakes: tuple[tuple[str, int], ...]


class ClassAudit(Struct, frozen=True, kw_only=True):
    """One results folder."""

    name: str
    students: int
    possible: float
    totals: Distribution
    alpha_items: Figure
    alpha_problems: Figure
    error_items: Figure
    error_problems: Figure
    items: tuple[ItemFigures, ...]
    lost: LostPoints
    ideas: tuple[IdeaFigures, ...]
    topics: tuple[IdeaFigures, ...]
    """What could be told the class, ideas among it: what cost it most, points times students, first."""
    ids: frozenset[str]
    """Who is in it."""
    testable: Mapping[str, frozenset[str]]
    """The students whom each idea would have shown in, by its id."""
    pairs: tuple[Pair, ...]
    sure: str
    """How far the names of ideas can be trusted; "" where none was named."""
    mistakes: tuple[MistakeFigures, ...]
    clusters: tuple[Cluster, ...]
    sections: tuple[SectionFigures, ...]
    shared: tuple[Shared, ...]
    elsewhere: tuple[Elsewhere, ...]
    left_out: str
    """Says which problems `clusters` and `shared` leave out, and why; "" where none."""
    cautions: tuple[str, ...]

    @property
    def verdicts(self) -> tuple[str, ...]:
        """The verdicts that were given: the others would be columns of zeros."""
        given = {verdict for item in self.items for verdict, count in item.verdicts if count}
        return tuple(verdict for verdict in VERDICTS if verdict in given)

    @property
    def cards(self) -> tuple[IdeaFigures, ...]:
        """What to speak of in class: what one student alone believes is said to that student."""
        return tuple(topic for topic in self.topics if topic.all > 1 or self.students < SMALL_CLASS)[:CARDS]

    @property
    def further(self) -> tuple[IdeaFigures, ...]:
        """The rest."""
        return tuple(topic for topic in self.topics if topic not in self.cards)

    @property
    def left_blank(self) -> tuple[tuple[str, int], ...]:
        """The items that most students left blank, each with their number; none that fewer than a tenth did."""
        blank = [(item.key, dict(item.verdicts).get(BLANK, 0)) for item in self.items]
        most = sorted((pair for pair in blank if pair[1] > 0.1 * self.students), key=lambda pair: -pair[1])
        return tuple(most[:BLANK_ITEMS])


class Audit(Struct, frozen=True, kw_only=True):
    """One or several results folders; ``courses`` says what became of each idea from one to the next."""

    classes: tuple[ClassAudit, ...]
    courses: tuple[IdeaCourse, ...]

    @property
    def together(self) -> frozenset[str]:
        """The students who are in every folder."""
        return frozenset.intersection(*(of_class.ids for of_class in self.classes))

    @property
    def compared(self) -> str:
        """Whom ``courses`` compares, in a sentence."""
        count = len(self.together)
        if not count:
            return "No student is in all of these weeks: each has its own."
        return (
            f"Compared are the {count} students who are in all of these weeks."
            if count > 1
            else "Compared is the one student who is in all of these weeks."
        )
