"""The instant at which a signal reaches a given value, for the first time or a later one, on the problem's own clock."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import FIRST_ORDER, from_values
from grader.quantities.crossing import FALLING, RISING, crossing
from grader.quantities.links import TAU, from_expression
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import SIGNAL_DIMENSIONS, after_switching, ordinal, phrase, stretch_text
from grader.values.dimension import TIME
from grader.values.scalar import Scalar, is_symbolic, scalar_text, to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform, constant


def _level(question: Question) -> Scalar:
    """The level as stated, or that share of the way from the initial to the final value."""
    item = question.item
    if item.level_share is None:
        assert item.level is not None
        return item.level
    first = question.solved.just_after(question.signal, question.index)
    return steps.level_of_share(first, question.solved.final(question.signal, question.index), item.level_share)


def _counted(item: Item) -> tuple[int, str]:
    """Which crossing is meant, and whether only rising or falling ones count."""
    settings = dict(item.settings)
    return int(settings.get("crossing", "1")), settings.get("direction", "")


class TimeToReach(Asked):
    """The instant at which a signal reaches a given value, for the first time or a later one, on the problem's own clock."""

    name = "time to reach"
    needs = (SIGNAL, "level")
    allows = ("after", "from", "until", "crossing", "direction")
    keys = (
        ("crossing", "which meeting with the level counts, a whole number from 1 to 99; the first unless given"),
        ("direction", f'"{RISING}" or "{FALLING}": only such crossings count; both unless given'),
    )
    measures = TIME
    sample = Sample(
        circuit="relay",
        item='current = "L1"\nlevel = "1.5 A"',
        answer="0.034657359027997263",
    )

    def reference(self, question: Question) -> Waveform:
        """The crossing in the interval meant, or in the stretch of time given, over actions too."""
        start, end = question.stretch()
        level = _level(question)
        number, direction = _counted(question.item)
        pieces = [
            (question.solved.waveform(question.signal, index), first, last)
            for index, first, last in question.parts_of(start, end)
        ]
        return crossing(pieces, level, number=number, direction=direction)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's first crossing; initial value, final value and time constant."""
        level, share = _level(question), question.item.level_share
        number, direction = _counted(question.item)
        start, end = question.stretch()
        if len(list(question.parts_of(start, end))) > 1:
            return
        how = {"start": start, "end": end, "number": number, "direction": direction}
        step = (
            partial(steps.reaches, level=level, **how) if share is None else partial(steps.changes, share=share, **how)
        )
        yield from from_expression(question, step, "This follows from your own expression.")
        yield from from_values(
            question,
            "t1+tau*ln((x0-xf)/(x2-xf))",
            "This follows from your own initial value, final value and time constant.",
            needs=FIRST_ORDER,
            given={"t1": constant(question.start), "x2": constant(level)},
        )
        if share is not None and number == 1 and not direction:
            formula = "t1+tau*ln(1/(1-k))"
            given = {"t1": constant(question.start), "k": constant(share)}
            says = "This follows from your own time constant."
            yield from from_values(question, formula, says, needs={"tau": TAU}, given=given)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        if item.level_share is not None:
            level = f"{to_float(item.level_share * 100):g} % of its whole change"
        elif item.level is not None and item.signal is not None:
            dimension = SIGNAL_DIMENSIONS[item.signal.kind]
            level = (
                scalar_text(item.level) if is_symbolic(item.level) else value_text(to_float(item.level), dimension, 6)
            )
        else:
            return ""
        number, direction = dict(item.settings).get("crossing", "1"), dict(item.settings).get("direction", "")
        often = "" if number == "1" else f" for the {ordinal(number)} time"
        bounded = item.start is not None or item.until is not None
        where = f", {stretch_text(problem, item)}" if bounded else after_switching(problem, item)
        return f"Time t at which the {phrase(item.signal)} reaches {level}{f', {direction},' if direction else ''}{often}{where}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """A count from 1 to 99; a direction of two."""
        settings = dict(item.settings)
        found = []
        if not re.fullmatch(r"[1-9][0-9]?", settings.get("crossing", "1")):
            found.append(
                f"'crossing' says which crossing counts, a whole number from 1 to 99, not '{settings['crossing']}'"
            )
        if settings.get("direction", RISING) not in (RISING, FALLING):
            found.append(f"'direction' must be '{RISING}' or '{FALLING}', not '{settings['direction']}'")
        return tuple(found)


ENTRY = TimeToReach()
