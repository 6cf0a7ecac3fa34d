"""A source's voltage over its current taken as the resistance seen."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Signal
from grader.circuit.statics import Substitution
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some, swapped
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import sign


def wrong(case: Case) -> Iterator[Wrong]:
    """Each source's voltage over its current at the end and at the first instant."""
    pictures: tuple[tuple[str, dict[str, Substitution]], ...] = (
        ("at the end", {}),
        ("at the first instant", swapped(case)),
    )
    for element in case.sources:
        for when, treat in pictures:
            static = case.static(case.opens, treat)
            volts, amperes = (case.read(static, Signal(kind=kind, of=element.name)) for kind in ("voltage", "current"))
            if volts is None or amperes is None or not (volts.is_number and amperes.is_number) or amperes.number == 0:
                continue
            ratio = volts.number / amperes.number
            size = -ratio if sign(ratio) < 0 else ratio
            yield from some(from_resistance(case, size), f"at {element.name}, {when}")


ENTRY = Mistake(
    id="source-left-working",
    title="Sources left working",
    idea=(
        "The resistance seen is what the network shows with its independent sources at zero. A voltage over a "
        "current with the sources at work is another number."
    ),
    nudge="What should the independent sources be doing while you look for a resistance?",
    remark="A source's voltage over its current was given as the resistance.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
