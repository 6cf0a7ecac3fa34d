"""The mistakes of a class: which marks are wrong answers, how often each mistake was named, where, and what it cost."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from grader.marking.beliefs import is_wrong
from grader.marking.credit import charges_figures, charges_unit
from grader.marking.marks import PARTLY, Mark
from grader.mistakes.catalogue import catalogue
from grader.mistakes.records import NO_SOURCE, TOGETHER, Citation, Mistake
from grader.reports.audit_records import Answer, Example, MistakeFigures


class Fault(NamedTuple):
    """What costs points without being a mistake of the catalogue, described like one; ``nudge`` as a question."""

    id: str
    title: str
    idea: str
    nudge: str
    source: Citation = NO_SOURCE._replace(text="Counted from the marks.")


UNIT_ALONE = Fault(
    id="unit-alone",
    title="Right but for its unit",
    idea="The size is right; the unit is missing, or that of another quantity. A number without its unit is no answer.",
    nudge="2.4: volts, millivolts, or volts per second?",
)

FIGURES_ALONE = Fault(
    id="figures-alone",
    title="Right but for its figures",
    idea="The value is right; it is given to fewer significant figures than were asked.",
    nudge="How many figures are asked, and how many must be kept on the way to them?",
)

FAULTS = {fault.id: fault for fault in (UNIT_ALONE, FIGURES_ALONE)}


def fault_alone(mark: Mark) -> str:
    """The id of the fault for which alone an answer lost points that is right in what it says; "" where there is none.

    There is none where a person decided so.
    """
    if mark.verdict != PARTLY or is_wrong(mark) or mark.decision:
        return ""
    figures = any(map(charges_figures, mark.reasons)) and not any(map(charges_unit, mark.reasons))
    return FIGURES_ALONE.id if figures else UNIT_ALONE.id


EXAMPLES = 3
"""Answers as written that are shown of a mistake."""

MISTAKES_SHOWN = 14
"""Mistakes that a chart shows; the tables hold all."""


def described(id: str) -> Fault | Mistake | None:
    """What is said of a mistake of the catalogue, or of a fault alone; None where there is no such (any more)."""
    return FAULTS.get(id) or catalogue().get(id)


def mistake_title(id: str) -> str:
    """A mistake's name in words; its id where the catalogue has no such mistake (any more)."""
    known = described(id)
    return known.title if known is not None else id


def ranked(counts: Counter[str]) -> tuple[tuple[str, int], ...]:
    """Most frequent first; alphabetical where equal."""
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


def named_first(mistakes: Sequence[str], tied: int) -> dict[str, float]:
    """The mistakes that explain an answer best, each with its share of one where it stands beside others."""
    first = mistakes[: max(tied, 1)]
    shares: dict[str, float] = defaultdict(float)
    for joint in first:
        ids = joint.split(TOGETHER)
        for id in ids:
            shares[id] += 1 / len(first) / len(ids)
    return dict(shares)


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
