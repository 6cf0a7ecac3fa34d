"""The step that gathers the lines of single items, each checked against the reference answer."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial

from msgspec.structs import replace

from grader.circuit.response import Solved
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.catalogue import question_of
from grader.quantities.question import Question
from grader.quantities.records import EQUATION
from grader.reports.item_lines import combined, designs, energies, equations, extremes, parts, ratios, times
from grader.reports.item_lines.derivation import Derivation
from grader.rubric.references import Reference
from grader.solution import BoardLine, SolutionStep
from grader.values.dimension import unit_symbol
from grader.values.waveform import Waveform

_WAYS: dict[str, Sequence[Callable[[Question], Derivation | None]]] = {
    "average power": (energies.average_power,),
    "characteristic polynomial": (equations.characteristic_polynomial,),
    "charge passed": (energies.charge_passed,),
    "coil inductance": (combined.coil,),
    "differential equation": (equations.differential_equation,),
    "duty cycle": (ratios.duty_cycle,),
    "element value": (designs.element_value,),
    "energy delivered": (partial(energies.energy_taken_by, sign=-1),),
    "energy dissipated": (energies.energy_taken_by,),
    "energy lost": (energies.energy_lost,),
    "energy share": (energies.energy_share,),
    **dict.fromkeys(("equivalent inductance", "equivalent capacitance"), (combined.equivalent,)),
    "half life": (partial(times.in_time_constants, letter="t_½"),),
    "initial second derivative": (partial(times.at_instant, order=2),),
    "initial slope": (times.initial_slope,),
    "maximum": (partial(extremes.extreme_value, way=1),),
    "minimum": (partial(extremes.extreme_value, way=-1),),
    "overshoot": (extremes.overshoot,),
    "peak time": (ratios.of_damping, extremes.peak_time),
    "percent overshoot": (ratios.of_damping, extremes.overshoot),
    "period": (ratios.period,),
    "rise time": (times.rise_time,),
    "settling time": (times.settling_time,),
    "slope at": (partial(times.at_instant, order=1),),
    "stored energy": (energies.stored_energy,),
    "time of maximum": (partial(extremes.time_of_extreme, way=1),),
    "time of minimum": (partial(extremes.time_of_extreme, way=-1),),
    "time to reach": (times.time_to_reach,),
    "time when equal": (times.time_when_equal,),
    "value at": (partial(times.at_instant, order=0),),
    "natural part": (parts.natural,),
    "forced part": (parts.forced,),
    "zero-input part": (parts.zero_input,),
    "zero-state part": (parts.zero_state,),
    **dict.fromkeys(("damping ratio", "quality factor", "logarithmic decrement"), (ratios.of_damping,)),
}
"""How each find is derived, the shortest way first."""


def values_step(problem: Problem, solved: Solved | None, found: Iterable[Reference]) -> SolutionStep | None:
    """A step with the lines of every item of these kinds; None where there is none.

    Parameters
    ----------
    problem : Problem
        Its items.
    solved : Solved or None
        The response of its circuit, if it has one.
    found : iterable of Reference
        The reference answers, of this problem or of more.
    """
    answers = {reference.item: reference for reference in found if reference.problem == problem.id}
    lines: list[BoardLine] = []
    shown: list[BoardLine] = []  # what led to one answer does not stand there again for the next
    for item in problem.items:
        if item.id in answers:
            derived = _lines(question_of(problem, item, solved), item, answers[item.id])
            fresh = [line for line in derived if line not in shown]
            shown += fresh
            lines += [replace(fresh[0], label=_labelled(item, fresh[0])), *fresh[1:]] if fresh else []
    return SolutionStep(heading=("The values asked",), lines=tuple(lines)) if lines else None


def _lines(question: Question, item: Item, reference: Reference) -> Iterator[BoardLine]:
    """What leads to an answer, under the item's id, and the answer."""
    answer = reference.answer
    if not isinstance(answer, Waveform):
        return
    derived = next(filter(None, (_fitting(way, question, answer) for way in _WAYS.get(item.find, ()))), None)
    if derived is None:
        return
    yield from derived.before
    if reference.kind == EQUATION:  # its right side is no value of the answer
        yield BoardLine(sides=derived.sides)
        return
    assert reference.dimension is not None
    unit = reference.unit if reference.unit != unit_symbol(reference.dimension) else ""
    yield BoardLine(sides=derived.sides, value=answer, dimension=reference.dimension, start=reference.start, unit=unit)


def _labelled(item: Item, line: BoardLine) -> str:
    return f"{item.id}, {line.label}" if line.label else item.id


def _fitting(way: Callable[[Question], Derivation | None], question: Question, answer: Waveform) -> Derivation | None:
    """The derivation, where it gives the reference answer."""
    try:
        found = way(question)
    except NotDefined:
        return None
    if found is None or found.value == answer:
        return found
    value = found.value
    if isinstance(value, Waveform):
        value = value.value() if value.is_constant else math.nan
    same = answer.is_constant and math.isclose(value, answer.value(), rel_tol=1e-6, abs_tol=1e-15)
    return found if same else None
