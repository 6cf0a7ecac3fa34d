"""From the lines of ``marks.jsonl`` to the figures of one class."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from grader.marking.records import BLANK, VERDICTS, Mark
from grader.mistakes.catalogue import catalogue
from grader.mistakes.records import JOINT
from grader.reports import statistics
from grader.reports.audit_clusters import clusters_of, elsewhere_of, shared_of
from grader.reports.audit_records import (
    ClassAudit,
    Example,
    ItemFigures,
    Line,
    MistakeFigures,
    Persisting,
    SectionFigures,
)
from grader.reports.audit_wrong import UNIT_ALONE, is_wrong, loses_unit_alone
from grader.reports.statistics import FEW, Figure

EXAMPLES = 3
"""Answers as written that are shown of a mistake."""

SECTION_MISTAKES = 3
"""Mistakes that are named of a section."""


def class_figures(name: str, lines: Sequence[Line]) -> ClassAudit:
    """All figures of one results folder."""
    students = tuple(dict.fromkeys(line.student for line in lines))
    keys = _keys(lines)
    possible = _possible(lines, keys)
    columns = _columns(lines, keys, students)
    by_problem: dict[str, list[list[float]]] = defaultdict(list)
    for key in keys:
        by_problem[key.partition(".")[0]].append(columns[key])
    problems = [[sum(row) for row in zip(*members, strict=True)] for members in by_problem.values()]
    totals = [sum(row) for row in zip(*columns.values(), strict=True)] if columns else []
    alpha_items = _enough(students, statistics.alpha(list(columns.values())))
    alpha_problems = _enough(students, statistics.alpha(problems))
    same_for_all = [line for line in lines if not line.personal]
    left_out = _left_out(line.mark.problem for line in lines if line.personal)
    return ClassAudit(
        name=name,
        students=len(students),
        possible=sum(possible.values()),
        totals=statistics.distribution(totals, sum(possible.values())),
        alpha_items=alpha_items,
        alpha_problems=alpha_problems,
        error_items=statistics.error_of_measurement(totals, alpha_items),
        error_problems=statistics.error_of_measurement(totals, alpha_problems),
        items=_items(lines, keys, possible, columns, totals, students),
        mistakes=mistake_figures(lines),
        clusters=clusters_of(same_for_all),
        sections=_sections(lines),
        shared=shared_of(same_for_all, len(students)),
        elsewhere=elsewhere_of(lines),
        left_out=left_out,
        cautions=(*statistics.cautions(len(students)), *([left_out] if left_out else [])),
    )


def _left_out(problems: Iterable[str]) -> str:
    listed = ", ".join(dict.fromkeys(problems))
    if not listed:
        return ""
    return (
        f"Values are personal in {listed}: equal answers say nothing there and are not looked for; "
        "all else is gathered by item and mistake."
    )


def _keys(lines: Iterable[Line]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(line.key for line in lines))


def _possible(lines: Iterable[Line], keys: Sequence[str]) -> dict[str, float]:
    largest = dict.fromkeys(keys, 0.0)
    for line in lines:
        largest[line.key] = max(largest[line.key], line.mark.possible)
    return largest


def _columns(lines: Iterable[Line], keys: Sequence[str], students: Sequence[str]) -> dict[str, list[float]]:
    """Points of every student in each item; 0 where an item has no line."""
    place = {student: number for number, student in enumerate(students)}
    columns = {key: [0.0] * len(students) for key in keys}
    for line in lines:
        columns[line.key][place[line.student]] = line.mark.awarded
    return columns


def _enough(students: Sequence[str], figure: Figure) -> Figure:
    """Show a figure unless the class is too small for it."""
    return figure if len(students) >= FEW else Figure(None, f"fewer than {FEW} students")


def _items(
    lines: Sequence[Line],
    keys: Sequence[str],
    possible: dict[str, float],
    columns: dict[str, list[float]],
    totals: Sequence[float],
    students: Sequence[str],
) -> tuple[ItemFigures, ...]:
    figures = []
    without = statistics.alphas_without(list(columns.values()))
    by_key: dict[str, list[Mark]] = defaultdict(list)
    for line in lines:
        by_key[line.key].append(line.mark)
    for key, alpha_without in zip(keys, without, strict=True):
        marks = by_key[key]
        points = columns[key]
        verdicts = Counter(mark.verdict for mark in marks)
        verdicts[BLANK] += len(students) - len(marks)
        p = statistics.difficulty(points, possible[key])
        d = _enough(students, statistics.discrimination(points, possible[key], totals))
        rest = _enough(students, statistics.item_rest(points, totals))
        full = [point >= possible[key] for point in points]
        named = Counter(_title(id) for mark in marks if is_wrong(mark) for id in named_first(mark))
        figures.append(
            ItemFigures(
                key=key,
                possible=possible[key],
                mean=Figure(statistics.mean(points)),
                difficulty=p,
                discrimination=d,
                point_biserial=_enough(students, statistics.point_biserial(full, totals)),
                item_rest=rest,
                alpha_without=_enough(students, alpha_without),
                verdicts=tuple((verdict, verdicts[verdict]) for verdict in VERDICTS),
                explained=sum(1 for mark in marks if is_wrong(mark) and mark.mistakes),
                wrong=sum(1 for mark in marks if is_wrong(mark)),
                review=sum(1 for mark in marks if mark.review),
                mistakes=_ranked(named),
                second_look=statistics.second_look(p, d, rest),
            )
        )
    return tuple(figures)


def _ranked(counts: Counter[str]) -> tuple[tuple[str, int], ...]:
    """Most frequent first; alphabetical where equal."""
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


def named_first(mark: Mark) -> dict[str, float]:
    """The mistakes that explain an answer best, each with its share of one where it stands beside others."""
    first = mark.mistakes[: max(mark.tied, 1)]
    shares: dict[str, float] = defaultdict(float)
    for joint in first:
        ids = joint.split(JOINT)
        for id in ids:
            shares[id] += 1 / len(first) / len(ids)
    return dict(shares)


def found_alone(lines: Iterable[Line]) -> Counter[str]:
    """How many students made each mistake beyond doubt: in an answer that nothing else explains as well."""
    sure = {
        (id, line.student)
        for line in lines
        if line.mark.tied <= 1 and is_wrong(line.mark)
        for id in named_first(line.mark)
    }
    return Counter(id for id, _ in sure)


class _Slip(NamedTuple):
    """One answer to which one mistake was named."""

    line: Line
    lost: float
    sure: bool


def mistake_figures(lines: Iterable[Line]) -> tuple[MistakeFigures, ...]:
    """Every mistake that was named, the costliest first."""
    lines = tuple(lines)
    alone = found_alone(lines)
    slips: dict[str, list[_Slip]] = defaultdict(list)
    for line in lines:
        missing = max(line.mark.possible - line.mark.awarded, 0.0)
        if loses_unit_alone(line.mark):
            slips[UNIT_ALONE.id].append(_Slip(line, missing, sure=True))
        if not is_wrong(line.mark):
            continue
        # Where several explain an answer equally well, what the class did elsewhere says how likely each is.
        weights = {id: share * (1 + alone[id]) for id, share in named_first(line.mark).items()}
        for id, weight in weights.items():
            lost = missing * weight / sum(weights.values())
            slips[id].append(_Slip(line, lost, sure=line.mark.tied <= 1))
    figures = [_mistake(id, made) for id, made in slips.items()]
    return tuple(sorted(figures, key=lambda f: (-round(f.lost, 6), -len(f.students), f.id)))


def _mistake(id: str, made: Sequence[_Slip]) -> MistakeFigures:
    known = UNIT_ALONE if id == UNIT_ALONE.id else catalogue().get(id)
    sure = {slip.line.student for slip in made if slip.sure}
    students = tuple(sorted({slip.line.student for slip in made}))
    by_item: dict[str, set[str]] = defaultdict(set)
    written: dict[tuple[str, str], set[str]] = defaultdict(set)
    for slip in made:
        by_item[slip.line.key].add(slip.line.student)
        written[slip.line.key, slip.line.mark.answer.strip()].add(slip.line.student)
    ranked = sorted(written.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    return MistakeFigures(
        id=id,
        title=_title(id),
        idea=known.idea if known is not None else "",
        source=known.source if known is not None else "",
        lost=sum(slip.lost for slip in made),
        students=students,
        unsure=len(students) - len(sure),
        items=_ranked(Counter({key: len(who) for key, who in by_item.items()})),
        examples=tuple(Example(key, answer, len(who)) for (key, answer), who in ranked[:EXAMPLES]),
    )


def _title(id: str) -> str:
    """A mistake's name in words; its id where the catalogue has no such mistake (any more)."""
    known = UNIT_ALONE if id == UNIT_ALONE.id else catalogue().get(id)
    return known.title if known is not None else id


