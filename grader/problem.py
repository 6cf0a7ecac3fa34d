"""Rubrics, problems and items, as read from a rubric file: frozen records without behaviour."""

from dataclasses import dataclass, field
from typing import Any

from flint import fmpq

from grader.circuit.elements import Circuit, Signal
from grader.values.scalar import Scalar


def _setting(default: Any, means: str, *words: str) -> Any:
    """A setting: its default, what it means, and the words it is one of."""
    return field(default=default, metadata={"means": means, "words": words})


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """How answers are marked; set for a rubric, and overridden item by item.

    Each field's metadata say what it ``means`` and which ``words`` it may be; numbers are shares from 0 to 1, but for a
    whole number of figures.
    """

    tolerance: float = _setting(0.02, "how far a right answer may lie from the reference value, as a share of it")
    followed_tolerance: float = _setting(
        0.03, "the same for an answer that follows from an earlier one; rounding adds up, and it is never the smaller"
    )
    units: str = _setting(
        "required",
        "whether a value needs its unit; assumed: a missing one is taken as the asked one (roots need none, nor what an item's own words ask in percent)",
        *("required", "assumed", "ignored"),
    )
    unit_costs: float = _setting(0.25, "share of what an answer earns that is lost when its unit is missing or wrong")
    unit_fault: str = _setting("each time", "how often a unit is charged", "each time", "once per problem")
    sign_costs: float = _setting(
        0.5, "share lost when only the sign is wrong, of a value or of a whole expression; 1: nothing is left"
    )
    sign_fault: str = _setting(
        "once per signal",
        "how often a sign is charged; once per signal: a direction turned for all answers about one current or voltage "
        "is one slip, and where it is kept everything else counts in full; each time: again wherever it is kept, but not in "
        "what follows from an earlier answer",
        *("once per signal", "each time"),
    )
    prefix_costs: float = _setting(0.5, "share lost when only the power of ten is wrong; 1: nothing is left")
    follow_through: float = _setting(1.0, "share earned by an answer that follows from an earlier wrong one")
    follow_absurd: bool = _setting(
        False, "whether following also earns where the value carried on is absurd (a negative time constant)"
    )
    follow_easier: bool = _setting(
        False,
        "whether following also earns where the earlier slip leaves nothing to work out (a constant where the response "
        "varies)",
    )
    general_form: float = _setting(
        0.25,
        "least share earned by a formula that is right but for earlier answers never given, as "
        "v(∞)+(v(0)-v(∞))e^(-t/τ): it says the method",
    )
    significant_figures: int = _setting(
        0,
        "fewest expected; a value rightly rounded to them is right, whatever the tolerance; 0: not asked, the tolerance alone "
        "decides",
    )
    significant_figures_rule: str = _setting(
        "advised",
        "advised: a remark; required: too few cost unit_costs, also outside the tolerance where a value is rightly rounded "
        "to one fewer, of two or more",
        *("advised", "required"),
    )
    several_answers: str = _setting("first", "which of several answers in one cell counts", "first", "none")


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownWrong:
    """An answer the instructor foresaw: its text, the share of the points it earns, what to tell the student, and the mistake behind it."""

    answer: str
    share: float
    comment: str
    mistake: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """What a designed element must do: ``item``'s quantity ``is``, is ``at_least`` or ``at_most`` a target (SI base units).

    ``text`` is the target as the sheet has it.
    """

    item: "Item"
    relation: str
    target: fmpq
    text: str
    formula: str = ""
    """The target as written, where it names elements."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Rubric:
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
