"""Energies, shares, periods, designed values and the inductance of a coil, from the right quantities by a wrong formula."""

from collections.abc import Iterator
from dataclasses import replace

from flint import fmpq

from grader.circuit.elements import Resistor, Signal
from grader.mistakes.case import DISSIPATED, FINAL, INITIAL, SEEN, STORED, Case
from grader.mistakes.propagate import some
from grader.mistakes.records import Wrong, mistake
from grader.quantities.finds.repeating import phases
from grader.quantities.quantities import quantity
from grader.values.dimension import NUMBER, PERMEABILITY, Dimension
from grader.values.functions import square_root
from grader.values.scalar import HALF, ONE
from grader.values.waveform import Waveform, constant


@mistake(
    title="Factor one half of the energy lost",
    idea="The energy is the area under a straight line, hence the one half in ½Li² and ½Cv².",
    nudge="Where does the one half in the energy of a coil or a capacitor come from, and is it in your formula?",
    remark="Twice the stored energy was given.",
)
def energy_factor_half_lost(case: Case) -> Iterator[Wrong]:
    """Twice the energy."""
    energy = case.find == STORED or (case.signal is not None and case.signal.kind == "energy")
    if energy and case.value is not None:
        yield Wrong.times(case.value, constant(fmpq(2)))


@mistake(
    title="Square of the energy lost",
    idea="Energy grows with the square of current or voltage: twice the current stores four times the energy.",
    nudge="What happens to the energy if the current (or voltage) doubles, and does your formula agree?",
    remark="The current or voltage was not squared.",
)
def energy_square_lost(case: Case) -> Iterator[Wrong]:
    """The energy over the size of the current or voltage."""
    if case.find != STORED or case.value is None or not case.value.is_constant or not case.value.terms:
        return
    if len(case.storage) == 1 and case.item.of in ((), (case.storage[0].name,)):
        # W = k x^2 / 2, so k x / 2 is the root of W k / 2.
        yield Wrong(square_root(case.value.scaled(case.storage[0].value * HALF)))


@mistake(
    title="Energy of the start given for a later one",
    idea="The energy found is what the element held when the switch acted. By the instant asked it has taken up energy or "
    "given it away.",
    nudge="At which instant is the energy asked, and which current or voltage does the element have then?",
    remark="The energy stored at the start was given for that of a later instant.",
)
def initial_energy_for_later(case: Case) -> Iterator[Wrong]:
    """The energy of the same elements just after the switching, where a later one is asked."""
    if case.find == STORED and case.index and (case.item.at is None or case.item.at > case.start):
        yield Wrong(case.question.answer_to(replace(case.item, at=case.start)))


@mistake(
    title="Stored energy taken for the energy dissipated",
    idea="What a resistor turns to heat equals what the element gave up only if nothing else gives or takes energy. "
    "Elsewhere sources deliver and other resistors share.",
    nudge="Does all of the stored energy go into this resistor, and does anything else deliver energy?",
    remark="The energy stored at the start (or at the end) was given for the energy dissipated.",
)
def stored_taken_as_dissipated(case: Case) -> Iterator[Wrong]:
    """All energy stored at the start, and at the end."""
    if case.find != DISSIPATED or case.index == 0:
        return
    for find, variant in ((INITIAL, "at the start"), (FINAL, "at the end")):
        total = Waveform()
        for element in case.storage:
            energy = case.solvers(find, Signal(kind="energy", of=element.name))
            if energy is None:
                return
            total = total + energy
        yield Wrong(total, variant)


@mistake(
    title="Energy kept where charge is shared",
    idea="Charge is kept when capacitors are joined, and flux when coils are; energy is not, however small the resistance.",
    nudge="Which quantity cannot change at that instant, and is the energy stored afterwards really the same?",
    remark="No energy was taken to be lost where charge (or flux) is shared.",
)
def energy_kept_when_charge_is_shared(case: Case) -> Iterator[Wrong]:
    """Nothing."""
    if case.find == "energy lost" and case.value is not None and case.value.terms:
        yield Wrong(Waveform())


@mistake(
    title="Rest given for the share",
    idea="A share and what is left of the whole add up to one; the wrong one of the two was given.",
    nudge="Which part of the whole is asked, and which is the rest?",
    remark="What is left of the whole was given for the share.",
)
def rest_for_share(case: Case) -> Iterator[Wrong]:
    """One less the share."""
    if case.find in ("energy share", "duty cycle") and case.value is not None:
        yield Wrong(constant(ONE) - case.value)


@mistake(
    title="One phase taken for the period",
    idea="A circuit that repeats runs up and down again before it is where it was; both ways take their own time.",
    nudge="After which time does everything begin anew, and how long is each way?",
    remark="The time of one phase, or twice that, was given for the period.",
)
def one_phase_for_period(case: Case) -> Iterator[Wrong]:
    """Either phase, and twice either."""
    if case.find == "period":
        for phase, variant in zip(phases(case.question), ("before", "after"), strict=True):
            yield Wrong(phase.lasting, f"the phase {variant} the switch acts")
            yield Wrong(phase.lasting.scaled(fmpq(2)), f"twice the phase {variant} the switch acts")


@mistake(
    title="Whole resistance taken for the element asked",
    idea="The resistance that the response needs was found, and given for one resistor alone, as if no other were there.",
    nudge="Which other resistors does the storage element see besides the one that is asked?",
    remark="The whole resistance that the storage element needs was given for the resistor asked.",
)
def whole_resistance_for_element(case: Case) -> Iterator[Wrong]:
    """What the storage element sees in the circuit as designed."""
    if case.find == "element value" and isinstance(case.circuit.element(case.item.of[0]), Resistor):
        yield from some(case.solvers(SEEN))


@mistake(
    title="Turns not squared",
    idea="The turns count twice: each makes field, and each links it. L grows with N².",
    nudge="Twice as many turns: how much more field, and how much more linkage?",
    remark="The number of turns was not squared.",
)
def coil_turns_not_squared(case: Case) -> Iterator[Wrong]:
    """The inductance over the number of turns."""
    yield from over_setting(case, "turns", NUMBER)


@mistake(
    title="Core left out",
    idea="A core multiplies the inductance by its relative permeability. The coil was taken as an air coil.",
    nudge="What does the core do to the field of the coil, and where is that in your formula?",
    remark="The relative permeability of the core was left out.",
)
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
