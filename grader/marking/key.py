"""The key to a rubric: everything marking needs, computed once and picklable."""

import re
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from grader.errors import RubricError
from grader.jobs.helper import Overran
from grader.marking.interpretation import Unreadable
from grader.marking.itemkey import ItemKey, KnownWrongAnswer
from grader.marking.understand import understand
from grader.mistakes.catalogue import catalogue
from grader.mistakes.diagnose import Diagnoser
from grader.problem import Item, Problem, Rubric
from grader.quantities import Answer, Asked, asked
from grader.quantities.records import CHOICE, TRANSFORM
from grader.regex import regex
from grader.rubric.bounds import bounded_time, working_on
from grader.rubric.references import Reference, references
from grader.uploads.upload import Written
from grader.values.laplace import delayed_parts
from grader.values.scalar import to_float
from grader.values.waveform import Piecewise, Waveform


class Key(Struct, frozen=True, kw_only=True, eq=False):
    """A rubric, its items in order by problem, and the diagnoser of its wrong answers.

    ``remembered`` holds what came of answers that were met before (see `grader.marking.mark`), and what items can show.
    """

    rubric: Rubric
    problems: tuple[tuple[str, tuple[ItemKey, ...]], ...]
    diagnoser: Diagnoser
    remembered: dict[Any, Any] = field(default_factory=dict)

    def item(self, problem: str, item: str) -> ItemKey:
        """One item's key (KeyError if there is none)."""
        for id, items in self.problems:
            for entry in items:
                if (id, entry.id) == (problem, item):
                    return entry
        raise KeyError((problem, item))


def build_key(rubric: Rubric) -> Key:
    """Solve every problem, and work out what each mistake gives on it.

    Raises
    ------
    RubricError
        If a circuit has no unique response, an item no answer, or a text under ``accept`` or ``known_wrong``
        cannot be read.
    """
    with bounded_time():
        return _built(rubric, references(rubric))


def _built(rubric: Rubric, found: tuple[Reference, ...]) -> Key:
    by_item = {reference.place: reference for reference in found}
    faults: list[str] = []
    problems = tuple(
        (
            problem.id,
            tuple(_item_key(rubric, problem, item, by_item[problem.id, item.id], faults) for item in problem.items),
        )
        for problem in rubric.problems
    )
    if faults:
        raise RubricError(tuple(faults))
    return Key(rubric=rubric, problems=problems, diagnoser=Diagnoser.of(rubric, found))


_PERCENT_SAID = regex(r"%|\bper\s?cent", re.IGNORECASE)
"""An item's own words for the unit of its number, which an answer need not repeat."""


def _needs_no_unit(item: Item, entry: Asked) -> bool:
    """Whether what is asked has no unit, or the question itself names the one of its number."""
    said = "%" in (item.key or "") and _PERCENT_SAID.search(item.text) is not None
    return entry.unit_free or entry.in_percent or said


def _item_key(rubric: Rubric, problem: Problem, item: Item, reference: Reference, faults: list[str]) -> ItemKey:
    entry = asked(item.find)
    percent = entry.in_percent or "%" in (item.key or "")
    key = ItemKey(
        problem=problem.id,
        id=item.id,
        points=item.points,
        marking=replace(item.marking, units="assumed") if _needs_no_unit(item, entry) else item.marking,
        hint=item.hint,
        reference=reference,
        signal=item.signal,
        accepted=(reference.answer,),
        parts=_weighed(item.parts, reference.answer) or default_parts(reference),
        options=(*item.options, *item.accept) if reference.kind == CHOICE else item.options,
        percent=percent,
        names={named.name: named.dimension for one in (*reference.intervals, reference) for named in one.names},
        values={named.name: named.value for named in reference.names},
        carries=tuple((named.name, named.item) for named in reference.names if named.item is not None),
    )
    key = replace(key, intervals=_interval_keys(key))
    where = f"{rubric.name}, problem '{problem.id}', item '{item.id}'"
    working_on(where)

    def answer_of(text: str, place: str) -> Answer | None:
        try:
            taken = understand(key, Written(problem=problem.id, item=item.id, text=text), {})
        except Overran:
            faults.append(f"{where}: '{text}' under {place} takes too long to work out; write it as a sum of terms.")
            return None
        if taken is None or isinstance(taken, Unreadable):
            faults.append(f"{where}: '{text}' under {place} cannot be read; write it as a student would.")
            return None
        return next(taken).answer

    unknown = [known.mistake for known in item.known_wrong if known.mistake and known.mistake not in catalogue()]
    faults.extend(f"{where}: there is no mistake called '{one}'; grader explain lists them." for one in unknown)
    accepted = [answer for text in item.accept if (answer := answer_of(text, "accept")) is not None]
    foreseen = [
        KnownWrongAnswer(answer=answer, share=known.share, comment=known.comment, mistake=known.mistake)
        for known in item.known_wrong
        if (answer := answer_of(known.answer, "known_wrong")) is not None
    ]
    key = replace(key, accepted=(reference.answer, *reference.others, *accepted), foreseen=tuple(foreseen))
    return replace(key, intervals=_interval_keys(key))