def _sections(lines: Sequence[Line]) -> tuple[SectionFigures, ...]:
    """By section, where the roster has at least one."""
    names = sorted({line.section for line in lines})
    if names in ([], [""]):
        return ()
    possible = sum(_possible(lines, _keys(lines)).values())
    sections = []
    for name in names:
        own = [line for line in lines if line.section == name]
        students = {line.student for line in own}
        points = sum(line.mark.awarded for line in own)
        share = Figure(points / possible / len(students)) if possible > 0 else Figure(None, "no points to be had")
        named = Counter({f.title: len(f.students) for f in mistake_figures(own)})
        sections.append(
            SectionFigures(
                name=name or "no section",
                students=len(students),
                share=share,
                mistakes=_ranked(named)[:SECTION_MISTAKES],
            )
        )
    return tuple(sections)


def persisting(classes: Sequence[ClassAudit]) -> tuple[Persisting, ...]:
    """Mistakes met in several results folders, those met in most of them first."""
    titles: dict[str, str] = {}
    counts: dict[str, list[int]] = {}
    for place, of_class in enumerate(classes):
        for figures in of_class.mistakes:
            titles[figures.id] = figures.title
            counts.setdefault(figures.id, [0] * len(classes))[place] = len(figures.students)
    rows = [Persisting(id, titles[id], tuple(row)) for id, row in counts.items() if sum(n > 0 for n in row) > 1]
    return tuple(sorted(rows, key=lambda row: (-sum(n > 0 for n in row.students), -sum(row.students), row.id)))
