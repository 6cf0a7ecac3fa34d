"""From a wrong answer to the mistakes that lead to it.

The wrong answers to an item are computed once, when they are first needed, and kept sorted; a diagnosis looks the
student's answer up among them.  Nothing here costs points, and whatever lies within the tolerance of the right answer is never reported.
"""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from grader.mistakes.catalogue import catalogue
from grader.mistakes.lookup import (
    double_matches,
    from_own_values,
    part_matches,
    resistor_matches,
    single_matches,
)
from grader.mistakes.numeric_form import WITHIN_TOLERANCE, NumericForm, numeric_form, relative_deviation
from grader.mistakes.records import Candidate, Diagnosis
from grader.mistakes.wrong_answers import WrongAnswerTable, WrongAnswerTables
from grader.problem import Rubric
from grader.quantities.rules import Answer, Rule
from grader.rubric.references import Reference
from grader.values.waveform import Waveform

MAX_CANDIDATES = 6
"""More explanations than this explain nothing."""

MAX_NUDGES = 2
"""More questions than this confuse a student."""


class Diagnoser(Struct, frozen=True, kw_only=True):
    """All wrong answers of a rubric, sorted for look-up; picklable.  Build with ``Diagnoser.of``."""

    tables: Mapping[tuple[str, str], WrongAnswerTable]
    right: Mapping[tuple[str, str], Answer]
    rules: Mapping[tuple[str, str], tuple[Rule, ...]]

    @staticmethod
    def of(rubric: Rubric, references: Sequence[Reference]) -> "Diagnoser":
        """For the items of a rubric and their right answers; of a response, for the expression of each interval too."""
        references = [one for reference in references for one in (*reference.intervals, reference)]
        return Diagnoser(
            tables=WrongAnswerTables(rubric, references),
            right={r.place: r.answer for r in references},
            rules={r.place: r.rules for r in references},
        )

    def diagnose(
        self,
        problem: str,
        item: str,
        answer: Answer,
        *,
        digits: int | None = None,
        carried: Mapping[str, Waveform] | None = None,
    ) -> Diagnosis:
        """Explain a wrong answer.

        Parameters
        ----------
        problem, item : str
            Ids.
        answer : Waveform, roots or str
            As read, SI base units; an expression in global t (seconds).
        digits : int or None
            Significant digits the student wrote, if it was written as a decimal number.
        carried : mapping
            The student's own earlier answers, by item id, where they differ from the reference answers.

        Returns
        -------
        Diagnosis
            Empty where nothing explains the answer.
        """
        table = self.tables.get((problem, item))
        given = None if table is None else numeric_form(answer, table.varies, table.start)
        if table is None or given is None or relative_deviation(given, table.right, table.tolerance, table.scale) <= 1:
            return Diagnosis()
        found = list(single_matches(table, given, digits))
        if carried:
            own = {id: carried.get(id, answer) for (of, id), answer in self.right.items() if of == problem}
            found += from_own_values(table, self.rules[problem, item], given, digits, own, carried)
        if all(match.rank == WITHIN_TOLERANCE for match in found):
            found += _further_matches(table, given, digits, alone=not found)
        return _ranked(found)

    def shown_by(self, problem: str, item: str) -> dict[str, tuple[int, bool]]:
        """The mistakes that an item can show: to how many values each leads, and whether it has a rule of its own."""
        table = self.tables.get((problem, item))
        if table is None:
            return {}
        ruled = {id for id, _ in table.ruled}
        return {id: (count, id in ruled) for id, count in sorted(table.values.items())}

    def hidden(self, problem: str, item: str) -> tuple[str, ...]:
        """Mistakes that lead to the right answer on this circuit, within the tolerance: the item cannot show them."""
        table = self.tables.get((problem, item))
        return () if table is None else table.hidden


def _further_matches(
    table: WrongAnswerTable, given: NumericForm, digits: int | None, *, alone: bool
) -> Iterator[Candidate]:
    """Where no single mistake fits to the digit: two at once, else other resistors; else parts of an expression.

    ``alone``: no single mistake lies even within the tolerance.
    """
    doubles = list(double_matches(table, given, digits))
    yield from doubles or resistor_matches(table, given, digits)
    if alone and table.parts:
        yield from part_matches(table, given)


def _ranked(found: Sequence[Candidate]) -> Diagnosis:
    """By fit to the digits; single before double; by how common it is."""

    def order(match: Candidate) -> tuple[float | str | bool, ...]:
        return match.rank, len(match.ids), -match.weight, match.relative_deviation, match.ids[0], match.variant

    best: dict[tuple[str, ...], Candidate] = {}
    for match in sorted(found, key=order):
        best.setdefault(match.ids, match)
    ordered = list(best.values())[:MAX_CANDIDATES]
    if not ordered:
        return Diagnosis()
    first = ordered[0]
    tied = sum(1 for match in ordered if (match.rank, len(match.ids)) == (first.rank, len(first.ids)))
    return Diagnosis(candidates=tuple(ordered), tied=tied)


# -- in words --------------------------------------------------------------------------------------


def nudges(diagnosis: Diagnosis) -> tuple[str, ...]:
    """Questions for the student: those of the candidates that fit best."""
    questions = [catalogue()[id].nudge for candidate in diagnosis.candidates[: diagnosis.tied] for id in candidate.ids]
    return tuple(dict.fromkeys(questions))[:MAX_NUDGES]


def notes(diagnosis: Diagnosis) -> tuple[str, ...]:
    """Sentences for the instructor: what seems to have been computed, and what else would give the same."""
    if not diagnosis.candidates:
        return ()
    first, *others = diagnosis.candidates
    return (_remark(first), *(f"{_OR}{_named(candidate)}." for candidate in others[: diagnosis.tied - 1]))


_OR = "The same answer comes from: "
"""Before what fits as well as the first."""


def reordered(notes: Sequence[str], places: Sequence[int]) -> tuple[str, ...]:
    """The sentences of `notes` with those that fit equally well in another order, ``places`` being where each stood."""
    first, *others = (notes[place].removeprefix(_OR) for place in places)
    return (first[:1].upper() + first[1:], *(f"{_OR}{_lowered(one)}" for one in others), *notes[len(places) :])


def _remark(candidate: Candidate) -> str:
    first, *others = (catalogue()[id].remark for id in candidate.ids)
    remarks = " Besides, ".join([first, *map(_lowered, others)])
    about = f"In the {candidate.part}: " if candidate.part else ""
    which = f" ({candidate.variant})" if candidate.variant else ""
    own = f" It was computed with the student's own {', '.join(candidate.carried)}." if candidate.carried else ""
    return f"{about}{remarks[:-1]}{which}.{own}"


def _lowered(text: str) -> str:
    """With a small first letter, unless it is a symbol's (``R/L``)."""
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[:2] == "A " else text


def _named(candidate: Candidate) -> str:
    title = " and ".join(_lowered(catalogue()[id].title) for id in candidate.ids)
    return f"{title} ({candidate.variant})" if candidate.variant else title
