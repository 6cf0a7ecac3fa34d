"""The parts of a response, each from the whole and the other."""

from grader.circuit.superposition import parts_by_shape
from grader.circuit.superposition import zero_input as from_initial_state
from grader.quantities.question import Question
from grader.reports.item_lines.derivation import TAU, Derivation, decay, just_after
from grader.solution.formula import T, amount, exponential, name
from grader.values.dimension import TIME
from grader.values.waveform import Waveform


def natural(question: Question) -> Derivation:
    """What the forced part leaves of the whole response."""
    stem, (found, _) = question.signal.symbol, _by_shape(question)
    return Derivation((name(f"{stem},n(t)"), name(f"{stem}(t)") - name(f"{stem},f(t)")), found)


def forced(question: Question) -> Derivation:
    """What is left when the natural part is gone; of constant sources the final value."""
    stem, (_, found) = question.signal.symbol, _by_shape(question)
    sides = (name(f"{stem},f(t)"), name(f"{stem}(∞)")) if found.is_constant else (name(f"{stem},f(t)"),)
    return Derivation(sides, found)


def _by_shape(question: Question) -> tuple[Waveform, Waveform]:
    return parts_by_shape(question.solved, question.signal, question.index)


def zero_input(question: Question) -> Derivation:
    """The sources off: a single exponential from what the initial state alone gives at the start."""
    stem = question.signal.symbol
    found = from_initial_state(question.solved, question.signal, question.index)
    left = name(f"{stem},zi(t)")
    if decay(question, question.signal) is None:
        return Derivation((left,), found)
    elapsed = T - amount(question.start, TIME) if question.start else T
    return Derivation((left, name(f"{stem},zi({just_after(question)})") * exponential(-(elapsed / TAU))), found)


def zero_state(question: Question) -> Derivation:
    """What the zero-input part leaves of the whole response."""
    stem = question.signal.symbol
    found = question.waveform - from_initial_state(question.solved, question.signal, question.index)
    return Derivation((name(f"{stem},zs(t)"), name(f"{stem}(t)") - name(f"{stem},zi(t)")), found)
