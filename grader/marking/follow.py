"""What follows from a student's own earlier answers, through the theory's dependencies.

A slip is charged where it is made: an item that depends on it is also compared with what the student's own
value leads to, several steps deep where an item in between was left blank.
"""

from collections.abc import Iterator, Mapping
from itertools import combinations

from flint import fmpq
from msgspec import Struct

from grader.errors import NotDefined
from grader.marking.own_clock import INSTANTS
from grader.quantities import Answer, Rule, follow
from grader.quantities.rules import SEVERAL_STEPS
from grader.rubric.references import Reference
from grader.values.dimension import ENERGY, RESISTANCE, TIME
from grader.values.scalar import ZERO, to_float
from grader.values.waveform import NotAWaveform, Waveform, constant, number_of


class CarriedForward(Struct, frozen=True, kw_only=True):
    """The answer an item passes on to later ones.

    ``source`` are the ids of the student's own wrong answers it rests on; empty where it is the right answer.
    ``near`` is the student's own value where it was accepted without being exactly the right one.
    ``missing`` tells that the student gave none; ``late``: by how much the own expression counts from another instant, seconds;
    ``absurd`` that no circuit has the own value, ``slip`` that it is right but for its sign or a power of ten.
    """

    answer: Answer
    right: Answer
    late: fmpq = ZERO
    absurd: bool = False
    source: tuple[str, ...] = ()
    near: Answer | None = None
    missing: bool = False
    slip: bool = False

    @property
    def exact(self) -> bool:
        """Whether it is the right answer, to the digit."""
        return not self.source and self.near is None

    @property
    def on_the_clock(self) -> Answer:
        """The own expression as the problem's clock would have it."""
        return self.answer.delayed(self.late) if self.late and isinstance(self.answer, Waveform) else self.answer

    @property
    def flat(self) -> bool:
        """Whether nothing is left to work out from it: an expression that does not vary, where the right one does."""
        return (
            isinstance(self.answer, Waveform)
            and isinstance(self.right, Waveform)
            and self.answer.is_constant
            and not self.right.is_constant
        )


class FollowThroughAnswer(Struct, frozen=True, kw_only=True):
    """What a rule gives with the student's own values.

    ``absurd``: no circuit has such a value; ``easier``: the slip leaves nothing to work out; ``near``: what it rests
    on was accepted.
    """

    answer: Answer
    source: tuple[str, ...]
    says: str
    absurd: bool = False
    easier: bool = False
    near: bool = False


def carried_forward(
    reference: Reference, own: Answer, *, item: str, wrong: bool, late: fmpq = ZERO, slip: bool = False
) -> CarriedForward:
    """What later items may follow from: the student's own answer to an item where it is wrong, else the right one."""
    right = reference.answer
    if wrong:
        absurd = _negative(own, reference)
        return CarriedForward(answer=own, right=right, source=(item,), late=late, absurd=absurd, slip=slip)
    return CarriedForward(answer=right, right=right, near=own if own != right else None)


def consequences(reference: Reference, carried: Mapping[str, CarriedForward]) -> Iterator[FollowThroughAnswer]:
    """What follows for one item from earlier wrong answers; nothing where none of them matters."""
    for rule in reference.rules:
        used = rule.items
        if any(item not in carried for item in used):
            continue
        wrong = [item for item in dict.fromkeys(used) if carried[item].source]
        for own in _own(wrong, carried):
            yield from _following(rule, own, carried, reference)


def _following(
    rule: Rule, own: tuple[str, ...], carried: Mapping[str, CarriedForward], reference: Reference
) -> Iterator[FollowThroughAnswer]:
    """What a rule gives with some of the student's own wrong answers, all else put right."""
    right = {item: carried[item].right for item in rule.items}
    taken = {**right, **{item: carried[item].answer for item in own}}
    wrong = [carried[item] for item in own]
    for answer in _led_to(rule, taken, own, carried, reference):
        yield FollowThroughAnswer(
            answer=answer,
            source=tuple(dict.fromkeys(s for one in wrong for s in one.source)),
            says=SEVERAL_STEPS if any(one.missing for one in wrong) else rule.says,
            absurd=_absurd(answer, reference) or any(one.absurd for one in wrong),
            easier=(_easier(answer, reference) and not _copied(rule))
            or any(one.flat for one in wrong)
            or _flattened(rule, taken, right),
        )


