"""The resistance that the storage element sees found wrongly, and with it the time constant and the response."""

from collections.abc import Iterable, Iterator
from itertools import combinations
from math import prod

from grader.circuit.elements import CurrentSource, DependentSource, Element, Resistor, Signal, VoltageSource
from grader.circuit.network import positions
from grader.circuit.series_parallel import combination_text, resistance, structure_between
from grader.circuit.statics import OFF, OPEN, SHORT, Substitution
from grader.mistakes.case import Case
from grader.mistakes.propagate import Resistance, by_resistance, swapped
from grader.mistakes.records import OBSERVED, REPORTED, REVIEW_STORAGE, Citation, Wrong, mistake
from grader.mistakes.resistances import exchanged
from grader.values.scalar import ONE, ZERO, sign


@mistake(
    title="Resistance of the circuit before switching",
    idea="The transient runs in the circuit after the switching, so the element looks into that one. The resistance "
    "used belongs to the old switch position.",
    nudge="The decay happens after the switching: which drawing should the element look into?",
    remark="The resistance seen before switching was used.",
    source=REVIEW_STORAGE,
)
@by_resistance
def resistance_before_switching(case: Case) -> Iterator[Resistance]:
    """What the storage element saw in the interval before."""
    if case.index:
        yield case.resistance(case.index - 1, {}), ""


@mistake(
    title="Bypassed or cut-off resistor counted",
    idea="A closed switch shorts what lies beside it, an open one cuts off what lies behind it. The resistor was "
    "counted all the same.",
    nudge="What does the switch do to the part beside it after the switching?",
    remark="The resistance was found as if a switch stood the other way.",
    source=REVIEW_STORAGE,
)
@by_resistance
def bypassed_resistor_counted(case: Case) -> Iterator[Resistance]:
    """The resistance seen with each switch in its other position."""
    where = positions(case.circuit, case.opens)
    for switch in case.switches:
        treat = {switch.name: OPEN if where[switch.name] else SHORT}
        yield case.resistance(case.index, treat), f"in spite of {switch.name}"


@mistake(
    title="Resistance seen from the source",
    idea="The resistance that matters is the one at the storage element's terminals, looking out from it. Here it was "
    "found at a source's terminals.",
    nudge="Whose terminals are you looking out from?",
    remark="The resistance at a source's terminals was given.",
)
@by_resistance
def seen_from_the_source(case: Case) -> Iterator[Resistance]:
    """At each source, with storage elements in either role."""
    for element in case.sources:
        for treat in ({}, swapped(case)):
            yield case.resistance_at(element.name, treat), f"at {element.name}"


@mistake(
    title="One resistor alone",
    idea="Only one resistor was counted, mostly the one beside the element, although its current has other ways to "
    "take as well.",
    nudge="Could current leaving the element also take another way?",
    remark="A single resistor was taken as the resistance seen.",
)
@by_resistance
def nearest_resistor_only(case: Case) -> Iterator[Resistance]:
    """Each single resistor."""
    for resistor in case.resistors:
        yield resistor.value, f"{resistor.name} alone"


@mistake(
    title="Resistor in line with the element left out",
    idea="Looking out from the element one meets the resistor in line with it first. It was taken as part of the "
    "element and forgotten.",
    nudge="Is there something between the element and the node you started from?",
    remark="The resistor in series with the storage element was left out.",
    source=Citation(
        "Seen in a student's attempt: homework thread on a capacitor with its own series resistor.", OBSERVED
    ),
)
@by_resistance
def own_series_resistor_lost(case: Case) -> Iterator[Resistance]:
    """The resistance seen without each resistor that adds to it in full."""
    whole = case.resistance(case.index, {})
    for resistor in case.resistors:
        without = case.resistance(case.index, {resistor.name: SHORT})
        if whole is not None and without is not None and whole - without == resistor.value:
            yield without, f"without {resistor.name}"


@mistake(
    title="All resistors added",
    idea="Adding every resistance in the drawing supposes that one current passes them all. Seen from the element, it "
    "usually splits.",
    nudge="Start at one terminal of the element and walk: do you really pass every resistor one after another?",
    remark="All resistances of the circuit were added.",
    source=REVIEW_STORAGE,
)
@by_resistance
def all_resistors_added(case: Case) -> Iterator[Resistance]:
    """The sum of all resistances."""
    if len(case.resistors) > 1:
        yield sum((r.value for r in case.resistors), ZERO), ""


@mistake(
    title="All resistors in parallel",
    idea="Parallel parts share both their ends. Not all resistors here do.",
    nudge="Parallel parts share both ends: do all of yours?",
    remark="All resistances of the circuit were taken in parallel.",
)
@by_resistance
def all_resistors_parallel(case: Case) -> Iterator[Resistance]:
    """One over the sum of all conductances."""
    total = sum((ONE / r.value for r in case.resistors), ZERO)
    if len(case.resistors) > 1 and total != 0:
        yield ONE / total, ""


@mistake(
    title="Series and parallel exchanged",
    idea="Each joint was reduced by the other rule: what shares a current was taken in parallel, what shares a voltage "
    "in series.",
    nudge="Mark the nodes with letters before combining anything: which parts share both letters, and which only one?",
    remark="Series joints were taken as parallel ones and the reverse.",
    source=Citation(
        "F. Najmabadi, ECE60L, Spring 2002, observations on the final examination; public exam-review notes.", OBSERVED
    ),
)
@by_resistance
def series_and_parallel_exchanged(case: Case) -> Iterator[Resistance]:
    """The structure between the terminals of the only storage element, with its joints exchanged."""
    if len(case.storage) != 1:
        return
    (storage,) = case.storage
    where = positions(case.circuit, case.opens)
    structure = structure_between(case.circuit, where, storage.between, {storage.name})
    if structure is not None and not isinstance(structure, str):
        turned = exchanged(structure)
        yield resistance(turned, {r.name: r.value for r in case.resistors}), combination_text(turned)


