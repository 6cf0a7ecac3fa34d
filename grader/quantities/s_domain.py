"""What the entries in the s-domain share: an answer that is a quotient of polynomials in s, and how such answers follow."""

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from flint import fmpq

from grader.circuit.elements import Passive, Resistor, Signal, Source, other_signal
from grader.circuit.laplace import inverse
from grader.circuit.transformed import held_before, source_transform
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.finding import Find
from grader.quantities.links import is_signal, multiple_of
from grader.quantities.question import Question
from grader.quantities.records import TRANSFORM, Asked
from grader.quantities.rules import Answer, Rule, Step, from_first
from grader.quantities.steps import settled
from grader.values.dimension import RATE
from grader.values.laplace import DELTA, VARIABLE, S, delayed_parts, transform, transform_text
from grader.values.scalar import ZERO, Scalar, is_symbolic
from grader.values.waveform import Piecewise, Waveform, constant

FUNCTION, IMPULSE_RESPONSE = "transfer function", "impulse response"


class InSDomain(Asked):
    """An entry whose answer is a function of s."""

    answers = TRANSFORM
    letters = ((VARIABLE, RATE, constant(S)),)

    def written(self, item: Item, answer: Any) -> str:
        """Numerator over denominator, in decimals where there are no letters."""
        return transform_text(answer)


def transformed(named: Mapping[str, Answer]) -> Waveform:
    """The transform of the expression ``x``."""
    x = named["x"]
    if not isinstance(x, Waveform):
        raise NotDefined("an expression is needed")
    return transform(x)


def inverted(named: Mapping[str, Answer], *, start: fmpq | None = ZERO) -> Waveform | Piecewise:
    """The expression from ``start`` on whose transform ``x`` is; of all intervals where ``start`` is None."""
    x = named["x"]
    if not isinstance(x, Waveform):
        raise NotDefined("a transform is needed")
    pieces, total = [], Waveform()
    for delay, found in delayed_parts(x):
        if is_symbolic(delay):
            raise NotDefined("it must be a number of seconds after which something begins")
        total = total + with_impulse(found.value).delayed(delay)
        pieces.append((delay, total))
    if start is None:
        return Piecewise(tuple(pieces))
    return next((piece for opened, piece in reversed(pieces) if opened <= start), Waveform())


def convolved(named: Mapping[str, Answer], *, step: Step) -> Answer:
    """What ``step`` makes of the source's transform ``u`` times the system: ``h`` in t, or in s its transform ``H``."""
    system, u = named.get("H") or transformed({"x": named["h"]}), named["u"]
    assert isinstance(u, Waveform)
    if not isinstance(system, Waveform):
        raise NotDefined("a transfer function or an impulse response is needed")
    return step({"x": system * u})


def ended(named: Mapping[str, Answer]) -> Waveform:
    """What the signal whose transform ``x`` is tends to."""
    return settled({"x": inverted(named)})


def in_s(named: Mapping[str, Answer]) -> Answer:
    """``x`` as it is."""
    return named["x"]


def with_impulse(value: Scalar) -> Waveform:
    """The waveform for t > 0 whose transform a function of s is, with ``δ`` for an impulse at t = 0."""
    impulses, found = inverse(value)
    if len(impulses) > 1:
        raise NotDefined("it holds a derivative of the unit impulse")
    return found + constant(DELTA * impulses[0]) if impulses else found


def source_faults(problem: Problem, item: Item) -> tuple[str, ...]:
    """One independent source."""
    if problem.circuit is None:
        return ()
    sources = [element.name for element in problem.circuit.elements if isinstance(element, Source)]
    if len(item.of) == 1 and item.of[0] in sources:
        return ()
    return ("'of' must name the one independent source that the signal is divided by",)


def from_own_expression(question: Question) -> Iterator[Rule]:
    """The transform of an expression asked before."""
    items = (
        one for one in question.earlier(Find.EXPRESSION) if question.about(one) == 1 and question.index_of(one) == 1
    )
    yield from from_first(items, "L{x}", "This follows from your own expression, transformed.", step=transformed)


def from_own_transform(question: Question, start: fmpq | None) -> Iterator[Rule]:
    """An expression from ``start`` on (None: on all intervals) from the transform asked before."""
    items = (one for one in question.earlier(TRANSFORM) if question.about(one) == 1)
    says = "This follows from your own transform, inverted."
    yield from from_first(items, "x", says, step=partial(inverted, start=start))


def from_own_system(question: Question, step: Step) -> Iterator[Rule]:
    """The response of a circuit at rest: the own impulse response convolved with the source, a product in s."""
    sources = [element for element in question.circuit.elements if isinstance(element, Source)]
    for item in question.earlier(FUNCTION, IMPULSE_RESPONSE):
        if question.about(item) == 1 and item.of == tuple(source.name for source in sources):
            yield Rule(
                formula="H*u",
                uses=(("H" if item.find == FUNCTION else "h", item.id),),
                given=(("u", source_transform(sources[0])),),
                says=f"This follows from your own {item.find}, convolved with what the source delivers.",
                step=partial(convolved, step=step),
            )


def from_law_in_s(question: Question) -> Iterator[Rule]:
    """A transform from that of the other quantity of its element, or of one whose current or voltage is in proportion.

    The laws are R, sL and 1/(sC), with what is held at 0- as a source.
    """
    for element in question.circuit.elements:
        share = (
            multiple_of(question, Signal(kind=question.signal.kind, of=element.name))
            if isinstance(element, Passive)
            else None
        )
        if share is None or not isinstance(element, Passive):
            continue
        for formula, kind in _laws(element, question.signal.kind):
            other = Signal(kind=kind, of=element.name)
            for item in question.earlier(TRANSFORM):
                if is_signal(question.circuit, item, other):
                    held = constant(held_before(question.solved).get(element.name, ZERO))
                    yield Rule(
                        formula=f"m*({formula})",
                        uses=(("x", item.id),),
                        given=(
                            ("m", constant(share)),
                            ("k", constant(element.value)),
                            (VARIABLE, constant(S)),
                            ("x0", held),
                        ),
                        says=f"This follows from your own transform of the {kind} of {element.name} by its law.",
                    )
                    return


def _laws(element: Passive, asked: str) -> Iterator[tuple[str, str]]:
    """What follows from what: a formula in ``x``, the value ``k`` and what is held ``x0``, and the kind of x."""
    if isinstance(element, Resistor):
        yield from {"voltage": (("k*x", "current"),), "current": (("x/k", "voltage"),)}.get(asked, ())
    elif asked == other_signal(element).kind:
        yield "k*(s*x-x0)", element.stores
    elif asked == element.stores:
        yield "x/(s*k)+x0/s", other_signal(element).kind