def _flattened(rule: Rule, taken: Mapping[str, Answer], right: Mapping[str, Answer]) -> bool:
    """Whether something worked out on the way varies no more, where with the right answers it does."""
    for _, between in rule.through:
        own, meant = follow(between, taken), follow(between, right)
        if isinstance(own, Waveform) and isinstance(meant, Waveform) and own.is_constant and not meant.is_constant:
            return True
        if _flattened(between, taken, right):
            return True
    return False


def _led_to(
    rule: Rule,
    taken: Mapping[str, Answer],
    own: tuple[str, ...],
    carried: Mapping[str, CarriedForward],
    reference: Reference,
) -> Iterator[Answer]:
    """What a rule leads to; from an expression on a clock of its own, charged there, on the problem's clock and on that one, too."""
    late = next((carried[item].late for item in own if carried[item].late), ZERO)
    found = [follow(rule, taken)]
    if late:
        found.append(follow(rule, {**taken, **{item: carried[item].on_the_clock for item in own}}))
        found.append(_counted(found[-1], late, reference))
    yield from (one for one in found if one is not None)


def _counted(answer: Answer | None, late: fmpq, reference: Reference) -> Answer | None:
    """An instant on the clock of an own expression that counts from another instant; else the answer."""
    return answer - constant(late) if isinstance(answer, Waveform) and reference.find in INSTANTS else answer


def from_accepted(reference: Reference, carried: Mapping[str, CarriedForward]) -> Iterator[FollowThroughAnswer]:
    """What follows for one item from earlier answers that were accepted as they stand, rounded.

    Rounding adds up: an answer may be right for the value it was worked out from and miss the exact one.
    """
    for rule in reference.rules:
        used = rule.items
        if any(item not in carried for item in used):
            continue
        near = {item: own for item in used if (own := carried[item].near) is not None}
        answer = follow(rule, {item: carried[item].right for item in used} | near) if near else None
        if answer is not None:
            yield FollowThroughAnswer(answer=answer, source=tuple(near), says=rule.says, near=True)


def _own(wrong: list[str], carried: Mapping[str, CarriedForward]) -> Iterator[tuple[str, ...]]:
    """Which wrong answers a student may have built on: all of them first, then fewer.

    Whoever has put one of them right on the way (or got it right by another) must not be charged for it again.  What was
    left blank was never put right: it goes with the own answer written beside it from which it follows.
    """
    for count in range(len(wrong), 0, -1):
        for own in combinations(wrong, count):
            left_open = (item for item in wrong if item not in own and carried[item].missing)
            written = {item for item in own if not carried[item].missing}
            if not any(written & {*carried[item].source} for item in left_open):
                yield own


def _absurd(answer: Answer, reference: Reference) -> bool:
    """Whether it cannot be what is asked on a passive circuit: a negative time constant, a response that grows."""
    return (_grows(answer) and not _grows(reference.answer)) or _negative(answer, reference)


def _negative(answer: Answer, reference: Reference) -> bool:
    """Whether a resistance, a time or an energy is below zero where the right one is not."""
    if not isinstance(answer, Waveform) or not isinstance(reference.answer, Waveform):
        return False
    if reference.dimension not in (RESISTANCE, TIME, ENERGY):
        return False
    value, right = _size(answer), _size(reference.answer)
    return value is not None and right is not None and value < 0 <= right


def _size(answer: Waveform) -> float | None:
    """A number; None where t or letters stand in it, or where it lies beyond all bounds."""
    try:
        return to_float(number_of(answer))
    except (NotAWaveform, NotDefined):
        return None


def _grows(answer: Answer) -> bool:
    """Whether a term, or a root, has a positive exponent."""
    if isinstance(answer, tuple):
        return any((_size(real) or 0) > 0 for real, _ in answer)
    return isinstance(answer, Waveform) and not answer.is_symbolic and any(to_float(t.rate) > 0 for t in answer.terms)


def _copied(rule: Rule) -> bool:
    """Whether an answer is carried on as it stands (what cannot jump): zero makes that no easier."""
    return rule.step is None and rule.formula in dict(rule.uses)


def _easier(answer: Answer, reference: Reference) -> bool:
    """Whether the slip leaves nothing to do: zero where there is a value, a constant where it varies."""
    right = reference.answer
    if not isinstance(answer, Waveform) or not isinstance(right, Waveform):
        return False
    if not answer.terms:
        return bool(right.terms)
    return answer.is_constant and not right.is_constant
