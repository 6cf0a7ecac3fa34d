"""From a wrong answer to the mistakes that lead to it."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from grader.mistakes.records import Answer, Diagnosis
from grader.values.waveform import Waveform


class Diagnoser:
    """All wrong answers of a rubric, computed once and kept sorted for look-up; picklable.

    Build with ``Diagnoser.of(rubric, references)``.
    """

    def diagnose(
        self,
        problem: str,
        item: str,
        answer: Answer,
        *,
        digits: int | None = None,
        carried: Mapping[str, Waveform] | None = None,
        suspected: Collection[str] = (),
        common: Mapping[str, int] | None = None,
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
        suspected : collection of str
            Ids of the mistakes already diagnosed in the student's other answers.
        common : mapping
            How many students of the class made each mistake (the audit's second pass).

        Returns
        -------
        Diagnosis
            Empty where nothing explains the answer.
        """
        del problem, item, answer, digits, carried, suspected, common
        return Diagnosis()


def nudges(diagnosis: Diagnosis) -> tuple[str, ...]:
    """Questions for the student: of the first candidates that tie."""
    del diagnosis
    return ()


def notes(diagnosis: Diagnosis) -> tuple[str, ...]:
    """Sentences for the instructor."""
    del diagnosis
    return ()
