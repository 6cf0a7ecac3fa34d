"""What signals and answers are called: dimensions, phrases for the answer sheet, names that students write."""

from __future__ import annotations

from grader.circuit.elements import Signal
from grader.problem import Item, Problem
from grader.quantities.question import time_text
from grader.values.dimension import CHARGE, CURRENT, ENERGY, FLUX, NUMBER, POWER, VOLTAGE, Dimension

SIGNAL_DIMENSIONS: dict[str, Dimension] = {
    "current": CURRENT,
    "voltage": VOLTAGE,
    "power": POWER,
    "energy": ENERGY,
    "charge": CHARGE,
    "flux": FLUX,
}
"""Dimension of each kind of signal."""

LETTERS = {"current": "i", "voltage": "v", "power": "p", "energy": "w", "charge": "q", "flux": "lambda"}
"""The letter each kind of signal is written with (IEC 60027-1, small letters for instantaneous values; from memory)."""


def signal_dimension(problem: Problem, item: Item) -> Dimension:  # noqa: ARG001 - one signature for every entry
    """Dimension of the item's signal."""
    return NUMBER if item.signal is None else SIGNAL_DIMENSIONS[item.signal.kind]


def phrase(signal: Signal | None) -> str:
    """A signal in words: ``"current in L1"``, ``"voltage from a to b"``.

    Examples
    --------
    >>> phrase(Signal(kind="energy", of="C1"))
    'energy stored in C1'
    """
    if signal is None:
        return "answer"
    if not isinstance(signal.of, str):
        return f"voltage from {signal.of[0]} to {signal.of[1]}"
    preposition = {
        "current": "current in",
        "voltage": "voltage across",
        "power": "power taken by",
        "energy": "energy stored in",
        "charge": "charge on",
        "flux": "flux linkage of",
    }[signal.kind]
    return f"{preposition} {signal.of}"


def symbol(signal: Signal | None) -> str:
    """A signal as a formula writes it: ``"i_L1"``, ``"v_ab"``."""
    if signal is None:
        return "x"
    of = signal.of if isinstance(signal.of, str) else "".join(signal.of)
    letter = "λ" if signal.kind == "flux" else LETTERS[signal.kind]
    return f"{letter}_{of}"


def titled(text: str) -> str:
    """A phrase with a capital first letter, all else kept."""
    return text[:1].upper() + text[1:]


def when(item: Item) -> str:
    """Which switching an item means: "" for the first, ``" at t = 5 ms"`` where ``after`` says so."""
    return "" if item.after is None else f" at t = {time_text(item.after)}"


def instants(item: Item, *marks: str) -> tuple[str, ...]:
    """Names of a signal's value at an instant: ``i(0+)``, ``iL(0+)``, ``i_L1(0+)``, for each mark (``"0+"``)."""
    return tuple(f"{stem}({mark})" for stem in stems(item.signal) for mark in marks)


def stems(signal: Signal | None) -> tuple[str, ...]:
    """What a student may call a signal, most particular first: ``i_L1``, ``iL1``, ``i_L``, ``iL``, ``i``."""
    if signal is None:
        return ()
    letter = LETTERS[signal.kind]
    if not isinstance(signal.of, str):
        return (f"{letter}_{''.join(signal.of)}", f"{letter}{''.join(signal.of)}", letter)
    bare = signal.of.rstrip("0123456789_")
    ends = tuple(dict.fromkeys((signal.of, bare)))
    return (*(f"{letter}{joint}{end}" for end in ends for joint in ("_", "")), letter)


def at_zero(item: Item) -> tuple[str, ...]:
    """``i_0``, ``V_0``: the initial value written with an index."""
    return () if item.signal is None else (f"{LETTERS[item.signal.kind]}_0",)
