"""Energies, shares, periods, designed values and the inductance of a coil, from the right quantities by a wrong formula."""

from collections.abc import Iterator

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Resistor, Signal
from grader.mistakes.case import Case
from grader.mistakes.propagate import some
from grader.mistakes.records import Wrong, mistake
from grader.quantities import asked
from grader.quantities.finding import Find
from grader.quantities.finds.repeating import phases
from grader.quantities.quantities import quantity
from grader.values.dimension import ENERGY, NUMBER, PERMEABILITY, Dimension
from grader.values.functions import square_root
from grader.values.scalar import HALF, ONE
from grader.values.waveform import Waveform, constant

LOST = "energy lost"


@mistake
def energy_factor_half_lost(case: Case) -> Iterator[Wrong]:
    """Twice the energy."""
    of_a_signal = case.signal is not None and case.signal.kind == "energy"
    energy = of_a_signal and asked(case.find).dimension(case.question.problem, case.item) == ENERGY
    if (energy or case.find in (Find.STORED, LOST)) and case.value is not None:
        yield Wrong.times(case.value, constant(fmpq(2)))


@mistake
def energy_square_lost(case: Case) -> Iterator[Wrong]:
    """The energy over the size of the current or voltage."""
    if case.find != Find.STORED or case.value is None or not case.value.is_constant or not case.value.terms:
        return
    if len(case.storage) == 1 and case.item.of in ((), (case.storage[0].name,)):
        # W = k x^2 / 2, so k x / 2 is the root of W k / 2.
        yield Wrong(square_root(case.value.scaled(case.storage[0].value * HALF)))


@mistake
def one_energy_left_out(case: Case) -> Iterator[Wrong]:
    """The energy of several elements without each of them in turn."""
    if case.find == Find.STORED and len(case.item.of) > 1:
        for name in case.item.of:
            others = tuple(one for one in case.item.of if one != name)
            yield Wrong(case.question.answer_to(replace(case.item, of=others)), f"without {name}")


@mistake
def initial_energy_for_later(case: Case) -> Iterator[Wrong]:
    """The energy of the same elements just after the switching, where a later one is asked."""
    if case.find == Find.STORED and case.index and (case.item.at is None or case.item.at > case.start):
        yield Wrong(case.question.answer_to(replace(case.item, at=case.start)))


@mistake
def stored_taken_as_dissipated(case: Case) -> Iterator[Wrong]:
    """All energy stored at the start, at the end, and what was given up or taken up on the way from one to the other; at an instant just before and just after."""
    if case.find == LOST:
        every = [Signal(kind="energy", of=element.name) for element in case.storage]
        yield Wrong(sum((case.solved.just_before(one, case.index) for one in every), Waveform()), "stored before")
        yield Wrong(sum((case.solved.just_after(one, case.index) for one in every), Waveform()), "stored after")
        return
    if case.find != Find.DISSIPATED or case.index == 0:
        return
    begins, ends = case.question.stretch(lasting=True)

    def held(time: fmpq | None) -> list[Waveform | None]:
        """What each stores at an instant; None: in the end."""
        every = [Signal(kind="energy", of=element.name) for element in case.acting]
        if time is None:
            return [case.solvers(Find.FINAL, one) for one in every]
        return [case.solved.waveform(one, case.question.index_at(time)).at(time) for one in every]

    start, end = held(begins), held(ends)
    if None in (*start, *end):
        return
    before, after = (sum((energy for energy in all if energy is not None), Waveform()) for all in (start, end))
    yield Wrong(before, "at the start")
    yield Wrong(after, "at the end")
    if before.terms and after.terms:
        yield Wrong(before - after, "the energy given up")
        yield Wrong(after - before, "the energy taken up")


@mistake
def energy_kept_when_charge_is_shared(case: Case) -> Iterator[Wrong]:
    """Nothing."""
    if case.find == LOST and case.value is not None and case.value.terms:
        yield Wrong(Waveform())


@mistake
def rest_for_share(case: Case) -> Iterator[Wrong]:
    """One less the share."""
    if case.find in ("energy share", "duty cycle") and case.value is not None:
        yield Wrong(constant(ONE) - case.value)


@mistake
def one_phase_for_period(case: Case) -> Iterator[Wrong]:
    """Either phase, and twice either."""
    if case.find == "period":
        for phase, variant in zip(phases(case.question), ("before", "after"), strict=True):
            yield Wrong(phase.lasting, f"the phase {variant} the switch acts")
            yield Wrong(phase.lasting.scaled(fmpq(2)), f"twice the phase {variant} the switch acts")


@mistake
def whole_resistance_for_element(case: Case) -> Iterator[Wrong]:
    """What the storage element sees in the circuit as designed."""
    if case.find == "element value" and isinstance(case.circuit.element(case.item.of[0]), Resistor):
        yield from some(case.solvers(Find.SEEN))


@mistake
def coil_turns_not_squared(case: Case) -> Iterator[Wrong]:
    """The inductance over the number of turns."""
    yield from over_setting(case, "turns", NUMBER)


@mistake
def coil_core_left_out(case: Case) -> Iterator[Wrong]:
    """The inductance over the relative permeability."""
    yield from over_setting(case, "permeability", PERMEABILITY)


def over_setting(case: Case, name: str, dimension: Dimension) -> Iterator[Wrong]:
    """The inductance over a plain number among the coil's measures."""
    text = dict(case.item.settings).get(name)
    if case.find != "coil inductance" or text is None or case.value is None:
        return
    found = quantity(text, dimension)
    if (found.dimension is None or not any(found.dimension)) and found.waveform.terms:
        yield Wrong(case.value / found.waveform)
