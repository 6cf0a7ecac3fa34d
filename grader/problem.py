"""Rubrics, problems and items, as read from a rubric file: frozen records without behaviour."""

from collections.abc import Iterator
from typing import Annotated, Any, NamedTuple, get_type_hints

from flint import fmpq
from msgspec import Struct, field

from grader.circuit.elements import Circuit, Signal
from grader.values.scalar import Scalar


class Marking(Struct, frozen=True, kw_only=True):
    """How answers are marked; set for a rubric, and overridden item by item.

    Each setting says what it means, and the words it is one of (see `settings`); numbers are shares from 0 to 1, but for a
    whole number of figures.
    """

    tolerance: Annotated[float, "how far a right answer may lie from the reference value, as a share of it"] = 0.02
    followed_tolerance: Annotated[
        float, "the same for an answer that follows from an earlier one; rounding adds up, and it is never the smaller"
    ] = 0.03
    units: Annotated[
        str,
        "whether a value needs its unit; assumed: a missing one is taken as the asked one (roots need none, nor what an item's own words ask in percent)",
        ("required", "assumed", "ignored"),
    ] = "required"
    unit_costs: Annotated[float, "share of what an answer earns that is lost when its unit is missing or wrong"] = 0.25
    unit_fault: Annotated[str, "how often a unit is charged", ("each time", "once per problem")] = "each time"
    sign_costs: Annotated[
        float, "share lost when only the sign is wrong, of a value or of a whole expression; 1: nothing is left"
    ] = 0.5
    sign_fault: Annotated[
        str,
        "how often a sign is charged; once per signal: a direction turned for all answers about one current or voltage "
        "is one slip, and where it is kept everything else counts in full; each time: again wherever it is kept, but not in "
        "what follows from an earlier answer",
        ("once per signal", "each time"),
    ] = "once per signal"
    prefix_costs: Annotated[float, "share lost when only the power of ten is wrong; 1: nothing is left"] = 0.5
    follow_through: Annotated[float, "share earned by an answer that follows from an earlier wrong one"] = 1.0
    follow_absurd: Annotated[
        bool, "whether following also earns where the value carried on is absurd (a negative time constant)"
    ] = False
    follow_easier: Annotated[
        bool,
        "whether following also earns where the earlier slip leaves nothing to work out (a constant where the response "
        "varies)",
    ] = False
    general_form: Annotated[
        float,
        "least share earned by a formula that is right but for earlier answers never given, as "
        "v(∞)+(v(0)-v(∞))e^(-t/τ): it says the method",
    ] = 0.25
    significant_figures: Annotated[
        int,
        "fewest expected; a value rightly rounded to them is right, whatever the tolerance; 0: not asked, the tolerance alone "
        "decides",
    ] = 0
    significant_figures_rule: Annotated[
        str,
        "advised: a remark; required: too few cost unit_costs, also outside the tolerance where a value is rightly rounded "
        "to one fewer, of two or more",
        ("advised", "required"),
    ] = "advised"
    several_answers: Annotated[str, "which of several answers in one cell counts", ("first", "none")] = "first"


class MarkingSetting(NamedTuple):
    """A field of `Marking`: what it means, and the words it is one of, if it is a word."""

    name: str
    default: Any
    means: str
    words: tuple[str, ...] = ()


def settings() -> Iterator[MarkingSetting]:
    """All of them, in their order."""
    hints = get_type_hints(Marking, include_extras=True)
    for name, default in zip(Marking.__struct_fields__, Marking.__struct_defaults__, strict=True):
        yield MarkingSetting(name, default, *hints[name].__metadata__)


class KnownWrong(Struct, frozen=True, kw_only=True):
    """An answer the instructor foresaw: its text, the share of the points it earns, what to tell the student, and the mistake behind it."""

    answer: str
    share: float
    comment: str
    mistake: str = ""


class Goal(Struct, frozen=True, kw_only=True):
    """What a designed element must do: ``item``'s quantity ``is``, is ``at_least`` or ``at_most`` a target (SI base units).

    ``text`` is the target as the sheet has it.
    """

    item: "Item"
    relation: str
    target: fmpq
    text: str
    formula: str = ""
    """The target as written, where it names elements."""


class Item(Struct, frozen=True, kw_only=True):
    """One thing asked.

    ``find`` is a name of the catalogue `grader.quantities`.  Times are exact, in seconds; ``after`` is the switching
    instant that opens the interval meant (None: the first one); ``start`` and ``until`` bound a stretch of time of the
    item's own (None: as the find says); ``level`` is in SI base units of the signal,
    or ``level_share`` a share of its whole change.
    ``formulas`` has the instants and the level as written, by their keys, where they name elements.
    ``settings`` holds what only some finds use (turns, area … of ``coil inductance``), as written.
    """

    id: str
    find: str
    points: float
    signal: Signal | None = None
    after: fmpq | None = None
    at: fmpq | None = None
    start: fmpq | None = None
    until: fmpq | None = None
    level: Scalar | None = None
    level_share: fmpq | None = None
    formulas: tuple[tuple[str, str], ...] = ()
    of: tuple[str, ...] = ()
    by: str | None = None
    between: tuple[str, str] | None = None
    options: tuple[str, ...] = ()
    key: str | None = None
    parts: tuple[tuple[str, float], ...] = ()
    text: str = ""
    hint: str = ""
    accept: tuple[str, ...] = ()
    known_wrong: tuple[KnownWrong, ...] = ()
    settings: tuple[tuple[str, str], ...] = ()
    goal: Goal | None = None
    marking: Marking = field(default_factory=Marking)


RESISTORS = ("rectangle", "zigzag")
"""How resistors may be drawn."""


class Problem(Struct, frozen=True, kw_only=True):
    """One circuit (None for a problem of choices and stated values alone) and its items."""

    id: str
    title: str
    text: str
    circuit: Circuit | None
    items: tuple[Item, ...]
    symbols: tuple[str, ...] = ()
    values: tuple[tuple[str, str], ...] = ()
    """Element values as the instructor wrote them: ("R1", "6.8 kohm")."""
    resistors: str = "rectangle"
    """How resistors are drawn: one of `RESISTORS`."""

    def item(self, id: str) -> Item:
        """The item of that id (KeyError if there is none)."""
        for item in self.items:
            if item.id == id:
                return item
        raise KeyError(id)


class Rubric(Struct, frozen=True, kw_only=True):
    """A rubric file read and checked; ``digest`` is the SHA-256 of its bytes."""

    title: str
    course: str
    problems: tuple[Problem, ...]
    digest: str
    name: str
    """The file's name, for messages."""

    def problem(self, id: str) -> Problem:
        """The problem of that id (KeyError if there is none)."""
        for problem in self.problems:
            if problem.id == id:
                return problem
        raise KeyError(id)
