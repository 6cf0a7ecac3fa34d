"""From an answer as written to what it may say: the one place where marking meets reading."""

from collections.abc import Iterator, Mapping
from itertools import chain, filterfalse

from flint import fmpq
from msgspec.structs import replace

from grader.errors import NotDefined
from grader.marking import own_clock
from grader.marking.another_kind import is_in_s
from grader.marking.bound import without_bound
from grader.marking.follow import CarriedForward
from grader.marking.interpretation import THOUSANDS, Interpretation, Unreadable
from grader.marking.itemkey import ItemKey
from grader.marking.own_names import in_place_of, left_open, values_of_names
from grader.marking.roots import polynomial_of
from grader.marking.unit_meant import dimension_meant, ends_in
from grader.quantities import Answer
from grader.quantities.records import CHOICE, EQUATION, EXPRESSION, RESPONSE, VALUE, read_as
from grader.reading.algebra import waveform_by_algebra
from grader.reading.elsewhere import elsewhere
from grader.reading.line.pieces import Told, in_ranges, tells_several
from grader.reading.line.where import Clock
from grader.reading.option_formulas import chosen_by_worth
from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal
from grader.reading.tokens import Question, question_of
from grader.reading.tokens.units import PREFIX_CASE, look_up
from grader.reading.tree import Choice, Infinity, Negative, Node
from grader.reading.value.evaluate import EvaluationError, NotFinite, Quantity, evaluate
from grader.reading.value.roots import evaluate_roots
from grader.uploads.upload import Written
from grader.values.comparison import compare
from grader.values.scalar import ZERO, rational, to_float
from grader.values.text import quoted
from grader.values.waveform import NotAWaveform, Piecewise, Waveform

TOLD = "The unit was read as that of the result, the numbers as being in volts, amperes, ohms and seconds."


def understand(
    item: ItemKey, written: Written, carried: Mapping[str, CarriedForward]
) -> Iterator[Interpretation] | Unreadable | None:
    """Read and work out one answer.

    Returns
    -------
    iterator of Interpretation
        Readings, most plausible first, each worked out when it is asked for; never empty.
    Unreadable
        Where nothing could be made of the answer.
    None
        Where nothing was answered.
    """
    if item.reference.find in own_clock.INSTANTS and (said := own_clock.never_with_reason(written.text)):
        return Unreadable(sentence=said)
    if item.reference.find in own_clock.INSTANTS and own_clock.says_no_instant(written.text):
        return Unreadable(sentence="The answer says that there is none; what is asked has a finite value.", wrong=True)
    found = _attempts(item, written, carried)
    unread: Unreadable | None = None
    for attempt in found:
        if isinstance(attempt, Interpretation) and not (unread and attempt.reading.rival):
            return chain((attempt,), (later for later in found if isinstance(later, Interpretation)))
        unread = unread or (attempt if isinstance(attempt, Unreadable) else None)
    return unread


def _attempts(
    item: ItemKey, written: Written, carried: Mapping[str, CarriedForward]
) -> Iterator[Interpretation | Unreadable]:
    """Every reading of an answer, worked out or with what stands in its way."""
    rank = 0
    for text in (written.text, *written.alternatives):
        readings, pieces, left_out = _readings(item, written.unit, text)
        if isinstance(readings, Refusal):
            if not readings.is_blank:
                yield Unreadable(sentence=readings.sentence)
            continue
        for reading in filterfalse(_makes_up, readings):
            own = _interpreted(item, written, _with_pieces(reading, pieces, left_out=left_out), carried, pieces)
            if isinstance(own, Unreadable):
                yield own
                continue
            own = _over_its_intervals(item, own, pieces, rank, carried)
            for one in _on_either_clock(item, own, text):
                yield one
                rank += 1
            if own.told is not None:
                yield replace(own, answer=own.told, rank=rank, notes=(*own.notes, TOLD), contested=True)
                rank += 1


