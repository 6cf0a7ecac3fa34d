"""What is written beside an element, and the same in a sentence for those who do not see the picture."""

import math
from collections.abc import Mapping

from flint import fmpq

from grader.circuit.elements import (
    ChangeoverSwitch,
    CoupledInductors,
    DependentSource,
    Drive,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Passive,
    Source,
    Storage,
    Switch,
    Switching,
    TwoTerminal,
)
from grader.regex import regex
from grader.reports.drawing.symbols import Winding
from grader.rubric.personal import is_range
from grader.values.dimension import INDUCTANCE, NUMBER, TIME, Dimension, unit_symbol
from grader.values.scalar import Scalar, is_symbolic, scalar_text, to_float
from grader.values.term import TermMode
from grader.values.text import number_text, value_text, waveform_text
from grader.values.waveform import Waveform

LONGEST = 34
"""Characters of a value beside a symbol; a longer waveform stands below the drawing."""


def label_lines(element: Element, written: Mapping[str, str]) -> tuple[str, ...]:
    """The name and, below it, what the drawing says of the element: its value as the instructor wrote it, else worked out."""
    if isinstance(element, ChangeoverSwitch) and len(element.actions) == 1:
        return element.name, f"moves at {_instant(element.actions[0][0])}"
    if isinstance(element, Switching):
        return (element.name, *_moves(element))
    if isinstance(element, IdealOpAmp):
        return (element.name,)
    if isinstance(element, Winding):
        which = "primary" if element.name == element.of.name else "secondary"
        return element.of.name, f"{which} of {value_of(element.of, written)}"
    value = value_of(element, written)
    if len(value) > LONGEST:
        value = "see below"
    initial = _initial(element)
    return (element.name, value, initial) if initial else (element.name, value)


def remark(element: Element, written: Mapping[str, str]) -> str:
    """What stands below the drawing of an element that has no room for its value beside it, or no place; "" for others."""
    value = value_of(element, written)
    if isinstance(element, CoupledInductors):
        return f"{element.name}: {value}, couples {' and '.join(element.inductors)}"
    return f"{element.name}: {value}" if len(value) > LONGEST else ""


def sentence(element: Element, written: Mapping[str, str]) -> str:
    """What the element is, its value and where it is connected, in words.

    Examples
    --------
    >>> from grader.circuit.elements import Resistor
    >>> sentence(Resistor(name="R1", between=("a", "b"), value=fmpq(6800)), {})
    'R1: resistor, 6.8 kΩ, from a to b.'
    """
    kind = element.kind
    if isinstance(element, IdealOpAmp):
        where = f"non-inverting input at {element.non_inverting}, inverting input at {element.inverting}"
        return f"{element.name}: {kind}, {where}, output at {element.output}."
    if isinstance(element, CoupledInductors):
        first, second = element.inductors
        value = value_of(element, written)
        return f"{element.name}: {kind} {first} and {second}, {value}, dots at their first nodes."
    if isinstance(element, ChangeoverSwitch):
        return (
            f"{element.name}: {kind}, connects {element.common} to {element.before}, then {', '.join(_moves(element))}."
        )
    if isinstance(element, IdealTransformer):
        one, two = (" and ".join(nodes) for nodes in (element.primary, element.secondary))
        turns = f"turns {value_of(element, written)}, dots at the first nodes"
        return f"{element.name}: {kind}, primary between {one}, secondary between {two}, {turns}."
    assert isinstance(element, TwoTerminal)
    first, second = element.between
    if isinstance(element, Switch):
        return f"{element.name}: {kind} between {first} and {second}, {', '.join(_moves(element))}."
    ends = f"from {first} to {second}"
    if isinstance(element, (Source, DependentSource)) and element.delivers == "voltage":
        ends = f"plus at {first}, minus at {second}"
    initial = _initial(element)
    extra = f", {initial}" if initial else ""
    return f"{element.name}: {kind}, {value_of(element, written)}{extra}, {ends}."


def value_of(element: Element, written: Mapping[str, str]) -> str:
    """The element's value as written, tidied; else worked out; "" for what has none.

    Of a range of personal values it is the one that the circuit has.
    """
    if isinstance(element, CoupledInductors):
        return _coupling(element, written.get(element.name, ""))
    if isinstance(element, IdealTransformer):
        return f"{tidy(written.get(element.name, '')) or _amount(element.ratio, NUMBER)} : 1"
    if isinstance(element, DependentSource):
        return f"{_amount(element.gain, element.dimension)} · {_control(element)}"
    if element.name in written and not is_range(written[element.name]):
        return tidy(written[element.name])
    if isinstance(element, Passive):
        return _amount(element.value, element.dimension)
    return _drive(element.drive, element.dimension) if isinstance(element, Source) else ""


