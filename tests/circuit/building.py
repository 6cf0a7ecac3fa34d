"""Short ways to write circuits down in tests: values as decimal text in SI base units."""

# ruff: noqa: N802 - capital letters are the trade's names of elements

from flint import fmpq

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    Drive,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Inductor,
    Resistor,
    Signal,
    Switch,
    VoltageSource,
)
from grader.values.scalar import rational
from grader.values.waveform import Waveform, constant


def _scalar(value):
    return rational(value) if isinstance(value, str | int) else value


def drive(*pieces) -> Drive:
    """``drive(5)``: since ever; ``drive(0, ("2", 5))``: 5 from 2 s on; waveforms serve as well as numbers."""
    first, *later = pieces
    return Drive(pieces=((None, _wave(first)), *((rational(at), _wave(value)) for at, value in later)))


def _wave(value) -> Waveform:
    return value if isinstance(value, Waveform) else constant(_scalar(value))


def R(name, a, b, value) -> Resistor:
    return Resistor(name=name, between=(a, b), value=_scalar(value))


def C(name, a, b, value, initial=None) -> Capacitor:
    return Capacitor(
        name=name, between=(a, b), value=_scalar(value), initial=None if initial is None else _scalar(initial)
    )


def L(name, a, b, value, initial=None) -> Inductor:
    return Inductor(
        name=name, between=(a, b), value=_scalar(value), initial=None if initial is None else _scalar(initial)
    )


def V(name, a, b, *pieces) -> VoltageSource:
    return VoltageSource(name=name, between=(a, b), drive=drive(*pieces))


def I(name, a, b, *pieces) -> CurrentSource:  # noqa: E743 - the trade's letter
    return CurrentSource(name=name, between=(a, b), drive=drive(*pieces))


def dependent(name, a, b, delivers, controlled_by, gain, control) -> DependentSource:
    return DependentSource(
        name=name, between=(a, b), delivers=delivers, controlled_by=controlled_by, gain=_scalar(gain), control=control
    )


def closes(name, a, b, *times) -> Switch:
    """Open at first; acts at every time given."""
    return Switch(
        name=name,
        between=(a, b),
        before=False,
        actions=tuple((rational(t), i % 2 == 0) for i, t in enumerate(times or ("0",))),
    )


def opens(name, a, b, *times) -> Switch:
    """Closed at first; acts at every time given."""
    return Switch(
        name=name,
        between=(a, b),
        before=True,
        actions=tuple((rational(t), i % 2 == 1) for i, t in enumerate(times or ("0",))),
    )


def changeover(name, common, before, *actions) -> ChangeoverSwitch:
    return ChangeoverSwitch(
        name=name, common=common, before=before, actions=tuple((rational(t), to) for t, to in actions)
    )


def op_amp(name, plus, minus, output) -> IdealOpAmp:
    return IdealOpAmp(name=name, non_inverting=plus, inverting=minus, output=output)


def coupled(name, first, second, mutual) -> CoupledInductors:
    return CoupledInductors(name=name, inductors=(first, second), mutual=_scalar(mutual))


def transformer(name, primary, secondary, ratio) -> IdealTransformer:
    return IdealTransformer(name=name, primary=primary, secondary=secondary, ratio=_scalar(ratio))


def circuit(*elements: Element, ground="g") -> Circuit:
    return Circuit(elements=elements, ground=ground)


def current(of) -> Signal:
    return Signal(kind="current", of=of)


def voltage(*of) -> Signal:
    return Signal(kind="voltage", of=of[0] if len(of) == 1 else of)


def signal(kind, of) -> Signal:
    return Signal(kind=kind, of=of)


def q(value) -> fmpq:
    return rational(value)
