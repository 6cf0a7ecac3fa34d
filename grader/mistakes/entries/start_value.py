"""The start found wrongly: what the storage elements hold when the switch acts, and what they leave as it was."""

from collections.abc import Iterator

from grader.circuit.elements import Capacitor
from grader.circuit.statics import Substitution, as_current, as_voltage
from grader.mistakes.case import AT, BEFORE, EXPRESSION, FINAL, INITIAL, Case, derived_signal
from grader.mistakes.propagate import from_circuit_before, from_ingredients, from_states, some, states_before, swapped
from grader.mistakes.records import (
    OBSERVED,
    REPORTED,
    REVIEW_SECOND_ORDER,
    REVIEW_STORAGE,
    SIGN_RULES,
    Citation,
    Wrong,
    mistake,
)
from grader.quantities.links import asked_value, own_signal
from grader.values.scalar import ONE, sign
from grader.values.waveform import Waveform


@mistake(
    title="Start at rest assumed",
    idea="Many first examples start from rest, so rest becomes a habit. Where something fed the element before the "
    "switch moved, it starts with what that left in it.",
    nudge="Was anything feeding the element before the switch moved?",
    remark="All capacitors were taken as uncharged and all inductors as currentless at the start.",
    source=REVIEW_STORAGE,
)
def rest_assumed(case: Case) -> Iterator[Wrong]:
    """Zero volts on every capacitor and zero amperes in every inductor."""
    if case.index == 1 and case.find == BEFORE and case.is_own():
        yield Wrong(Waveform())
    elif case.index == 1:
        yield from some(from_states(case, {element.name: Waveform() for element in case.storage}))


@mistake(
    title="Storage roles swapped before switching",
    idea="In the dc steady state nothing changes, so a capacitor carries no current (open) and an inductor has no "
    "voltage (short). The two were exchanged, often because the picture of an empty element just after switching is "
    "carried over to the long time before it.",
    nudge="After a long time nothing changes any more: what does that say about dv/dt or di/dt in your element?",
    remark="The circuit before switching was solved with capacitors as shorts and inductors as opens.",
    source=Citation(
        "Listed as a mistake in public engineering exam-review notes, those on inductors and capacitors and the whole review.",
        OBSERVED,
    ),
)
def storage_roles_swapped_before(case: Case) -> Iterator[Wrong]:
    """The dc circuit before switching with the roles exchanged, and whatever starts from it."""
    if case.starts_settled:
        yield from some(from_circuit_before(case, case.static(case.opened_before, swapped(case))))


@mistake(
    title="Start value from the circuit after switching",
    idea="The element remembers what the circuit before switching did to it. Solving the dc problem with the switch "
    "already moved leaves no transient at all, which is the sign to look for.",
    nudge="The element remembers the time before t = 0: which picture of the switch did you use?",
    remark="The state before switching was taken from the dc solution of the circuit after it.",
)
def start_from_circuit_after(case: Case) -> Iterator[Wrong]:
    """The dc state of the circuit after switching, taken for the one before."""
    if case.starts_settled and not (case.find == INITIAL and case.is_own()):
        yield from some(from_circuit_before(case, case.static(case.opens, {})))


@mistake(
    title="Source value taken over directly",
    idea="The element was given the source's whole voltage or current, as if nothing on the way divided it.",
    nudge="Follow the path from the source to the element: does anything share the voltage or the current?",
    remark="The storage element was given a source's value (or one source over one resistor) as its start value.",
)
def source_value_taken_directly(case: Case) -> Iterator[Wrong]:
    """Each capacitor at a voltage source's value, each inductor at a current source's or at V/R of one resistor."""
    if case.index != 1 or len(case.storage) != 1:
        return
    (element,) = case.storage
    own = own_signal(element)
    right = case.solvers(BEFORE, own)
    direction = -ONE if right is not None and right.is_number and sign(right.number) < 0 else ONE
    for value, variant in case.undivided(own.kind, case.opened_before):
        start = value.scaled(direction if value.is_number and sign(value.number) > 0 else -direction)
        if case.find != BEFORE:
            yield from some(from_states(case, {element.name: start}), variant)
        elif case.signal == own:
            yield Wrong(start, variant)


@mistake(
    title="Capacitor voltage or inductor current jumps",
    idea="A jump of a capacitor's voltage would need an infinite current, a jump of an inductor's current an infinite "
    "voltage. The answer takes the new value at the very instant of switching.",
    nudge="What current (or voltage) would such a sudden change need?",
    remark="The final value or a source's value was given as the value just after switching.",
    source=Citation(
        "Listed as a mistake in public engineering exam-review notes and in a public teaching file of misconceptions on RC.",
        OBSERVED,
    ),
)
def state_jumps(case: Case) -> Iterator[Wrong]:
    """The final value, or a source's in either direction, already at 0+."""
    if case.find != INITIAL or case.signal is None or not case.is_own():
        return
    yield from some(case.read(case.static(case.opens, {})), "to the final value")
    for name, kind, value in case.source_values(case.opens):
        if kind == case.signal.kind:
            yield Wrong(value, f"to the value of {name}")
            yield Wrong(-value, f"to the value of {name}")


