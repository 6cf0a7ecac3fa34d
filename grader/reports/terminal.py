"""Feedback on one upload for the terminal: what was read, how it stands, and what to look at again."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from grader.marking.marks import BLANK, Mark, Marked
from grader.problem import Rubric
from grader.reports.paper import questions
from grader.reports.wording import awaits_person, nothing_answered, out_of, points_text, reasons_told, said
from grader.uploads.escaping import visible

if TYPE_CHECKING:
    from rich.console import Console


def print_feedback(console: "Console", rubric: Rubric, marked: Marked, faults: Sequence[str] = ()) -> None:
    """Print the feedback, and first what was wrong with the file; the reference answer is never shown."""
    from rich.text import Text

    asked = questions(rubric)
    problem_shown = ""
    for fault in faults:
        console.print(Text(f"! {visible(fault)}", style="yellow"))
    for mark in marked.marks:
        if mark.problem != problem_shown:
            problem_shown = mark.problem
            title = rubric.problem(mark.problem).title or mark.problem
            console.print(Text(f"\n{title}", style="bold"))
        _print_mark(console, asked[mark.place], mark)
    if nothing_answered(marked) and not faults:
        console.print(Text("\nThere is no answer in this file: is it the blank sheet?", style="yellow"))
    total = f"\n{out_of(marked.total, marked.possible)}"
    console.print(Text(total, style="bold"))


def _print_mark(console: "Console", question: str, mark: Mark) -> None:
    from rich.padding import Padding
    from rich.text import Text

    verdict = said(mark.verdict)
    line = Text(f"{verdict.sign} ", style=verdict.style)
    line.append(mark.item, style="bold")
    line.append(f"  {question}  ")
    line.append(f"{verdict.words}, {points_text(mark.awarded)} of {points_text(mark.possible)}", verdict.style)
    console.print(line)
    for text, style in _below(mark):
        console.print(Padding(Text(text, style=style), (0, 0, 0, 4), expand=False))


def _below(mark: Mark) -> Iterable[tuple[str, str]]:
    """The lines below an item, with their styles."""
    if mark.answer:
        read = f", read as {visible(mark.reading)}" if mark.reading else ""
        yield f"you wrote {visible(mark.answer)}{read}", ""
    if mark.verdict == BLANK:
        return
    for part in mark.parts:
        verdict = said(part.verdict)
        points = f"{points_text(part.awarded)} of {points_text(part.possible)}"
        yield f"{verdict.sign} {part.name}: {verdict.words.lower()}, {points}", verdict.style
    for reason in reasons_told(mark):
        yield f"- {visible(reason)}", ""
    for nudge in mark.nudges:
        yield f"? {nudge}", "cyan"
    if awaits_person(mark):
        yield "A person will still look at this answer.", "dim"
