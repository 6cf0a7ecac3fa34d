"""Times, values and slopes, read off the expression; where it is a single exponential, by its logarithm."""

from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Capacitor, Inductor, Signal, Storage
from grader.quantities.crossing import first_crossing
from grader.quantities.finds.times import other_of
from grader.quantities.quantities import share_of
from grader.quantities.question import Question
from grader.reports.item_lines.derivation import TAU, Derivation, by_trial, decay, just_after, put_in
from grader.solution import BoardLine
from grader.solution.formula import Formula, amount, function, name, number, whole
from grader.solution.words import value_line
from grader.values.dimension import CAPACITANCE, INDUCTANCE, NUMBER, TIME
from grader.values.functions import log
from grader.values.scalar import ONE, to_float
from grader.values.waveform import Waveform, constant, number_of


class Logarithm(NamedTuple):
    """How many time constants something takes: a logarithm in letters, with its figures, and its value."""

    letters: Formula
    figures: Formula
    value: Waveform


def logarithm(question: Question) -> Logarithm | None:
    """How many time constants the item takes; None where the response is no single exponential, or never gets there."""
    settings = dict(question.item.settings)
    if question.item.find == "half life":
        return _log(whole(2), constant(fmpq(2)))
    found = decay(question, question.signal)
    if found is None or found.first == found.final:
        return None
    if question.item.find == "settling time":
        band = share_of(settings["band"])
        return _log(whole(1) / number(band), constant(1 / band))
    if question.item.find == "rise time":
        low, high = _rising(question)
        return _log((whole(1) - number(low)) / (whole(1) - number(high)), constant((1 - low) / (1 - high)))
    level, stem = _level(question, found.first), question.signal.symbol
    ratio = (found.first - found.final) / (level - found.final) if level != found.final else Waveform()
    target, first, final = (amount(x, question.signal.dimension) for x in (level, found.first, found.final))
    begins, ends = name(f"{stem}({just_after(question)})"), name(f"{stem}(∞)")
    figures = (first - final) / (target - final)
    known = ratio.is_constant and not ratio.is_symbolic and ratio.value() > 0
    return _log((begins - ends) / (target - ends), ratio, figures) if known else None


def _log(law: Formula, ratio: Waveform, figures: Formula | None = None) -> Logarithm:
    shown = function("ln", amount(ratio, NUMBER) if figures is None else figures)
    return Logarithm(function("ln", law), shown, log(ratio))


def in_time_constants(question: Question, letter: str) -> Derivation | None:
    """The time constant times that logarithm, counted from the switching."""
    found = logarithm(question)
    if found is None:
        return None
    if question.item.find == "half life":
        tau = question.solved.characteristic(question.index).time_constant
    else:
        one = decay(question, question.signal)
        tau = None if one is None else one.tau
    if tau is None:
        return None
    law, figures, value = TAU * found.letters, amount(tau, TIME) * found.figures, found.value.scaled(tau)
    if question.item.find == "time to reach" and question.start:
        law, figures = (amount(question.start, TIME) + side for side in (law, figures))
        value = value + constant(question.start)
    return Derivation((name(letter), law, figures), value)


def time_to_reach(question: Question) -> Derivation | None:
    """``τ·ln((x(0+) − x(∞))/(x − x(∞)))``; elsewhere by trial."""
    if found := in_time_constants(question, "t"):
        return found
    answer = question.answer_to(question.item)
    level = _level(question, question.solved.just_after(question.signal, question.index))
    return Derivation((name("t"),), answer, (by_trial(question, number_of(answer), level),))


def time_when_equal(question: Question) -> Derivation | None:
    """``τ·ln(1 − d(0+)/d(∞))`` of the difference of two single exponentials of one time constant; elsewhere by trial."""
    answer = question.answer_to(question.item)
    other = replace(question, item=replace(question.item, signal=other_of(question.item)))
    both = [decay(one, one.signal) for one in (question, other)]
    mine, theirs = both
    if mine is not None and theirs is not None and mine.tau == theirs.tau and mine.final != theirs.final:
        start, final = mine.first - theirs.first, mine.final - theirs.final
        begins, ends = (
            name(f"({question.signal.symbol} − {other.signal.symbol})({when})") for when in (just_after(question), "∞")
        )
        shown = (amount(one, question.signal.dimension) for one in (start, final))
        first, last = shown
        law = TAU * function("ln", (ends - begins) / ends)
        figures = amount(mine.tau, TIME) * function("ln", (last - first) / last)
        value = log((final - start) / final).scaled(mine.tau)
        if question.start:
            law, figures = (amount(question.start, TIME) + side for side in (law, figures))
            value = value + constant(question.start)
        return Derivation((name("t"), law, figures), value)
    time = number_of(answer)
    level = question.waveform.at(time)
    return Derivation((name("t"),), answer, tuple(by_trial(one, time, level) for one in (question, other)))


def _level(question: Question, first: Waveform) -> Waveform:
    item = question.item
    if item.level is not None:
        return constant(item.level)
    assert item.level_share is not None
    final: Waveform = question.solved.final(question.signal, question.index)
    return first + (final - first).scaled(item.level_share)


