"""The s-domain against the time domain, and against pairs of a handbook."""

import pytest
from flint import fmpq
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.circuit.elements import ChangeoverSwitch, Circuit, Drive, Signal, Source, Switch
from grader.circuit.laplace import impedance, inverse, transfer_function
from grader.circuit.response import solve
from grader.circuit.transformed import signal_transform
from grader.errors import CircuitError, NotDefined
from grader.values.functions import cos, exp, sin
from grader.values.laplace import S, fraction, transform
from grader.values.scalar import rational
from grader.values.waveform import TIME, Waveform, constant
from tests.circuit.building import C, L, R, V, circuit, voltage
from tests.circuit.test_against_integration import circuits


def q(text):
    return constant(rational(text))


A, B = fmpq(3), fmpq(4)
AT, BT = TIME.scaled(A), TIME.scaled(B)
PAIRS = [
    # M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (AMS 55), table 29.3, with a = 3 and b = 4.
    ("29.3.1", 1 / S, q("1")),
    ("29.3.2", 1 / (S * S), TIME),
    ("29.3.3", 1 / (S * S * S * S), (TIME * TIME * TIME).scaled(fmpq(1, 6))),
    ("29.3.8", 1 / (S + A), exp(-AT)),
    ("29.3.9", 1 / ((S + A) * (S + A)), TIME * exp(-AT)),
    ("29.3.12", 1 / ((S + A) * (S + B)), (exp(-AT) - exp(-BT)).scaled(1 / (B - A))),
    ("29.3.13", S / ((S + A) * (S + B)), (exp(-AT).scaled(A) - exp(-BT).scaled(B)).scaled(1 / (A - B))),
    ("29.3.15", 1 / (S * S + A * A), sin(AT).scaled(1 / A)),
    ("29.3.16", S / (S * S + A * A), cos(AT)),
    ("29.3.19", 1 / (S * (S * S + A * A)), (q("1") - cos(AT)).scaled(1 / (A * A))),
    ("29.3.22", S / ((S * S + A * A) * (S * S + A * A)), (TIME * sin(AT)).scaled(1 / (2 * A))),
    ("29.3.26", 1 / ((S + A) * (S + A) + B * B), (exp(-AT) * sin(BT)).scaled(1 / B)),
    ("29.3.27", (S + A) / ((S + A) * (S + A) + B * B), exp(-AT) * cos(BT)),
]


@pytest.mark.parametrize(("number", "in_s", "in_t"), PAIRS, ids=[pair[0] for pair in PAIRS])
def test_pairs_of_the_handbook(number, in_s, in_t):  # noqa: ARG001 - the pair, in the test's name
    assert transform(in_t).number == in_s
    assert inverse(in_s) == ((), in_t)


def test_an_impulse_stays_beside_the_waveform():
    # By division: (s + 5)/(s + 3) = 1 + 2/(s + 3).
    assert inverse((S + 5) / (S + 3)) == ((fmpq(1),), exp(TIME.scaled(fmpq(-3))).scaled(fmpq(2)))


def changing_at_zero_alone(net, area):
    """The circuit without what happens later, every source with an impulse of that area."""

    def kept(element):
        if isinstance(element, Source):
            pieces = tuple(piece for piece in element.drive.pieces if piece[0] is None or piece[0] <= 0)
            return replace(element, drive=Drive(pieces=pieces, impulses=((fmpq(0), area),) if area else ()))
        if isinstance(element, (Switch, ChangeoverSwitch)):
            return replace(element, actions=tuple(action for action in element.actions if action[0] <= 0))
        return element

    return Circuit(elements=tuple(map(kept, net.elements)), ground=net.ground)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(circuits(), st.sampled_from([fmpq(0), fmpq(3, 2)]))
def test_random_circuits_agree_with_their_response(net, area):
    """Solved in s and inverted, every voltage and current is the response; transformed, the response is that."""
    net = changing_at_zero_alone(net, area)
    try:
        solved = solve(net)
    except (CircuitError, NotDefined):
        assume(False)
    for element in net.elements:
        for kind in ("voltage", "current"):
            asked = Signal(kind=kind, of=element.name)
            try:
                right = solved.waveform(asked)
                in_s = signal_transform(solved, asked)
            except (CircuitError, NotDefined):
                continue
            impulses, found = inverse(in_s.number)
            passed = [i.amount for i in solved.impulses if i.element == element.name and kind == OF[i.kind]]
            assert near(found, right)
            assert len(impulses) <= 1
            assert near(constant(impulses[0]) if impulses else Waveform(), sum(passed, start=Waveform()))


OF = {"charge": "current", "flux": "voltage"}


def near(one, other):
    """Equal, or to a share of 10^-9 at three instants where a root had to be rounded."""
    if one == other:
        return True
    size = max(1e-9, *(abs(w.value(t)) for w in (one, other) for t in (0.0, 0.3, 0.9)))
    return all(abs(one.value(t) - other.value(t)) <= 1e-9 * size for t in (0.0, 0.3, 0.9))


def test_at_s_zero_an_impedance_is_the_resistance_seen():
    # 6 ohm parallel to 3 ohm and 2 H: seen from the gap 6 (3 + 2 s)/(9 + 2 s); a coil is a short in dc, 2 ohm.
    net = circuit(R("R1", "a", "g", "6"), R("R2", "a", "b", "3"), L("L1", "b", "g", "2"), C("C1", "a", "g", "1/10"))
    found = impedance(net, 0, None, "C1").number
    assert found == (6 * (3 + 2 * S)) / (9 + 2 * S)
    assert fraction(found).top[0] / fraction(found).bottom[0] == 2


def test_a_transfer_function_times_the_source_is_the_response_from_rest():
    net = circuit(
        V("Vs", "a", "g", "0", ("0", "5")), R("R1", "a", "b", "6"), L("L1", "b", "c", "1"), C("C1", "c", "g", "1/25")
    )
    through = transfer_function(net, 1, "Vs", voltage("C1")).number
    assert through == 25 / (S * S + 6 * S + 25)
    assert inverse(through * 5 / S)[1] == solve(net).waveform(voltage("C1"))


def test_nothing_flows_into_an_open_gap():
    net = circuit(R("R1", "a", "g", "6"), C("C1", "b", "c", "1"), C("C2", "b", "c", "1"))
    with pytest.raises(NotDefined, match="no current can flow"):
        impedance(net, 0, ("a", "b"), None)
