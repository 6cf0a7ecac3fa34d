"""Answers in the s-domain: transforms, transfer functions with their poles and zeros, and the impulse response behind them."""

from collections.abc import Iterator, Mapping
from functools import partial

from msgspec.structs import replace

from grader.circuit.characteristic import characteristic
from grader.circuit.elements import Signal, Source
from grader.circuit.laplace import transfer_function
from grader.circuit.transformed import signal_transform
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.composed import from_values
from grader.quantities.equations import listed
from grader.quantities.finding import Find
from grader.quantities.question import Question
from grader.quantities.records import EXPRESSION, ROOTS, TRANSFORM, Asked
from grader.quantities.rules import Answer, Roots, Rule, Step, by_formula, from_first
from grader.quantities.s_domain import (
    FUNCTION,
    IMPULSE_RESPONSE,
    InSDomain,
    from_law_in_s,
    from_own_expression,
    from_own_system,
    in_s,
    inverted,
    source_faults,
    transformed,
    with_impulse,
)
from grader.quantities.words import after_switching, phrase, signal_dimension
from grader.values.dimension import RATE, TIME, Dimension
from grader.values.laplace import DELTA, IMPULSE, VARIABLE, S, fraction
from grader.values.scalar import ONE, ZERO
from grader.values.waveform import Waveform, constant


class Transform(InSDomain):
    """The Laplace transform of a signal (t counted from 0-), what the storage elements hold at 0- included."""

    name = TRANSFORM

    def reference(self, question: Question) -> Waveform:
        return signal_transform(question.solved, question.signal)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression, transformed; the element's law; the own impulse response or transfer function."""
        yield from from_own_expression(question)
        yield from from_law_in_s(question)
        yield from from_own_system(question, in_s)


class TransferFunction(InSDomain):
    """The transfer function from a source (``of``) to a signal: other sources at zero, nothing held."""

    name = FUNCTION
    faults = staticmethod(source_faults)

    def reference(self, question: Question) -> Waveform:
        return transfer_function(question.circuit, question.index, question.item.of[0], question.signal)

    def rules(self, question: Question) -> Iterator[Rule]:
        says = "This follows from your own impulse response, transformed."
        yield from from_first(_same_source(question, IMPULSE_RESPONSE), "L{x}", says, step=transformed)
        yield from _of_first_order(question, in_s)


class ImpulseResponse(Asked):
    """The impulse response from a source (``of``) to a signal, as an expression in t that may hold δ(t): nothing held before."""

    name = IMPULSE_RESPONSE
    answers = EXPRESSION
    letters = ((IMPULSE, None, constant(DELTA)),)
    unit_free = True
    faults = staticmethod(source_faults)

    def dimension(self, problem: Problem, item: Item) -> Dimension | None:
        """That of the signal for each volt second or ampere second of the source."""
        source = None if problem.circuit is None else problem.circuit.element(item.of[0])
        return signal_dimension(item).over(getattr(source, "dimension", TIME).times(TIME))

    def reference(self, question: Question) -> Waveform:
        of = question.item.of[0]
        return with_impulse(transfer_function(question.circuit, question.index, of, question.signal).number)

    def rules(self, question: Question) -> Iterator[Rule]:
        says = "This follows from your own transfer function, inverted."
        yield from from_first(_same_source(question, FUNCTION), "x", says, step=inverted)
        yield from _of_first_order(question, inverted)


class Poles(Asked):
    """The poles of the transfer function from a source (``of``) to a signal; without ``of``, of the signal's transform."""

    name = Find.POLES
    answers = ROOTS
    measures = RATE

    def reference(self, question: Question) -> Roots:
        return roots_of({"x": question.answer_to(replace(question.item, find=_whole(question.item)))}, side=self.name)

    def rules(self, question: Question) -> Iterator[Rule]:
        whole = _whole(question.item)
        step = partial(roots_of, side=self.name)
        yield from from_first(_same_source(question, whole), "x", f"This follows from your own {whole}.", step=step)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """With ``of``, one independent source."""
        if item.after is not None and not item.of:
            return (
                "'after' means nothing for a transform, which counts from t = 0; name the source with 'of', or leave it out",
            )
        return source_faults(problem, item) if item.of else ()

    def text(self, problem: Problem, item: Item) -> str:
        signal = phrase(item.signal)
        of = f"transfer function from {item.of[0]} to the {signal}" if item.of else f"Laplace transform of the {signal}"
        return f"{self.name.capitalize()} of the {of}, all of them{after_switching(problem, item) if item.of else ''}"


class Zeros(Poles):
    """The zeros of the transfer function from a source (``of``) to a signal; without ``of``, of the signal's transform."""

    name = "zeros"


def _same_source(question: Question, find: str) -> Iterator[Item]:
    """The earlier items about the same signal and the same source."""
    return (item for item in question.same_here(find) if item.of == question.item.of)


FIRST_ORDER_SYSTEM = "h+(xf/u-h)/(1+s*tau)"


def _of_first_order(question: Question, step: Step) -> Iterator[Rule]:
    """What ``step`` makes of a system of first order, by the own time constant and final value.

    Where other sources act as well, or the source varies, the gain at dc stays the solver's; so does that at high frequencies.
    """
    name = question.item.of[0]
    top, bottom = fraction(transfer_function(question.circuit, question.index, name, question.signal).number)
    source = question.circuit.element(name)
    if len(bottom) != 2 or len(top) > 2 or not top or not isinstance(source, Source):
        return
    drive = question.solved.waveform(Signal(kind=source.delivers, of=name), question.index)
    high = constant(top[1] if len(top) == 2 else ZERO)
    given = {VARIABLE: constant(S), "h": high, "xf": constant(top[0] / bottom[0]), "u": constant(ONE)}
    worked_out = partial(_worked_out, step=step)
    for needs, more, says in (
        (
            {"tau": Find.TAU, "xf": Find.FINAL},
            {"u": drive},
            "This follows from your own time constant and final value.",
        ),
        ({"tau": Find.TAU}, {}, "This follows from your own time constant."),
    ):
        fixed = {key: value for key, value in (given | more).items() if key not in needs}
        yield from from_values(question, FIRST_ORDER_SYSTEM, says, needs=needs, given=fixed, step=worked_out)


def _worked_out(named: Mapping[str, Answer], *, step: Step) -> Answer:
    """What ``step`` makes of the system."""
    return step({"x": by_formula(FIRST_ORDER_SYSTEM, named)})


def _whole(item: Item) -> str:
    """The find whose answer has these poles and zeros."""
    return FUNCTION if item.of else TRANSFORM


def roots_of(named: Mapping[str, Answer], *, side: str) -> Roots:
    """The zeros or the poles of the function of s ``x``."""
    x = named["x"]
    if not isinstance(x, Waveform) or not x.is_number:
        raise NotDefined("a quotient of polynomials in s is needed")
    found = fraction(x.number)
    polynomial = found.bottom if side == Poles.name else found.top
    if len(polynomial) < 2:
        raise NotDefined(f"it has no finite {side}")
    return listed(characteristic(tuple(value / polynomial[-1] for value in polynomial)).roots)
