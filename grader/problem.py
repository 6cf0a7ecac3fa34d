"""Rubrics, problems and items, as read from a rubric file: frozen records without behaviour."""

from __future__ import annotations

from dataclasses import dataclass, field

from flint import fmpq

from grader.circuit.elements import Circuit, Signal


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """How answers are marked; set for a rubric, and overridden item by item.

    Attributes
    ----------
    tolerance : float
        Share of the reference value, say 0.02.
    followed_tolerance : float
        The same for a value that follows from an earlier answer (rounding adds up on the way).
    units : str
        ``"required"``, ``"assumed"`` (missing is taken as the asked unit) or ``"ignored"``.
    unit_costs : float
        Share of the item's points lost when the unit is missing or wrong.
    unit_fault : str
        ``"each time"`` or ``"once per problem"``.
    sign_costs : float
        Share of the item's points lost when only the sign is wrong; 1: nothing is left.
    sign_fault : str
        ``"once per signal"``: a reference direction turned for all answers about one current or voltage is one slip; or
        ``"each time"``.
    prefix_costs : float
        Share of the item's points lost when only the power of ten is wrong; 1: nothing is left.
    follow_through : float
        Share of the points earned by an answer that follows from an earlier wrong one.
    follow_absurd : bool
        Whether an answer also earns by following where the value carried on is absurd (a negative time constant).
    follow_easier : bool
        Whether it also earns where the earlier slip leaves nothing to work out (a constant where the response varies).
    general_form : float
        Share of the points earned at least by an answer that is right but for earlier answers that were never given: it
        says the method.
    significant_figures : int
        0: not asked; else the fewest expected.
    significant_figures_rule : str
        ``"advised"`` (a remark) or ``"required"`` (costs ``unit_costs``).
    several_answers : str
        Which of several answers in one cell counts: ``"first"`` or ``"none"``.
    """

    tolerance: float = 0.02
    followed_tolerance: float = 0.03
    units: str = "required"
    unit_costs: float = 0.25
    unit_fault: str = "each time"
    sign_costs: float = 0.5
    sign_fault: str = "once per signal"
    prefix_costs: float = 0.5
    follow_through: float = 1.0
    follow_absurd: bool = False
    follow_easier: bool = False
    general_form: float = 0.25
    significant_figures: int = 0
    significant_figures_rule: str = "advised"
    several_answers: str = "first"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownWrong:
    """An answer the instructor foresaw: its text, the share of the points it earns, what to tell the student."""

    answer: str
    share: float
    comment: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing asked.

    ``find`` is a name of the catalogue `grader.quantities`.  Times are exact, in seconds; ``after`` is the switching
    instant that opens the interval meant (None: the first one); ``start`` and ``until`` bound a stretch of time of the
    item's own (None: as the find says); ``level`` is in SI base units of the signal,
    or ``level_share`` a share of its whole change.
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
    level: fmpq | None = None
    level_share: fmpq | None = None
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
    marking: Marking = field(default_factory=Marking)


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
