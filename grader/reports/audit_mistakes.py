"""The mistakes of a class: how often each was named, where, and what it cost."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from grader.reports.audit_records import Answer, Example, MistakeFigures
from grader.reports.faults import described, mistake_title, named_first

EXAMPLES = 3
"""Answers as written that are shown of a mistake."""

MISTAKES_SHOWN = 14
"""Mistakes that a chart shows; the tables hold all."""


def ranked(counts: Counter[str]) -> tuple[tuple[str, int], ...]:
    """Most frequent first; alphabetical where equal."""
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


def found_alone(answers: Sequence[Answer]) -> Counter[str]:
    """How many students made each mistake beyond doubt: in an answer that nothing else explains as well."""
    sure = {
        (id, answer.student)
        for answer in answers
        if answer.wrong and answer.tied <= 1
        for id in named_first(answer.mistakes, answer.tied)
    }
    return Counter(id for id, _ in sure)


class _Slip(NamedTuple):
    """One answer to which one mistake was named."""

    answer: Answer
    lost: float
    sure: bool


def mistake_figures(answers: Sequence[Answer]) -> tuple[MistakeFigures, ...]:
    """Every mistake that was named, the costliest first."""
    alone = found_alone(answers)
    slips: dict[str, list[_Slip]] = defaultdict(list)
    for answer in answers:
        if not answer.wrong:
            slips[answer.fault].append(_Slip(answer, answer.lost, sure=True))
            continue
        # Where several explain an answer equally well, what the class did elsewhere says how likely each is.
        shares = named_first(answer.mistakes, answer.tied)
        weights = {id: share * (1 + alone[id]) for id, share in shares.items()}
        for id, weight in weights.items():
            lost = answer.lost * weight / sum(weights.values())
            slips[id].append(_Slip(answer, lost, sure=answer.tied <= 1))
    figures = [_mistake(id, made) for id, made in slips.items()]
    return tuple(sorted(figures, key=lambda f: (-round(f.lost, 6), -len(f.students), f.id)))


def _mistake(id: str, made: Sequence[_Slip]) -> MistakeFigures:
    known = described(id)
    sure = {slip.answer.student for slip in made if slip.sure}
    students = tuple(sorted({slip.answer.student for slip in made}))
    by_item = Counter(slip.answer.key for slip in made)
    written = Counter((slip.answer.key, slip.answer.text) for slip in made)
    commonest = sorted(written.items(), key=lambda pair: (-pair[1], pair[0]))[:EXAMPLES]
    return MistakeFigures(
        id=id,
        title=mistake_title(id),
        idea=known.idea if known is not None else "",
        source=known.source.text if known is not None else "",
        lost=sum(slip.lost for slip in made),
        students=students,
        unsure=len(students) - len(sure),
        items=ranked(by_item),
        examples=tuple(Example(key, text, count) for (key, text), count in commonest),
    )