def settling_time(question: Question) -> Derivation | None:
    """``τ·ln(1/band)``; elsewhere the edge of the band at which the response comes in for good, by trial."""
    if found := in_time_constants(question, "t_s"):
        return found
    band, answer = share_of(dict(question.item.settings)["band"]), question.answer_to(question.item)
    entered = number_of(answer) + question.start
    edge, stem = question.waveform.at(entered), question.signal.symbol
    final = question.solved.final(question.signal, question.index)
    change = final - question.solved.just_after(question.signal, question.index)
    beyond = (edge - final).value() * change.value() > 0
    begins, ends = name(f"{stem}({just_after(question)})"), name(f"{stem}(∞)")
    dimension = question.signal.dimension
    law, figures = (
        one + number(band) * rest if beyond else one - number(band) * rest
        for one, rest in ((ends, ends - begins), (amount(final, dimension), amount(change, dimension)))
    )
    crossed = value_line(law, figures, value=edge, dimension=dimension, label="edge of the band crossed last")
    return Derivation((name("t_s"),), answer, (crossed, by_trial(question, entered, edge)))


def rise_time(question: Question) -> Derivation | None:
    """``τ·ln((1 − low)/(1 − high))``; elsewhere both instants by trial, and their difference."""
    if found := in_time_constants(question, "t_r"):
        return found
    first = number_of(question.solved.just_after(question.signal, question.index))
    change = number_of(question.solved.final(question.signal, question.index)) - first
    levels = [first + share * change for share in _rising(question)]
    early, late = (
        number_of(first_crossing(question.waveform, level, question.start, question.end)) for level in levels
    )
    trials = tuple(by_trial(question, time, constant(level)) for time, level in zip((early, late), levels, strict=True))
    figures = amount(late, TIME) - amount(early, TIME)
    return Derivation((name("t_r"), name("t2") - name("t1"), figures), to_float(late - early), trials)


def _rising(question: Question) -> tuple[fmpq, fmpq]:
    settings = dict(question.item.settings)
    return share_of(settings.get("low", "10 %")), share_of(settings.get("high", "90 %"))


def at_instant(question: Question, *, order: int) -> Derivation | None:
    """The instant, the opening one where none is given, put into the expression or its derivative of some order."""
    at = question.item.at
    index = question.index_asked
    time = question.start if at is None else at
    if question.solved.intervals[index].start is None or question.solved.waveform(question.signal, index).is_constant:
        return None
    if order == 0 and _ends_alike(question, index, time):
        index -= 1  # there e^0 would only say again what it starts from
    line = put_in(question, time, index, order=order)
    before = tuple(derivative_line(question, index, each) for each in range(1, order + 1))
    return Derivation(line.sides, line.value or Waveform(), before)


def _ends_alike(question: Question, index: int, time: fmpq) -> bool:
    """Whether an interval opens at that instant with the value that a varying expression before it comes to."""
    intervals, solved = question.solved.intervals, question.solved
    if intervals[index].start != time or index == 0 or intervals[index - 1].start is None:
        return False
    before = solved.waveform(question.signal, index - 1)
    return not before.is_constant and before.at(time) == solved.waveform(question.signal, index).at(time)


def derivative_line(question: Question, index: int, order: int = 1) -> BoardLine:
    """The derivative of the signal asked, as an expression in t."""
    signal, square = question.signal, "²" if order == 2 else ""
    whole_response, dimension = question.solved.waveform(signal, index), signal.dimension
    for _ in range(order):
        whole_response, dimension = whole_response.derivative(), dimension.over(TIME)
    left = name(f"d{square}{signal.symbol}/dt{square}")
    return BoardLine(
        sides=(left,), value=whole_response, dimension=dimension, start=question.solved.intervals[index].start
    )


def initial_slope(question: Question) -> Derivation | None:
    """``i_C/C`` or ``v_L/L`` of a state; the change over τ of another signal; elsewhere the derivative at the start."""
    index, stem, at = question.index, question.signal.symbol, just_after(question)
    left = name(f"d{stem}/dt({at})")
    element = question.circuit.element(question.signal.of) if isinstance(question.signal.of, str) else None
    plates = isinstance(element, Capacitor) and question.signal.kind == "voltage"
    if plates or (isinstance(element, Inductor) and question.signal.kind == "current"):
        assert isinstance(element, Storage)
        driving = Signal(kind="current" if plates else "voltage", of=element.name)
        drive: Waveform = question.solved.just_after(driving, index)
        size = amount(element.value, CAPACITANCE if plates else INDUCTANCE)
        named = name(f"{driving.symbol}({at})") / name(element.name)
        figures = amount(drive, driving.dimension) / size
        return Derivation((left, named, figures), drive.scaled(ONE / element.value))
    found = decay(question, question.signal)
    if found is None:
        return at_instant(question, order=1)
    first, final = (amount(value, question.signal.dimension) for value in (found.first, found.final))
    named = (name(f"{stem}(∞)") - name(f"{stem}({at})")) / TAU
    figures = (final - first) / amount(found.tau, TIME)
    return Derivation((left, named, figures), (found.final - found.first).scaled(ONE / found.tau))