_OHM = regex(r"(?<![A-Za-z])([kKmMuµμnGT]?)\s?[oO]hms?\b")
_MICRO = regex(r"(?<=[\d ])[uµ](?=[FHAVsWJΩ]\b)")
_GLUED = regex(r"(?<=\d)(?=(?:[kMmnpμG]?(?:Ω|[FHAVs]))\b|[kMm]?Ω)")


def tidy(text: str) -> str:
    """A value as typed, with the unit's symbol in print and a space before it.

    Examples
    --------
    >>> tidy("6.8 kohm"), tidy("4.7uF"), tidy("R"), tidy("10 cos(377 t) V")
    ('6.8 kΩ', '4.7 μF', 'R', '10 cos(377 t) V')
    """
    text = _OHM.sub(r"\1Ω", text.strip())
    text = _MICRO.sub("μ", text)
    return _GLUED.sub(" ", text).replace("*", "·")


def _control(element: DependentSource) -> str:
    letter = "v" if element.controlled_by == "voltage" else "i"
    at = element.control if isinstance(element.control, str) else ", ".join(element.control)
    return f"{letter}({at})"


def _amount(value: Scalar, dimension: Dimension) -> str:
    if is_symbolic(value):
        unit = "" if dimension == NUMBER else f" {unit_symbol(dimension)}"
        text = scalar_text(value)
        return text if text.isidentifier() else f"{text}{unit}"
    return value_text(to_float(value), dimension).replace("-", "−")


def _initial(element: Element) -> str:
    if not isinstance(element, Storage) or element.initial is None:
        return ""
    return f"{'v' if element.stores == 'voltage' else 'i'}(0) = {_amount(element.initial, element.state_dimension)}"


def _drive(drive: Drive, dimension: Dimension) -> str:
    texts = [_level(waveform, dimension) for _, waveform in drive.pieces]
    pieces = [texts[0]]
    for (start, _), text in zip(drive.pieces[1:], texts[1:], strict=True):
        pieces.append(f"{text} from {_instant(start)}" if start is not None else text)
    return ", ".join(pieces)


def _level(waveform: Waveform, dimension: Dimension) -> str:
    if waveform.is_number:
        return _amount(waveform.number, dimension)
    if waveform.is_symbolic:
        return f"({waveform_text(waveform)}) {unit_symbol(dimension)}"
    terms = [term for mode in waveform.modes() for term in _terms(mode)]
    text = " + ".join(terms).replace("+ -", "− ")
    return f"{text} {unit_symbol(dimension)}" if len(terms) == 1 else f"({text}) {unit_symbol(dimension)}"


def _terms(mode: TermMode) -> list[str]:
    """A term of a source's waveform as it is written: ``10 cos(377 t)``, ``5 e^(-200 t)``."""
    tail = "".join(
        text
        for text, there in (
            (" t" if mode.power == 1 else f" t^{mode.power}", mode.power),
            (f" e^({number_text(mode.rate)} t)", mode.rate),
        )
        if there
    )
    if mode.frequency == 0:
        return [f"{number_text(mode.cosine)}{tail}"]
    waves = ((mode.cosine, "cos"), (mode.sine, "sin"))
    return [f"{number_text(size)}{tail} {wave}({number_text(mode.frequency)} t)" for size, wave in waves if size]


def _coupling(element: CoupledInductors, text: str) -> str:
    """The mutual inductance, or the coefficient where the instructor gave that: a plain number of another size."""
    try:
        given = float(text)
    except ValueError:
        return f"M = {tidy(text) if text else _amount(element.mutual, INDUCTANCE)}"
    is_mutual = not is_symbolic(element.mutual) and math.isclose(given, to_float(element.mutual), rel_tol=1e-9)
    return f"M = {_amount(element.mutual, INDUCTANCE)}" if is_mutual else f"k = {text}"


def _moves(switch: Switching) -> list[str]:
    """``closes at t = 0``, ``to b at t = 2 ms``."""
    words: dict[bool | str, str] = {True: "closes", False: "opens"}
    return [f"{words.get(to) or f'to {to}'} at {_instant(time)}" for time, to in switch.actions]


def _instant(time: fmpq) -> str:
    return "t = 0" if time == 0 else f"t = {value_text(to_float(time), TIME)}"
