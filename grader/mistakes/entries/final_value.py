"""The end found wrongly: what the circuit settles to."""

from collections.abc import Iterator

from grader.circuit.network import positions
from grader.circuit.statics import SHORT
from grader.mistakes.case import FINAL, INITIAL, Case
from grader.mistakes.propagate import OF_EXPRESSION, by_expression, from_ingredients, some, swapped
from grader.mistakes.records import OBSERVED, REVIEW_SECOND_ORDER, REVIEW_STORAGE, Citation, Wrong, mistake
from grader.values.scalar import sign
from grader.values.waveform import Waveform


@mistake(
    title="Storage roles swapped at the end",
    idea="When all has settled a coil whose current no longer changes has no voltage, and a capacitor whose voltage no "
    "longer changes has no current. The final circuit was drawn the other way round.",
    nudge="When everything has settled, what is the voltage of a coil whose current no longer changes, or the current "
    "of a capacitor whose voltage no longer changes?",
    remark="The final value was found with inductors open and capacitors short.",
    source=Citation(
        "Exam-review notes (public), and A2L concept question 254, an LR circuit after a long time, teacher's notes.",
        OBSERVED,
    ),
)
def storage_roles_swapped_after(case: Case) -> Iterator[Wrong]:
    """The dc circuit after switching with the roles exchanged."""
    if case.signal is not None and case.index:
        yield from some(from_ingredients(case, xf=case.read(case.static(case.opens, swapped(case)))))


@mistake(
    title="Capacitor branch still conducts at the end",
    idea="A steady current into a capacitor would pile up charge without end. Once it is charged, no current flows in "
    "its branch, and the rest of the circuit carries what a complete circuit without it carries.",
    nudge="Where would the charge have to go if that current never stopped?",
    remark="The current of the first instant was given as the final one.",
    source=Citation(
        "Am. J. Phys. 81, 389 (2013), abstract: almost half of the students gave up the complete circuit once a capacitor was in it.",
        OBSERVED,
    ),
)
def capacitor_branch_still_conducts(case: Case) -> Iterator[Wrong]:
    """The initial current as the final one, in a circuit with capacitors."""
    if case.find == FINAL and case.capacitive and case.signal is not None and case.signal.kind == "current":
        yield from some(case.solvers(INITIAL))


@mistake(
    title="Final value zero in spite of a source",
    idea="The natural part dies away, the forced part stays. Where a source is still connected, the response settles "
    "to what that source maintains.",
    nudge="Is there a source still connected when the transient has died away?",
    remark="The final value was given as zero.",
    source=REVIEW_SECOND_ORDER,
)
def final_zero_with_source(case: Case) -> Iterator[Wrong]:
    """Zero."""
    if case.find == FINAL:
        yield Wrong(Waveform())


@mistake(
    title="Final value from the circuit before switching",
    idea="The element settles in the circuit it sees from the switching on. The dc solution used belongs to the old "
    "switch position.",
    nudge="Which circuit will the element see for all the time to come?",
    remark="The final value is that of the dc circuit before switching.",
)
def final_from_circuit_before(case: Case) -> Iterator[Wrong]:
    """The dc solution of the circuit before the switching."""
    if case.signal is not None and case.index:
        yield from some(from_ingredients(case, xf=case.read(case.static(case.opened_before, {}))))


@mistake(
    title="Disconnected source or branch kept",
    idea="A source behind an open switch drives nothing any more. It was still counted in the final circuit.",
    nudge="Trace the loop after switching: is everything you counted still part of it?",
    remark="The final value was found with an open switch taken as closed.",
)
def disconnected_part_kept(case: Case) -> Iterator[Wrong]:
    """The final value with one open switch taken as closed, each in turn."""
    if case.signal is None or not case.index:
        return
    where = positions(case.circuit, case.opens)
    for switch in case.switches:
        if not where[switch.name]:
            xf = case.read(case.static(case.opens, {switch.name: SHORT}))
            yield from some(from_ingredients(case, xf=xf), f"{switch.name} as if closed")


@mistake(
    title="Final value taken as the source's value",
    idea="The divider was ignored: not all of the source's voltage, and not the current that one resistor alone would "
    "draw, reaches the element.",
    nudge="Do all the current and all the voltage of the source really reach this element?",
    remark="The final value is a source's value, or a source over a single resistor.",
    source=REVIEW_STORAGE,
)
def final_is_source_value(case: Case) -> Iterator[Wrong]:
    """Each source's value; for a current also each voltage over each single resistor."""
    if case.signal is None or not case.index or case.signal.kind not in ("voltage", "current"):
        return
    right = case.solvers(FINAL)
    if right is None or not right.is_number:
        return
    direction = sign(right.number) or 1
    for value, variant in case.undivided(case.signal.kind, case.opens):
        turned = value if value.is_number and sign(value.number) == direction else -value
        yield from some(from_ingredients(case, xf=turned), variant)


@mistake(
    title="Start and final value exchanged",
    idea="Both values were found rightly and put in each other's place: one question is about the first instant, the "
    "other about long afterwards.",
    nudge="Read the two questions again: which is about the first instant, and which about long afterwards?",
    remark="The initial and the final value are in each other's place.",
)
def start_and_final_exchanged(case: Case) -> Iterator[Wrong]:
    """The final value as the initial one, the initial one as the final."""
    if case.find in OF_EXPRESSION:
        yield from by_expression(case, "x0+(xf-x0)*e^(-(t-t1)/tau)")
    elif case.signal is not None and case.index and not (case.find == INITIAL and not case.is_own()):
        x0, xf = case.solvers(INITIAL), case.solvers(FINAL)
        if x0 is not None and xf is not None:
            yield from some(from_ingredients(case, x0=xf, xf=x0))