def _readings(item: ItemKey, unit: str, text: str) -> tuple[tuple[Reading, ...] | Refusal, Told | None, bool]:
    """The readings of a text: by pieces with what these tell, or else as a whole and whether it leaves some of several out."""
    pieces = _told_by_pieces(item, text)
    if pieces and not isinstance(readings := _read_for(item, unit, pieces.text), Refusal):
        return readings, pieces, False
    named = {id: name for name, id in reversed(item.carries)}
    readings = _read_for(item, unit, named.get(text.strip(), without_bound(item.reference.requirement, text)))
    return readings, None, bool(item.intervals) and tells_several(text, _asked(item))


def _read_for(item: ItemKey, unit: str, text: str) -> tuple[Reading, ...] | Refusal:
    """A text read as what an item asks; an option may be chosen by its worth."""
    reference = item.reference
    chosen = chosen_by_worth(text, unit, item.options, item.names) if reference.kind == CHOICE else None
    if chosen is not None:
        return chosen if isinstance(chosen, Refusal) else (chosen,)
    return read(
        text,
        unit=unit,
        expects=read_as(reference.kind),
        dimension=reference.dimension,
        names=item.names,
        options=item.options,
        called=reference.called,
    )


def _over_its_intervals(
    item: ItemKey, own: Interpretation, pieces: Told | None, rank: int, carried: Mapping[str, CarriedForward]
) -> Interpretation:
    """An interpretation by its rank with what it says on each interval, marked where a person has to say what was meant."""
    reading = own.reading
    told = {"told_twice": pieces.twice, "before": pieces.before} if pieces else {}
    own = replace(own, rank=rank, intervals=tuple(_on_intervals(item, own, rank, carried)), **told)
    if pieces and pieces.text.count(" for ") >= len(own.intervals) and any(one.silent for one in own.intervals):
        own = replace(own, reading=reading._replace(dropped=True))  # one may hold elsewhere than it was read
    if not THOUSANDS.isdisjoint(reading.slips) and own.unit_scale < 1:  # 1.152 mJ for 1152 mJ: a person says so
        own = replace(own, reading=reading._replace(rival=True))
    return own


def _with_pieces(reading: Reading, pieces: Told | None, *, left_out: bool) -> Reading:
    """A reading of a response, marked where pieces of it were left out or their places are doubtful."""
    if pieces is None and not left_out:
        return reading
    doubtful = pieces is not None and pieces.doubtful
    return reading._replace(dropped=reading.dropped or left_out, changed=reading.changed or doubtful)


def _interpreted(
    item: ItemKey, written: Written, reading: Reading, carried: Mapping[str, CarriedForward], pieces: Told | None
) -> Interpretation | Unreadable:
    """A reading worked out, with all that is to be said of it and of values beside its pieces."""
    worth = _worked_out(item, reading, reading.tree, carried)
    if isinstance(worth, Unreadable):
        return worth
    remark = _several(item, reading, worth.answer, carried)
    if remark and item.marking.several_answers == "none":
        return Unreadable(remark)
    open_names = left_open(item, reading.tree, carried)
    ids = quoted(dict.fromkeys(open_names.values())) if open_names else ""
    borrowed = f"You gave no answer to {ids}: this formula shows how to work it out." if ids else ""
    aside = pieces.aside if pieces else ()
    told = (f"'{value}' was left aside: it is no piece of the response." for value in aside)
    return replace(
        worth,
        notes=(*reading.notes, *told, *filter(None, (remark, borrowed, _letters_told(item, reading)))),
        stored=written.stored,
        own=_with_others(item, reading, open_names, carried) if open_names else None,
    )


def _letters_told(item: ItemKey, reading: Reading) -> str:
    """What the letter D stands for in an equation that is shown in it; "" of any other reading."""
    in_operators = item.reference.kind == EQUATION and not (reading.letter or reading.operator)
    return "D stands for d/dt, or for the s of your equation." if in_operators else ""


def said_elsewhere(item: ItemKey, written: Written, carried: Mapping[str, CarriedForward]) -> Iterator[Interpretation]:
    """What else an answer may say by itself, worked out: it makes a wrong answer wait, and the mark of a right one may be its own."""
    reference = item.reference
    if item.intervals:
        return
    for reading in elsewhere(
        written.text,
        expects=read_as(reference.kind),
        dimension=reference.dimension,
        names=item.names,
        called=reference.called,
    ):
        worth = _worked_out(item, reading, reading.tree, carried)
        if isinstance(worth, Interpretation) and not worth.silent and not left_open(item, reading.tree, carried):
            yield worth


