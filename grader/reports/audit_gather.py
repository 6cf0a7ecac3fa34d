"""From marks, one after the other, to the figures of one class.

Points go into a column of numbers for each item; of the marks only wrong answers are kept, and of those what the
audit asks about.  So a class of a hundred thousand takes some hundred megabytes.
"""

from array import array
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from sys import intern
from typing import NamedTuple

import numpy as np
from msgspec import Struct, field

from grader.ideas.records import Explanation
from grader.marking.beliefs import is_wrong
from grader.marking.classmates import TO_EVERY_DIGIT
from grader.marking.marks import BLANK, REMEMBERED, VERDICTS, Mark
from grader.mistakes.lookup import PREFIX_SLIP, SIGNS
from grader.reports import statistics
from grader.reports.audit_clusters import clusters_of, shared_of
from grader.reports.audit_ideas import held_by, how_sure, idea_figures, pairs, topics
from grader.reports.audit_mistakes import mistake_figures, ranked
from grader.reports.audit_records import (
    Answer,
    AuditLine,
    ClassAudit,
    Elsewhere,
    ItemFigures,
    LostPoints,
    SectionFigures,
)
from grader.reports.faults import fault_alone, mistake_title, named_first
from grader.reports.statistics import FEW, Figure, Points

UNIT_AND_SIGN = frozenset({PREFIX_SLIP, *SIGNS})
"""Slips of sign and of powers of ten."""

SECTION_MISTAKES = 3
"""Mistakes that are named of a section."""


NEXT_CLASS = 4
"""Ideas to talk about in the next class: more would not fit into its first minutes."""


def gather(lines: Iterable[AuditLine], explanations: Mapping[str, Explanation] | None = None) -> "Gathered":
    """What is known of a class after all its marks, and after what explains each student's."""
    gathered = Gathered()
    for line in lines:
        gathered.add(line)
    gathered.explanations = explanations or {}
    return gathered


class _Told(NamedTuple):
    """What is gathered of one mark, whose it may be.

    ``left`` are points not earned by an answer with nothing wrong in it, ``where`` says for what.
    """

    key: str
    wrong: bool
    where: str
    left: float
    named: tuple[str, ...]
    answer: Answer | None


@lru_cache(REMEMBERED)
def _told(mark: Mark) -> _Told:
    key, wrong = intern(f"{mark.problem}.{mark.item}"), is_wrong(mark) and not mark.waits
    fault = "" if mark.waits else fault_alone(mark)
    where = (
        "blank" if mark.verdict == BLANK else "unread" if mark.waits else "decided" if mark.decision else "following"
    )
    left = mark.possible if mark.verdict == BLANK else 0.0 if wrong or fault else mark.possible - mark.awarded
    named = tuple(named_first(mark.mistakes, mark.tied)) if wrong else ()
    return _Told(key, wrong, where, left, named, _answer(mark, key, fault) if wrong or fault else None)


class _Column(Struct):
    """One item: every student's points in order of student, and counts."""

    points: "array[float]" = field(default_factory=lambda: array("d"))
    possible: float = 0.0
    lines: int = 0
    verdicts: Counter[str] = field(default_factory=Counter)
    mistakes: Counter[str] = field(default_factory=Counter)
    wrong: int = 0
    explained: int = 0
    review: int = 0
    unmarked: int = 0

    def add(self, place: int, mark: Mark, told: _Told) -> None:
        self.fill(place + 1)
        self.points[place] = mark.awarded
        self.possible = max(self.possible, mark.possible)
        self.lines += 1
        self.verdicts[mark.verdict] += 1
        self.review += mark.review
        self.unmarked += mark.unmarked
        if told.wrong:
            self.wrong += 1
            self.explained += bool(mark.mistakes)
            for id in told.named:
                self.mistakes[id] += 1

    def fill(self, students: int) -> None:
        """Give 0 points to those of so many students who have no line."""
        self.points.extend([0.0] * (students - len(self.points)))


class _Section(Struct):
    students: set[str] = field(default_factory=set)
    points: float = 0.0
    unmarked: float = 0.0


