"""The end found wrongly: what the circuit settles to."""

from collections.abc import Iterator
from itertools import combinations

from grader.circuit.elements import Capacitor, own_signal
from grader.circuit.network import positions
from grader.circuit.statics import SHORT
from grader.mistakes.altered import with_values_exchanged
from grader.mistakes.case import Case
from grader.mistakes.propagate import OF_EXPRESSION, by_expression, from_ingredients, from_states, some, swapped
from grader.mistakes.records import Wrong, mistake
from grader.quantities.finding import Find
from grader.values.scalar import sign
from grader.values.waveform import Waveform


@mistake
def storage_roles_swapped_after(case: Case) -> Iterator[Wrong]:
    """The dc circuit after switching with the roles exchanged."""
    if case.signal is not None and case.index:
        yield from some(from_ingredients(case, xf=case.read(case.static(case.opens, swapped(case)))))


@mistake
def capacitor_branch_still_conducts(case: Case) -> Iterator[Wrong]:
    """The initial current as the final one, in a circuit with capacitors."""
    if case.find == Find.FINAL and case.capacitive and case.signal is not None and case.signal.kind == "current":
        yield from some(case.solvers(Find.INITIAL))


@mistake
def final_zero_with_source(case: Case) -> Iterator[Wrong]:
    """Zero."""
    if case.find == Find.FINAL:
        yield Wrong(Waveform())


@mistake
def final_from_circuit_before(case: Case) -> Iterator[Wrong]:
    """The dc solution of the circuit before the switching."""
    if case.signal is not None and case.index:
        yield from some(from_ingredients(case, xf=case.read(case.static(case.opened_before, {}))))


@mistake
def disconnected_part_kept(case: Case) -> Iterator[Wrong]:
    """The final value with one open switch taken as closed, each in turn."""
    if case.signal is None or not case.index:
        return
    where = positions(case.circuit, case.opens)
    for switch in case.switches:
        if not where[switch.name]:
            xf = case.read(case.static(case.opens, {switch.name: SHORT}))
            yield from some(from_ingredients(case, xf=xf), f"{switch.name} as if closed")


@mistake
def final_is_source_value(case: Case) -> Iterator[Wrong]:
    """Each source's value; for a current also each voltage over each single resistor."""
    if case.signal is None or not case.index or case.signal.kind not in ("voltage", "current"):
        return
    right = case.solvers(Find.FINAL)
    if right is None or not right.is_number:
        return
    direction = sign(right.number) or 1
    for value, variant in case.undivided(case.signal.kind, case.opens):
        turned = value if value.is_number and sign(value.number) == direction else -value
        yield from some(from_ingredients(case, xf=turned), variant)


@mistake
def capacitive_divider_upside_down(case: Case) -> Iterator[Wrong]:
    """Two capacitors with each other's values, where the charge that they share, or have in common, makes the voltage asked."""
    if case.signal is None or case.find not in (Find.INITIAL, Find.FINAL, Find.EXPRESSION, Find.AT):
        return
    plates = [element for element in case.acting if isinstance(element, Capacitor)]
    for one, other in combinations(plates, 2):
        turned = with_values_exchanged(case.circuit, one, other)
        if case.index > 1 and case.find == Find.INITIAL:  # what each holds by then is no matter of the divider
            held = {each.name: case.solved.just_before(own_signal(each), case.index) for each in case.storage}
            yield from some(from_states(case.on(turned), held), f"{one.name} and {other.name}")
            continue
        ends = Find.INITIAL if case.find == Find.INITIAL else Find.FINAL
        moved = case.solvers(ends) != case.answer_on(turned, ends)
        if one.value != other.value and moved:
            yield from some(case.answer_on(turned), f"{one.name} and {other.name}")


@mistake
def start_and_final_exchanged(case: Case) -> Iterator[Wrong]:
    """The final value as the initial one, the initial one as the final."""
    if case.find in OF_EXPRESSION:
        yield from by_expression(case, "x0+(xf-x0)*e^(-(t-t1)/tau)")
    elif case.signal is not None and case.index and not (case.find == Find.INITIAL and not case.is_own()):
        x0, xf = case.solvers(Find.INITIAL), case.solvers(Find.FINAL)
        if x0 is not None and xf is not None:
            yield from some(from_ingredients(case, x0=xf, xf=x0))