@mistake(
    title="Product over sum of three",
    idea="Product over sum holds for two resistors. For three it does not even give ohms.",
    nudge="What does that rule give for three equal resistors, and in what unit?",
    remark="Three resistances were put into product over sum.",
    source=REVIEW_STORAGE,
)
@by_resistance
def product_over_sum_of_three(case: Case) -> Iterator[Resistance]:
    """Of each three resistors, and of all."""
    for group in groups(case.resistors, 3):
        product = prod((r.value for r in group), start=ONE)
        yield product / sum((r.value for r in group), ZERO), listed(group)


@mistake(
    title="Last reciprocal forgotten",
    idea="The sum of 1/R is a conductance; the resistance is one over it.",
    nudge="Is your result smaller than the smallest resistor of the group, and in ohms?",
    remark="The sum of the reciprocals was given as the resistance.",
)
@by_resistance
def reciprocal_forgotten(case: Case) -> Iterator[Resistance]:
    """Of each two resistors, and of all."""
    for group in groups(case.resistors, 2):
        yield sum((ONE / r.value for r in group), ZERO), listed(group)


def groups(resistors: tuple[Resistor, ...], size: int) -> list[tuple[Resistor, ...]]:
    """Every group of that size, and all of them together where they are more."""
    return list(dict.fromkeys([*combinations(resistors, size), resistors])) if len(resistors) >= size else []


def listed(elements: Iterable[Element]) -> str:
    """Their names."""
    return ", ".join(element.name for element in elements)


@mistake(
    title="Another combination of the circuit's resistors",
    idea="The resistance is a series or parallel combination of the circuit's own resistors, but not the one that the "
    "element looks into.",
    nudge="Which nodes do the terminals of the element belong to, and which resistors lie between them?",
    remark="The resistance equals another combination of the circuit's resistors.",
)
def resistors_combined_otherwise(case: Case) -> Iterator[Wrong]:  # noqa: ARG001 - one signature for every entry
    """None to be foreseen: `grader.mistakes.resistances` searches what was written, where nothing else explains it."""
    yield from ()


@mistake(
    title="Voltage source replaced by a gap",
    idea="A voltage source at zero holds zero volts between its terminals whatever the current: it is a wire, not a "
    "gap.",
    nudge="A source with zero volts across it: what does that look like between its terminals?",
    remark="A voltage source was set to zero as an open circuit.",
)
@by_resistance
def voltage_source_opened(case: Case) -> Iterator[Resistance]:
    """The resistance seen with voltage sources open, each and all."""
    yield from with_sources(case, VoltageSource, OPEN, "as a gap")


@mistake(
    title="Current source replaced by a wire",
    idea="A current source at zero lets no current through: it is a gap, not a wire.",
    nudge="A source that delivers zero current: would it let current through?",
    remark="A current source was set to zero as a short circuit.",
)
@by_resistance
def current_source_shorted(case: Case) -> Iterator[Resistance]:
    """The resistance seen with current sources short, each and all."""
    yield from with_sources(case, CurrentSource, SHORT, "as a wire")


def with_sources(case: Case, kind: type[Element], treated: Substitution, how: str) -> Iterator[Resistance]:
    """The resistance seen with the sources of a kind treated so, each and all."""
    sources = tuple(element for element in case.sources if isinstance(element, kind))
    for group in dict.fromkeys([*((source,) for source in sources), sources]):
        if group:
            treat = dict.fromkeys((source.name for source in group), treated)
            yield case.resistance(case.index, treat), f"{listed(group)} {how}"


@mistake(
    title="Dependent source switched off",
    idea="A dependent source follows its control, also while the terminals are tested. Only independent sources are "
    "set to zero.",
    nudge="Does a controlled source still obey its control when you test the terminals?",
    remark="Dependent sources were set to zero together with the independent ones.",
    source=Citation(
        "Public exam-review notes, the whole review; the setting in Physics Forums thread 165904.", REPORTED
    ),
)
@by_resistance
def dependent_source_switched_off(case: Case) -> Iterator[Resistance]:
    """The resistance seen with the dependent sources off."""
    off = {e.name: OFF for e in case.circuit.elements if isinstance(e, DependentSource)}
    if off:
        yield case.resistance(case.index, off), ""


@mistake(
    title="Sources left working",
    idea="The resistance seen is what the network shows with its independent sources at zero. A voltage over a current "
    "with the sources at work is another number.",
    nudge="What should the independent sources be doing while you look for a resistance?",
    remark="A source's voltage over its current was given as the resistance.",
)
@by_resistance
def source_left_working(case: Case) -> Iterator[Resistance]:
    """Each source's voltage over its current at the end and at the first instant."""
    for element in case.sources:
        for when, treat in (("at the end", {}), ("at the first instant", swapped(case))):
            static = case.static(case.opens, treat)
            volts, amperes = (case.read(static, Signal(kind=kind, of=element.name)) for kind in ("voltage", "current"))
            if volts is None or amperes is None or not (volts.is_number and amperes.is_number) or amperes.number == 0:
                continue
            ratio = volts.number / amperes.number
            yield (-ratio if sign(ratio) < 0 else ratio), f"at {element.name}, {when}"