@mistake(
    title="Nothing may jump",
    idea="Only what is under a derivative (capacitor voltage, inductor current) is continuous. Resistor currents and "
    "voltages, a capacitor's current and an inductor's voltage may jump with the switch.",
    nudge="Only some quantities have to be continuous: is the one you were asked for among them?",
    remark="The value just before switching was given as the value just after it.",
    source=REVIEW_SECOND_ORDER._replace(prior=OBSERVED),  # which call it common
)
def nothing_jumps(case: Case) -> Iterator[Wrong]:
    """The value just before, for a quantity that may jump; asked at the very instant of an action, too."""
    if case.may_jump:
        before = case.solvers(BEFORE)
        at_once = case.find == AT and case.item.at == case.start
        yield from some(before if at_once else from_ingredients(case, x0=before))


@mistake(
    title="The wrong pair held at the switching",
    idea="What cannot jump is the quantity under the d/dt of each element's law: voltage of a capacitor, current of an "
    "inductor. Here the other one of each pair was kept.",
    nudge="Which quantity stands under the d/dt in each element's law?",
    remark="Capacitor currents and inductor voltages were carried through the switching.",
    source=Citation(
        "Listed as a mistake in two sets of public engineering exam-review notes, second order and storage elements.",
        OBSERVED,
    ),
)
def wrong_pair_held(case: Case) -> Iterator[Wrong]:
    """The circuit after switching with capacitors as current sources and inductors as voltage sources."""
    if not case.may_jump:
        return
    held: dict[str, Substitution] = {}
    for element in case.storage:
        value = case.solvers(BEFORE, derived_signal(element))
        if value is None:
            return
        held[element.name] = as_current(value) if isinstance(element, Capacitor) else as_voltage(value)
    yield from some(from_ingredients(case, x0=case.read(case.static(case.opens, held))))


@mistake(
    title="Model of the empty element used on a charged one",
    idea="Just after switching a capacitor holds its voltage and an inductor its current. Only without stored energy "
    "do they look like a short and an open circuit.",
    nudge="That picture belongs to an element with no stored energy: does yours have any?",
    remark="Just after switching the capacitor was taken as a short, the inductor as an open, in spite of their stored "
    "energy.",
)
def empty_element_model_when_charged(case: Case) -> Iterator[Wrong]:
    """The first instant with every storage element as if it were empty."""
    if case.may_jump:
        yield from some(from_ingredients(case, x0=case.read(case.static(case.opens, swapped(case)))))


@mistake(
    title="Steady-state picture used at 0+",
    idea="Capacitor open and inductor short describe the circuit when all has settled. At the first instant the "
    "element still holds its old voltage or current.",
    nudge="Immediately after switching, has the circuit had time to settle?",
    remark="The value just after switching was taken from the dc circuit of the long time after it.",
    source=Citation("A2L concept question 253, an LR circuit just after the switch closes, teacher's notes.", REPORTED),
)
def steady_picture_at_once(case: Case) -> Iterator[Wrong]:
    """The final value as the initial one, of a quantity that may jump."""
    if case.find == INITIAL and case.may_jump:
        yield from some(case.read(case.static(case.opens, {})))


@mistake(
    title="Ohm's law used on a storage element",
    idea="A coil's voltage is L di/dt and a capacitor's current C dv/dt. Ohm's law belongs to resistors.",
    nudge="Which law belongs to the part whose voltage or current you want?",
    remark="The storage element's quantity was found by Ohm's law.",
    source=Citation("Seen in a student's attempt: Physics Forums thread 592831.", OBSERVED),
)
def resistor_law_for_storage_element(case: Case) -> Iterator[Wrong]:
    """R times the inductor's current, or the capacitor's voltage over R, for the resistance seen and each resistor."""
    element = next((element for element in case.storage if derived_signal(element) == case.signal), None)
    if element is None or case.find not in (INITIAL, FINAL, EXPRESSION, AT):
        return
    state = asked_value(case.question, own_signal(element))
    if state is None:
        return
    resistances = {"the resistance seen": case.resistance(case.index, {}), **{r.name: r.value for r in case.resistors}}
    for name, ohms in resistances.items():
        if ohms is not None and ohms != 0:
            yield Wrong(state.scaled(ONE / ohms if isinstance(element, Capacitor) else ohms), f"with {name}")


@mistake(
    title="Sign of the start value turned",
    idea="Signs belong to reference directions. The value is right in size but counted against the arrow or the + mark "
    "of the drawing.",
    nudge="Put the given arrow or + mark back on your sketch: what do you read along it?",
    remark="The start value has the right size and the opposite sign.",
    source=SIGN_RULES,
)
def start_sign_turned(case: Case) -> Iterator[Wrong]:
    """The start value with its sign reversed, in itself and in what begins with it."""
    if case.find == BEFORE and case.value is not None:
        yield Wrong(-case.value)
        return
    x0 = case.solvers(INITIAL) if case.signal is not None and case.index else None
    if x0 is not None:
        yield from some(from_ingredients(case, x0=-x0))
    if case.find == INITIAL and case.may_jump:
        turned = {name: -value for name, value in states_before(case).items()}
        yield from some(from_states(case, turned), "of the state")