class Gathered:
    """What is known of a class so far; `add` its marks, set its `explanations`, then ask for its `figures`."""

    def __init__(self) -> None:
        self.explanations: Mapping[str, Explanation] = {}
        self._left = dict.fromkeys(("blank", "unread", "decided", "following"), 0.0)
        self.answers: list[Answer] = []
        self._students: dict[str, int] = {}
        self._columns: dict[str, _Column] = defaultdict(_Column)
        self._sections: dict[str, _Section] = defaultdict(_Section)
        self._elsewhere: list[Elsewhere] = []
        self._personal: dict[str, None] = {}

    def add(self, line: AuditLine) -> None:
        """Take one mark; of every student and item there is one."""
        mark, told = line.mark, _told(line.mark)
        place = self._students.setdefault(line.student, len(self._students))
        self._columns[told.key].add(place, mark, told)
        section = self._sections[line.section]
        section.students.add(line.student)
        section.points += mark.awarded
        section.unmarked += mark.possible if mark.unmarked else 0.0
        self._left[told.where] += told.left
        if line.personal:
            self._personal[mark.problem] = None
            notes = [note for note in mark.notes if note.startswith(TO_EVERY_DIGIT)]
            self._elsewhere += [Elsewhere(line.student, told.key, mark.answer.strip(), note) for note in notes]
        if told.answer is not None:
            own = told.answer._replace(student=line.student, section=line.section, personal=line.personal)
            self.answers.append(own)

    def figures(self, name: str) -> ClassAudit:
        """All figures of the class."""
        count = len(self._students)
        for column in self._columns.values():
            column.fill(count)
        possible = sum(column.possible for column in self._columns.values())
        points = _table([column.points for column in self._columns.values()], count)
        problems = np.array([key.partition(".")[0] for key in self._columns])
        by_problem = _table([points[:, problems == one].sum(axis=1) for one in dict.fromkeys(problems)], count)
        totals = points.sum(axis=1)
        alpha_items = _enough(count, statistics.alpha(points))
        alpha_problems = _enough(count, statistics.alpha(by_problem))
        unexplained = [answer for answer in self.answers if answer.unexplained]
        held = held_by(self.explanations)
        ideas = idea_figures(self.explanations, held, self.answers)
        left_out = _left_out(self._personal)
        unmarked = _unmarked(self._columns.values())
        return ClassAudit(
            name=name,
            students=count,
            possible=possible,
            totals=statistics.distribution(totals, possible),
            alpha_items=alpha_items,
            alpha_problems=alpha_problems,
            error_items=statistics.error_of_measurement(totals, alpha_items),
            error_problems=statistics.error_of_measurement(totals, alpha_problems),
            items=self._items(points, totals),
            lost=self._lost(held.owners),
            ideas=ideas,
            topics=topics(ideas, held, self.answers, count),
            ids=frozenset(self._students),
            testable=_testable(self.explanations),
            pairs=pairs(self.explanations, ideas, NEXT_CLASS),
            sure=how_sure(self.explanations),
            mistakes=mistake_figures(self.answers),
            clusters=clusters_of(unexplained),
            sections=self._section_figures(possible),
            shared=shared_of(unexplained, count),
            elsewhere=tuple(self._elsewhere),
            left_out=left_out,
            cautions=(*statistics.cautions(count), *filter(None, (left_out, unmarked))),
        )

    def _lost(self, owners: Collection[tuple[str, str]]) -> LostPoints:
        """Where the points went; slips are mistakes made once, by students without the idea behind them."""
        lost = dict.fromkeys(LostPoints._fields, 0.0)
        for answer in self.answers:
            lost[_where_lost(answer, shown=(answer.student, answer.key) in owners)] += answer.lost
        for where, left in self._left.items():
            lost[where] += left
        return LostPoints(**lost)

    def _items(self, points: Points, totals: Points) -> tuple[ItemFigures, ...]:
        count = len(self._students)
        return tuple(
            _item(key, column, own, totals, _enough(count, alpha))
            for (key, column), own, alpha in zip(
                self._columns.items(), points.T, statistics.alphas_without(points), strict=True
            )
        )

    def _section_figures(self, possible: float) -> tuple[SectionFigures, ...]:
        """By section, where the roster has at least one."""
        if set(self._sections) <= {""}:
            return ()
        answers: dict[str, list[Answer]] = defaultdict(list)
        for answer in self.answers:
            answers[answer.section].append(answer)
        return tuple(
            _section(name, section, possible, answers[name]) for name, section in sorted(self._sections.items())
        )