def _on_either_clock(item: ItemKey, own: Interpretation, text: str) -> Iterator[Interpretation]:
    """An interpretation, and what it says if it counts from another instant: first where it certainly does."""
    since = own_clock.since_the_switching(item, own.reading, own.answer, text)
    if since is None:
        yield own
        perhaps = own_clock.perhaps_since_the_switching(item.reference, own.answer, text)
        if perhaps is not None:
            yield replace(own, answer=perhaps, rank=own.rank + 1, reading=own.reading._replace(rival=True))
        return
    elsewhere = item.reference.kind == VALUE and own_clock.is_elsewhere(text, own.reading.label, item.reference)
    said = f"{own_clock.COUNTED} {'another instant' if elsewhere else 'the switching'}, as you say."
    notes = (*(note for note in own.notes if not own_clock.ORIGIN.search(note)), said)  # the words were not ignored
    first, then = own.rank, own.rank + 1
    shifted = Interpretation(own.reading, since, own.dimension, first if elsewhere else then, notes, own.stored)
    if elsewhere:
        yield shifted
        yield replace(own, rank=then, reading=own.reading._replace(rival=True))
    else:
        yield own
        yield shifted


def _told_by_pieces(item: ItemKey, text: str) -> Told | None:
    """A response whose pieces are told one after the other, with the range of t of each, and values beside them."""
    starts = [to_float(interval.reference.start or ZERO) for interval in item.intervals]
    closed = [dict(interval.reference.closed) for interval in item.intervals]
    return in_ranges(text, Clock(starts, closed), _asked(item)) if starts else None


def _asked(item: ItemKey) -> Question:
    """What an expression is read for."""
    reference = item.reference
    return question_of("expression", reference.dimension, tuple(item.names.items()), reference.called)


def _makes_up(reading: Reading) -> bool:
    return PREFIX_CASE in reading.slips and not THOUSANDS.isdisjoint(reading.slips)


def _with_others(
    item: ItemKey, reading: Reading, names: Mapping[str, str], carried: Mapping[str, CarriedForward]
) -> Answer | None:
    """What an answer says with values that are right nowhere in place of some names'."""
    others = {
        id: replace(carried[id], answer=in_place_of(carried[id].answer, number))
        for number, id in enumerate(dict.fromkeys(names.values()))
    }
    worth = _worked_out(item, reading, reading.tree, {**carried, **others})
    return None if isinstance(worth, Unreadable) else worth.answer


def _on_intervals(
    item: ItemKey, whole: Interpretation, rank: int, carried: Mapping[str, CarriedForward]
) -> Iterator[Interpretation]:
    """What a response says on each interval; of any other answer there is nothing more to say."""
    for interval, one in zip(item.intervals, whole.intervals, strict=True):
        open_names = left_open(interval, one.reading.tree, carried)
        own = _with_others(interval, one.reading, open_names, carried) if open_names else None
        yield replace(one, rank=rank, own=own)


def _worked_out(
    item: ItemKey, reading: Reading, tree: Node, carried: Mapping[str, CarriedForward]
) -> Interpretation | Unreadable:
    """Evaluate a tree of a reading, names standing for the student's own earlier answers."""
    if isinstance(tree, Choice):
        return Interpretation(reading, tree.option, None)
    if item.reference.kind in (EXPRESSION, RESPONSE) and is_in_s(tree):
        return _cannot(reading, "this is a function of s; a function of t is asked")
    if item.intervals:
        return _over_all(item, reading, tree, carried)
    names = values_of_names(item, carried)
    try:
        if item.reference.kind == "roots":
            roots = evaluate_roots(tree, names)
            return Interpretation(reading, roots.roots, roots.dimension)
        quantity = evaluate(tree, names, item.reference.start or ZERO)
        if item.reference.kind == EQUATION:
            return Interpretation(reading, polynomial_of(item.reference.find, tree, quantity.waveform), None)
    except NotFinite:
        said = "The answer says infinity; what is asked has a finite value."
        return Unreadable(said, reading.text, reading.mathml, wrong=_is_infinite(tree))
    except (EvaluationError, NotDefined) as error:
        return _cannot(reading, str(error))
    except NotAWaveform as error:
        found = waveform_by_algebra(tree, names)
        if found is None:
            return _cannot(reading, str(error))
        meanings = look_up(reading.unit) if reading.unit is not None else ()
        return Interpretation(reading, found, meanings[0].dimension if meanings else None)
    except ZeroDivisionError:
        return _cannot(reading, "the answer divides by zero")
    return _on_the_interval(item, reading, tree, names, quantity)


