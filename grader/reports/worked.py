"""The worked solution of a rubric as a self-contained page: answers, steps and the response drawn over time."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from grader.authoring.scheme import typeset
from grader.circuit.elements import Signal
from grader.circuit.response import Solved, solve
from grader.errors import NotDefined
from grader.marking.key import Key
from grader.marking.marks import Mark
from grader.problem import Problem, Rubric
from grader.quantities.extremes import extreme
from grader.quantities.words import phrase, symbol, titled
from grader.reports.pages import page
from grader.reports.paper import PaperItem, PaperProblem, paper
from grader.reports.plot import CurvePiece, LabelledInstant, plot
from grader.reports.schematic import reduced_schematic, schematic
from grader.reports.solution_steps import solution_steps
from grader.rubric.references import Reference
from grader.solution import SolutionStep, nodes_spoken_of
from grader.values.dimension import TIME, Dimension
from grader.values.scalar import is_symbolic, to_float
from grader.values.term import TermMode
from grader.values.text import value_text

SETTLED = 5
"""Time constants after the last action that a plot shows: less than 1 % is left."""


class WorkedProblem(NamedTuple):
    """A problem with its answers (each with its mathematics, its text and a mark), its steps with their figures, plots (SVG)."""

    paper: PaperProblem
    answers: tuple[tuple[PaperItem, tuple[str, ...], str, Mark | None], ...]
    steps: tuple[tuple[SolutionStep, str], ...]
    plots: tuple[str, ...]


def worked_html(rubric: Rubric, found: Iterable[Reference], student: str = "", marks: Iterable[Mark] = ()) -> str:
    """The page; it shows the reference answers and is for the instructor, or for the class after the due date.

    With the ``marks`` of a student (the id is printed on every page) what they wrote stands beside the answers.
    """
    printed = paper(rubric, student)
    answers = {reference.place: reference for reference in found}
    written = {mark.place: mark for mark in marks}
    problems = [
        _worked(problem, shown, answers, written)
        for problem, shown in zip(rubric.problems, printed.problems, strict=True)
    ]
    return page("worked.html", paper=printed, problems=problems, marked=bool(written))


def own_solution(key: Key, student: str, marks: Iterable[Mark]) -> str:
    """The page with what a student wrote beside it."""
    items = [key.item(problem.id, item.id) for problem in key.rubric.problems for item in problem.items]
    return worked_html(key.rubric, [item.reference for item in items], student, marks)


def _worked(
    problem: Problem,
    shown: PaperProblem,
    found: Mapping[tuple[str, str], Reference],
    written: Mapping[tuple[str, str], Mark],
) -> WorkedProblem:
    answers = tuple(
        (item, typeset(found[place]), found[place].text, written.get(place))
        for item in shown.items
        if (place := (problem.id, item.id)) in found
    )
    solved = None if problem.circuit is None else solve(problem.circuit)
    steps = solution_steps(problem, solved, tuple(found.values()))
    plots: tuple[str, ...] = ()
    if solved is not None:
        signals = tuple(dict.fromkeys(item.signal for item in problem.items if item.signal is not None))
        shown = replace(shown, figure=schematic(problem, nodes_spoken_of(solved.circuit, steps)))
        plots = tuple(svg for signal in signals if (svg := response_plot(problem, solved, signal)))
    drawn = tuple((step, _figure(problem, number, step)) for number, step in enumerate(steps))
    return WorkedProblem(shown, answers, drawn, plots)


def _figure(problem: Problem, number: int, step: SolutionStep) -> str:
    """The circuit beside a step; "" where none is."""
    if step.picture is None:
        return ""
    spoken = nodes_spoken_of(step.picture.circuit, (step,))
    return reduced_schematic(problem, step.picture, spoken, f"{problem.id}-{number}")


# -- plots -----------------------------------------------------------------------------------------


def response_plot(problem: Problem, solved: Solved, signal: Signal) -> str:
    """A signal over time, from before the first action until it has settled; "" where symbols leave nothing to draw."""
    waveforms = [solved.waveform(signal, index) for index in range(len(solved.intervals))]
    if any(waveform.is_symbolic for waveform in waveforms):
        return ""
    starts = [to_float(interval.start) for interval in solved.intervals[1:] if interval.start is not None]
    last = waveforms[-1].modes()
    end = starts[-1] + (_settling(last) or max(starts[-1] - starts[0], 0.0) or 1e-3)
    before = CurvePiece(start=starts[0] - 0.08 * (end - starts[0]), end=starts[0], modes=waveforms[0].modes())
    after = [
        CurvePiece(start=start, end=until, modes=waveform.modes())
        for start, until, waveform in zip(starts, (*starts[1:], end), waveforms[1:], strict=True)
    ]
    of = signal.of if isinstance(signal.of, str) else "-".join(signal.of)
    return plot(
        [before, *after],
        _marks(solved, signal, after),
        quantity=symbol(signal),
        dimension=signal.dimension,
        title=f"{titled(phrase(signal))} over time",
        id=f"{problem.id}-{signal.kind}-{of}",
    )


def _settling(modes: Sequence[TermMode]) -> float:
    """How long to look at a waveform: until it has died out, three turns of what never does, 0 for a constant."""
    dying = [1 / abs(mode.rate) for mode in modes if mode.rate]
    turning = [2 * math.pi / mode.frequency for mode in modes if mode.frequency and not mode.rate]
    return max([SETTLED * tau for tau in dying] + [3 * turn for turn in turning], default=0.0)


def _marks(solved: Solved, signal: Signal, pieces: Sequence[CurvePiece]) -> list[LabelledInstant]:
    dimension = signal.dimension
    marks = []
    for index, piece in enumerate(pieces, start=1):
        value = solved.just_after(signal, index).value()
        what = "initial value" if index == 1 else f"at {value_text(piece.start, TIME)}:"
        marks.append(
            LabelledInstant(time=piece.start, value=value, label=f"{what} {_said(value, dimension)}", shape="circle")
        )
    last = len(pieces)
    try:
        final = solved.final(signal, last).value()
        label = f"final value {_said(final, dimension)}"
        marks.append(LabelledInstant(time=pieces[-1].end, value=final, label=label, shape="line"))
        marks += _peak(solved, signal, pieces[-1], final)
        tau = solved.characteristic(last).time_constant
    except NotDefined:
        return marks
    if tau is not None and not is_symbolic(tau) and len(solved.waveform(signal, last).modes()) > (final != 0):
        seconds = to_float(tau)
        time = pieces[-1].start + seconds
        value = solved.waveform(signal, last).value(time)
        label = f"after τ = {value_text(seconds, TIME)}: {_said(value, dimension)}"
        marks.append(LabelledInstant(time=time, value=value, label=label, shape="diamond", since=pieces[-1].start))
    return marks


def _peak(solved: Solved, signal: Signal, last: CurvePiece, final: float) -> Iterator[LabelledInstant]:
    """The turning point of the last interval that lies farthest from the final value, where it is beyond both ends."""
    index = len(solved.intervals) - 1
    waveform, opened = solved.waveform(signal, index), solved.opening(index)
    first, dimension = solved.just_after(signal, index).value(), signal.dimension
    found = [(way, extreme([(waveform, opened, None)], way)) for way in (1, -1)]
    turned = [
        (abs(one.value.value() - final), word, one.time.value(), one.value.value())
        for (way, one), word in zip(found, ("maximum", "minimum"), strict=True)
        if one.time is not None
        and last.start < one.time.value() < last.end
        and way * (one.value.value() - final) > 0.02 * abs(first - final)
        and way * (one.value.value() - first) > 0
    ]
    if turned:
        _, word, time, value = max(turned)
        label = f"{word} {_said(value, dimension)} at {value_text(time, TIME)}"
        yield LabelledInstant(time=time, value=value, label=label, shape="diamond", since=last.start)


def _said(value: float, dimension: Dimension) -> str:
    return value_text(value, dimension).replace("-", "−")
