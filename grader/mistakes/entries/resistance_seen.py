"""The resistance that the storage element sees found wrongly, and with it the time constant and the response."""

from collections.abc import Iterable, Iterator
from itertools import combinations
from math import prod

from grader.circuit.elements import (
    CurrentSource,
    DependentSource,
    Element,
    IdealTransformer,
    Resistor,
    Signal,
    VoltageSource,
)
from grader.circuit.network import positions
from grader.circuit.series_parallel import combination_text, resistance, structure_between
from grader.circuit.statics import OFF, OPEN, SHORT, Substitution
from grader.mistakes.altered import with_ratio
from grader.mistakes.case import Case
from grader.mistakes.propagate import Resistance, by_resistance, swapped
from grader.mistakes.records import Wrong, mistake
from grader.mistakes.resistances import exchanged
from grader.values.scalar import ONE, ZERO, Scalar, sign, sqrt


@mistake
@by_resistance
def resistance_before_switching(case: Case) -> Iterator[Resistance]:
    """What the storage element saw in the interval before."""
    if case.index:
        yield case.resistance(case.index - 1, {}), ""


@mistake
@by_resistance
def bypassed_resistor_counted(case: Case) -> Iterator[Resistance]:
    """The resistance seen with each switch in its other position."""
    where = positions(case.circuit, case.opens)
    for switch in case.switches:
        treat = {switch.name: OPEN if where[switch.name] else SHORT}
        yield case.resistance(case.index, treat), f"in spite of {switch.name}"


@mistake
@by_resistance
def seen_from_the_source(case: Case) -> Iterator[Resistance]:
    """At each source, with storage elements in either role."""
    for element in case.sources:
        for treat in ({}, swapped(case)):
            yield case.resistance(case.index, treat, element.name), f"at {element.name}"


@mistake
@by_resistance
def nearest_resistor_only(case: Case) -> Iterator[Resistance]:
    """Each single resistor."""
    for resistor in case.resistors:
        yield resistor.value, f"{resistor.name} alone"


@mistake
@by_resistance
def own_series_resistor_lost(case: Case) -> Iterator[Resistance]:
    """The resistance seen without each resistor that adds to it in full."""
    whole = case.resistance(case.index, {})
    for resistor in case.resistors:
        without = case.resistance(case.index, {resistor.name: SHORT})
        if whole is not None and without is not None and whole - without == resistor.value:
            yield without, f"without {resistor.name}"


@mistake
@by_resistance
def all_resistors_added(case: Case) -> Iterator[Resistance]:
    """The sum of all resistances."""
    total = sum((r.value for r in case.resistors), ZERO)
    if len(case.resistors) > 1 and not _without_dependent(case, total):
        yield total, ""


@mistake
@by_resistance
def all_resistors_parallel(case: Case) -> Iterator[Resistance]:
    """One over the sum of all conductances."""
    total = sum((ONE / r.value for r in case.resistors), ZERO)
    if len(case.resistors) > 1 and total != 0 and not _without_dependent(case, ONE / total):
        yield ONE / total, ""


def _without_dependent(case: Case, ohms: Scalar) -> bool:
    """Whether it is what is seen once the dependent sources are off: then it is these that are missing, and the resistors combined rightly."""
    off = _dependent_off(case)
    return bool(off) and case.resistance(case.index, off) == ohms


def _dependent_off(case: Case) -> dict[str, Substitution]:
    return {element.name: OFF for element in case.circuit.elements if isinstance(element, DependentSource)}


@mistake
@by_resistance
def series_and_parallel_exchanged(case: Case) -> Iterator[Resistance]:
    """The structure between the terminals asked, or of the only storage element that acts, with its joints exchanged."""
    nodes, without = case.item.between, set[str]()
    if nodes is None:
        if len(case.acting) != 1:
            return
        (storage,) = case.acting
        nodes, without = storage.between, {storage.name}
    where = positions(case.circuit, case.opens)
    structure = structure_between(case.circuit, where, nodes, without)
    if structure is not None and not isinstance(structure, str):
        turned = exchanged(structure)
        yield resistance(turned, {r.name: r.value for r in case.resistors}), combination_text(turned)


@mistake
@by_resistance
def product_over_sum_of_three(case: Case) -> Iterator[Resistance]:
    """Of each three resistors, and of all."""
    for group in groups(case.resistors, 3):
        product = prod((r.value for r in group), start=ONE)
        yield product / sum((r.value for r in group), ZERO), listed(group)


@mistake
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


@mistake
def resistors_combined_otherwise(case: Case) -> Iterator[Wrong]:  # noqa: ARG001 - one signature for every entry
    """None to be foreseen: `grader.mistakes.resistances` searches what was written, where nothing else explains it."""
    yield from ()


@mistake
@by_resistance
def voltage_source_opened(case: Case) -> Iterator[Resistance]:
    """The resistance seen with voltage sources open, each and all."""
    yield from with_sources(case, VoltageSource, OPEN, "as a gap")


@mistake
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


@mistake
@by_resistance
def dependent_source_switched_off(case: Case) -> Iterator[Resistance]:
    """The resistance seen with the dependent sources off."""
    off = _dependent_off(case)
    if off:
        yield case.resistance(case.index, off), ""


@mistake
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


@mistake
@by_resistance
def turns_ratio_not_squared(case: Case) -> Iterator[Resistance]:
    """The resistance seen through each ideal transformer changed by the ratio itself, or by nothing."""
    for element in case.circuit.elements:
        if isinstance(element, IdealTransformer):
            size = sqrt(element.ratio * element.ratio)  # a negative ratio has its dots exchanged
            for ratio, how in ((sqrt(size), "by the ratio"), (ONE, "as it is")):
                altered = case.on(with_ratio(case.circuit, element.name, ratio))
                yield altered.resistance(case.index, {}), f"through {element.name} {how}"
