"""The start found wrongly: what the storage elements hold when the switch acts, and what they leave as it was."""

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, other_signal, own_signal
from grader.circuit.statics import Substitution, as_current, as_voltage
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_circuit_before, from_ingredients, from_states, some, states_before, swapped
from grader.mistakes.records import Wrong, mistake
from grader.quantities.finding import Find
from grader.quantities.links import asked_value
from grader.values.scalar import ONE, sign
from grader.values.waveform import Waveform


@mistake
def rest_assumed(case: Case) -> Iterator[Wrong]:
    """Zero volts on every capacitor and zero amperes in every inductor."""
    if case.index == 1 and case.find == Find.JUST_BEFORE and case.is_own():
        yield Wrong(Waveform())
    elif case.index == 1:
        yield from some(from_states(case, {element.name: Waveform() for element in case.storage}))


@mistake
def storage_roles_swapped_before(case: Case) -> Iterator[Wrong]:
    """The dc circuit before switching with the roles exchanged, and whatever starts from it."""
    if case.starts_settled:
        yield from some(from_circuit_before(case, case.static(case.opened_before, swapped(case))))


@mistake
def start_from_circuit_after(case: Case) -> Iterator[Wrong]:
    """The dc state of the circuit after switching, taken for the one before."""
    if case.starts_settled and not (case.find == Find.INITIAL and case.is_own()):
        yield from some(from_circuit_before(case, case.static(case.opens, {})))


@mistake
def source_value_taken_directly(case: Case) -> Iterator[Wrong]:
    """Each capacitor at a voltage source's value, each inductor at a current source's or at V/R of one resistor."""
    if case.index != 1 or len(case.storage) != 1:
        return
    (element,) = case.storage
    own = own_signal(element)
    right = case.solvers(Find.JUST_BEFORE, own)
    direction = -ONE if right is not None and right.is_number and sign(right.number) < 0 else ONE
    for value, variant in case.undivided(own.kind, case.opened_before):
        start = value.scaled(direction if value.is_number and sign(value.number) > 0 else -direction)
        if case.find != Find.JUST_BEFORE:
            yield from some(from_states(case, {element.name: start}), variant)
        elif case.signal == own:
            yield Wrong(start, variant)


@mistake
def state_jumps(case: Case) -> Iterator[Wrong]:
    """The final value, or a source's in either direction, already at 0+."""
    if case.find != Find.INITIAL or case.signal is None or not case.is_own():
        return
    yield from some(case.read(case.static(case.opens, {})), "to the final value")
    for name, kind, value in case.source_values(case.opens):
        if kind == case.signal.kind:
            yield Wrong(value, f"to the value of {name}")
            yield Wrong(-value, f"to the value of {name}")


@mistake
def nothing_jumps(case: Case) -> Iterator[Wrong]:
    """The value just before, for a quantity that may jump; asked at the very instant of an action, too."""
    if case.may_jump:
        before = case.solvers(Find.JUST_BEFORE)
        at_once = case.find == Find.AT and case.item.at == case.start
        yield from some(before if at_once else from_ingredients(case, x0=before))


@mistake
def wrong_pair_held(case: Case) -> Iterator[Wrong]:
    """The circuit after switching with capacitors as current sources and inductors as voltage sources."""
    if not case.may_jump:
        return
    held: dict[str, Substitution] = {}
    for element in case.storage:
        value = case.solvers(Find.JUST_BEFORE, other_signal(element))
        if value is None:
            return
        held[element.name] = as_current(value) if isinstance(element, Capacitor) else as_voltage(value)
    yield from some(from_ingredients(case, x0=case.read(case.static(case.opens, held))))


@mistake
def empty_element_model_when_charged(case: Case) -> Iterator[Wrong]:
    """The first instant with every storage element as if it were empty."""
    if case.may_jump:
        yield from some(from_ingredients(case, x0=case.read(case.static(case.opens, swapped(case)))))


@mistake
def steady_picture_at_once(case: Case) -> Iterator[Wrong]:
    """The final value as the initial one, of a quantity that may jump."""
    if case.find == Find.INITIAL and case.may_jump:
        yield from some(case.read(case.static(case.opens, {})))


@mistake
def resistor_law_for_storage_element(case: Case) -> Iterator[Wrong]:
    """R times the inductor's current, or the capacitor's voltage over R, for the resistance seen and each resistor."""
    element = next((element for element in case.storage if other_signal(element) == case.signal), None)
    if element is None or case.find not in (Find.INITIAL, Find.FINAL, Find.EXPRESSION, Find.AT):
        return
    state = asked_value(case.question, own_signal(element))
    if state is None:
        return
    resistances = {"the resistance seen": case.resistance(case.index, {}), **{r.name: r.value for r in case.resistors}}
    for name, ohms in resistances.items():
        if ohms is not None and ohms != 0:
            yield Wrong(state.scaled(ONE / ohms if isinstance(element, Capacitor) else ohms), f"with {name}")


@mistake
def start_sign_turned(case: Case) -> Iterator[Wrong]:
    """The start value with its sign reversed, in itself and in what begins with it."""
    if case.find == Find.JUST_BEFORE and case.value is not None:
        yield Wrong(-case.value)
        return
    x0 = case.solvers(Find.INITIAL) if case.signal is not None and case.index else None
    if x0 is not None and x0.terms:
        yield from some(from_ingredients(case, x0=-x0))
    if case.find == Find.INITIAL and case.may_jump:
        turned = {name: -value for name, value in states_before(case).items()}
        yield from some(from_states(case, turned), "of the state")