def _on_the_interval(
    item: ItemKey, reading: Reading, tree: Node, names: Mapping[str, Waveform], quantity: Quantity
) -> Interpretation:
    """What a quantity says on the interval asked, in the dimension that it is meant in."""
    first, *later = _over_the_interval(item, quantity)
    dimension = dimension_meant(item, reading, tree, quantity)
    silent, end = quantity.silent and first is quantity.waveform, item.reference.end
    of_what_follows = silent and end is not None and not evaluate(tree, names, end).silent
    return Interpretation(
        reading,
        first,
        dimension,
        later=tuple(later),
        silent=silent,
        contested=of_what_follows or quantity.odd,
        consistent=quantity.consistent or item.reference.kind != VALUE,
        told=quantity.told if ends_in(reading, item.reference.dimension) else None,
    )


def _is_infinite(tree: Node) -> bool:
    """Whether it says infinity, with a sign perhaps, and nothing else."""
    return isinstance(tree.operand if isinstance(tree, Negative) else tree, Infinity)


def _over_all(
    item: ItemKey, reading: Reading, tree: Node, carried: Mapping[str, CarriedForward]
) -> Interpretation | Unreadable:
    """A response from its expressions on all intervals."""
    worths: list[Interpretation] = []
    pieces: list[tuple[fmpq, Waveform]] = []
    for interval in item.intervals:
        worth = _worked_out(interval, reading, tree, carried)
        if isinstance(worth, Unreadable):
            return worth
        assert isinstance(worth.answer, Waveform)
        worths.append(worth)
        pieces.append((interval.reference.start or ZERO, worth.answer))
    dimension = next((worth.dimension for worth in worths if worth.dimension is not None), None)
    return Interpretation(reading, Piecewise(tuple(pieces)), dimension, intervals=tuple(worths))


def _over_the_interval(item: ItemKey, quantity: Quantity) -> list[Waveform]:
    """What an answer says on the interval asked, one waveform after the other; its ends may be as inexact as a value."""
    if not quantity.later:
        return [quantity.waveform]
    start, end = item.reference.start or ZERO, item.reference.end
    slack = rational(str(item.marking.tolerance))
    said = [quantity.waveform]
    for instant, waveform in quantity.later:
        if instant <= start * (1 + slack):
            said = [waveform]
        elif end is None or instant < end * (1 - slack):
            said.append(waveform)
    return said


def _several(item: ItemKey, reading: Reading, first: Answer, carried: Mapping[str, CarriedForward]) -> str:
    """What is to be said where a cell holds further answers that differ from the first; "" where none does."""
    for label, tree in reading.others:
        if label and label != reading.label:
            continue  # another quantity, named as such beside the answer: "4 Ω (tau = 10 ms)"
        other = _worked_out(item, reading, tree, carried)
        if isinstance(other, Unreadable) or _differs(first, other.answer, item.marking.tolerance):
            if item.marking.several_answers == "none":
                return "There are several different answers here, and no more than one may be given."
            return "There are several different answers here; the first one counts."
    return ""


def _differs(one: Answer, other: Answer, tolerance: float) -> bool:
    if not isinstance(one, Waveform) or not isinstance(other, Waveform):
        return one != other
    if one == other:
        return False
    if one.is_symbolic or other.is_symbolic:
        return True
    return not compare(other, one, tolerance).equal


def _cannot(reading: Reading, why: str) -> Unreadable:
    """A reading that comes to nothing."""
    return Unreadable(f"{why[0].upper()}{why[1:].rstrip('.')}.", reading.text, reading.mathml)