def _interval_keys(key: ItemKey) -> tuple[ItemKey, ...]:
    """The expressions of a response's intervals, each worth the same; a name that one of them may use, all may."""
    references = key.reference.intervals
    named = [one for reference in references for one in reference.names]
    responses = [answer.pieces for answer in key.accepted if isinstance(answer, Piecewise)]
    return tuple(
        replace(
            key,
            id=reference.item,
            points=key.points / len(references),
            reference=reference,
            accepted=tuple(pieces[number][1] for pieces in responses),
            parts=default_parts(reference),
            values={one.name: one.value for one in (*named, *reference.names)},
            foreseen=(),
            intervals=(),
        )
        for number, reference in enumerate(references)
    )


def _parts_in_s(answer: Waveform) -> tuple[tuple[str, float], ...]:
    """What a function of s says."""
    delays, found = zip(*delayed_parts(answer), strict=True)
    poles, zeros = any(len(one.bottom) > 1 for one in found), any(len(one.top) > 1 for one in found)
    present = (("poles", poles), ("zeros", zeros), ("gain", True), ("delays", any(delays)))
    return tuple((name, 1.0) for name, there in present if there)


def _end_of(answer: Waveform) -> list[str]:
    """What an expression says of the end: its final value, or the part that stays where something dies away and nothing settles."""
    if answer.limit() is not None:
        return ["final value"]
    dies = not answer.is_symbolic and any(to_float(term.rate) < 0 for term in answer.terms)
    return ["forced part"] if dies else []


def _weighed(parts: tuple[tuple[str, float], ...], answer: Answer) -> tuple[tuple[str, float], ...]:
    """The parts that the rubric weighs; what never settles has a forced part where it says final value."""
    if not isinstance(answer, Waveform) or answer.limit() is not None:
        return parts
    weights: dict[str, float] = {}
    for name, points in parts:
        said = "forced part" if name == "final value" else name
        weights[said] = weights.get(said, 0.0) + points
    return tuple(weights.items())


def default_parts(reference: Reference) -> tuple[tuple[str, float], ...]:
    """What an expression or a function of s says, each part with the same weight, where the rubric does not weigh them.

    A constant has its value alone; what never settles, a ramp or a sinusoid, has a forced part in place of a final value
    where it does not make up the whole; two start values are asked only of what needs two constants.
    """
    answer = reference.answer
    if reference.kind == TRANSFORM and isinstance(answer, Waveform):
        return _parts_in_s(answer)
    if reference.kind != "expression" or not isinstance(answer, Waveform):
        return ()
    moving = {
        t.kind[:3]: t for t in answer.terms if t.power or t.rate or t.frequency
    }.values()  # 2 e^-5t and e^3 e^-5t are one
    oscillates = any(t.frequency for t in moving)
    names = ["initial value"]
    if len(moving) > 1 or oscillates:
        names.append("initial slope")
    names += _end_of(answer)
    if any(t.rate for t in moving):
        names.append("time constant")
    if oscillates:
        names.append("frequency")
    if moving:
        names.append("form")
    return tuple((name, 1.0) for name in names)