def _testable(explanations: Mapping[str, Explanation]) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for student, one in explanations.items():
        for id in one.testable:
            found[id].add(student)
    return {id: frozenset(students) for id, students in found.items()}


def _table(columns: Sequence["array[float] | Points"], students: int) -> Points:
    return np.array(columns).reshape(len(columns), students).T


def _answer(mark: Mark, key: str, fault: str) -> Answer:
    """What is kept of it, of nobody yet."""
    return Answer(
        student="",
        section="",
        key=key,
        text=intern(mark.answer.strip()),
        value=mark.reading_value,
        words="" if mark.reading_value is not None else intern("".join((mark.reading or mark.answer).split())),
        wrong=not fault,
        mistakes=tuple(map(intern, mark.mistakes)),
        tied=mark.tied,
        lost=max(mark.possible - mark.awarded, 0.0),
        decided=bool(mark.decision),
        fault=intern(fault),
        personal=False,
    )


def _where_lost(answer: Answer, *, shown: bool) -> str:
    """The part of `LostPoints` that a wrong answer's points belong to; ``shown``: an idea of the student shows in it."""
    if not answer.wrong:
        return "unit_and_sign"
    if shown:
        return "ideas"
    if not answer.mistakes:
        return "decided" if answer.decided else "unexplained"
    return "unit_and_sign" if answer.mistakes[0] in UNIT_AND_SIGN else "slips"


def _left_out(problems: Iterable[str]) -> str:
    listed = ", ".join(problems)
    if not listed:
        return ""
    return (
        f"Values are personal in {listed}: equal answers say nothing there and are not looked for; "
        "all else is gathered by item and mistake."
    )


def _unmarked(columns: Iterable[_Column]) -> str:
    count = sum(column.unmarked for column in columns)
    if not count:
        return ""
    return (
        f"{count} answer{'s' * (count != 1)} that nobody has marked yet: the means and difficulties of items and the shares of "
        "sections leave them out; in totals they count as 0 until they are decided."
    )


def _enough(students: int, figure: Figure) -> Figure:
    """Show a figure unless the class is too small for it."""
    return figure if students >= FEW else Figure(None, f"fewer than {FEW} students")


def _item(key: str, column: _Column, points: Points, totals: Points, alpha_without: Figure) -> ItemFigures:
    students, possible = len(points), column.possible
    verdicts = Counter(column.verdicts)
    verdicts[BLANK] += students - column.lines
    marked = students - column.unmarked
    p = statistics.difficulty(points * students / marked if marked else points[:0], possible)
    d = _enough(students, statistics.discrimination(points, possible, totals))
    rest = _enough(students, statistics.item_rest(points, totals))
    named: Counter[str] = Counter()
    for id, count in column.mistakes.items():
        named[mistake_title(id)] += count
    return ItemFigures(
        key=key,
        possible=possible,
        mean=Figure(float(points.sum()) / marked) if marked else Figure(None, "nobody was marked"),
        difficulty=p,
        discrimination=d,
        point_biserial=_enough(students, statistics.point_biserial(points >= possible, totals)),
        item_rest=rest,
        alpha_without=alpha_without,
        verdicts=tuple((verdict, verdicts[verdict]) for verdict in VERDICTS),
        explained=column.explained,
        wrong=column.wrong,
        review=column.review,
        mistakes=ranked(named),
        second_look=statistics.second_look(p, rest, students),
    )


def _section(name: str, section: _Section, possible: float, answers: Sequence[Answer]) -> SectionFigures:
    count = len(section.students)
    marked = possible * count - section.unmarked
    share = Figure(section.points / marked) if marked > 0 else Figure(None, "no points to be had")
    named = Counter({figures.title: len(figures.students) for figures in mistake_figures(answers)})
    return SectionFigures(
        name=name or "no section", students=count, share=share, mistakes=ranked(named)[:SECTION_MISTAKES]
    )
