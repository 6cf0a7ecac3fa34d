"""What signals and answers are called: dimensions, phrases for the answer sheet, names that students write."""

import re
from collections.abc import Callable

from flint import fmpq

from grader.circuit.elements import Signal
from grader.circuit.network import instants as action_times
from grader.problem import Item, Problem
from grader.quantities.question import time_text
from grader.reading.words import lettered
from grader.values.dimension import NUMBER, Dimension
from grader.values.scalar import to_float

LETTERS = {"current": "i", "voltage": "v", "power": "p", "energy": "w", "charge": "q", "flux": "lambda"}
"""The letter each kind of signal is written with (IEC 60027-1, small letters for instantaneous values; from memory)."""


def signal_dimension(item: Item) -> Dimension:
    """Dimension of the item's signal."""
    return NUMBER if item.signal is None else item.signal.dimension


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
    return "x" if signal is None else signal.symbol


def ordinal(number: str) -> str:
    """A place in a row: ``"2nd"``, ``"11th"``."""
    teen = number[-2:-1] == "1"
    return number + ("th" if teen else {"1": "st", "2": "nd", "3": "rd"}.get(number[-1], "th"))


def titled(text: str) -> str:
    """A phrase with a capital first letter, all else kept."""
    return text[:1].upper() + text[1:]


def opening(problem: Problem, item: Item) -> fmpq | None:
    """The action that opens the interval meant, where it must be named: ``after``, or the first one of several."""
    if item.after is not None or problem.circuit is None:
        return item.after
    acting = action_times(problem.circuit)
    return acting[0] if len(acting) > 1 else None


def when(problem: Problem, item: Item) -> str:
    """Which switching an item means: "" where there is one alone, else ``" at t = 5 ms"``."""
    found = opening(problem, item)
    return "" if found is None else f" at t = {time_text(found)}"


def after_switching(problem: Problem, item: Item) -> str:
    """``", after the switching at t = 5 ms"``, where that must be said."""
    found = when(problem, item)
    return f", after the switching{found}" if found else ""


def terminals(problem: Problem, item: Item) -> str:
    """Which pair of terminals is meant, and after which switching."""
    where = f"at the terminals of {item.by}, itself taken out" if item.by is not None else ""
    if item.between is not None:
        where = f"between {item.between[0]} and {item.between[1]}"
    return f"{where}{after_switching(problem, item)}"


def later_actions(problem: Problem, item: Item) -> bool:
    """Whether the circuit changes again after the interval meant has begun."""
    if problem.circuit is None:
        return False
    found = opening(problem, item)
    return found is not None and any(time > found for time in action_times(problem.circuit))


def in_the_end(problem: Problem, item: Item) -> str:
    """``"after a long time"``, and what is meant by it where the circuit changes in between."""
    if opening(problem, item) is None:
        return "after a long time"
    since = ", had nothing acted since" if later_actions(problem, item) else ""
    return f"a long time after the switching{when(problem, item)}{since}"


def stretch_text(problem: Problem, item: Item, *, lasting: bool = False) -> str:
    """The time that an item speaks of: ``"from the switching at t = 2 ms on"``, ``"from t = 0 s until t = 5 ms"``."""
    if item.start is None and item.until is None:
        if lasting or not later_actions(problem, item):
            return f"from the switching{when(problem, item)} on"
        return f"from the switching{when(problem, item)} until the next"
    begin = f"t = {time_text(item.start)}" if item.start is not None else f"the switching{when(problem, item)}"
    return f"from {begin} on" if item.until is None else f"from {begin} until t = {time_text(item.until)}"


def instants(item: Item, *marks: str) -> tuple[str, ...]:
    """Names of a signal's value at an instant: ``i(0+)``, ``iL(0+)``, ``i_L1(0+)``, for each mark (``"0+"``)."""
    return tuple(f"{stem}({mark})" for stem in stems(item.signal) for mark in marks)


def instants_at(item: Item, time: fmpq, *signs: str) -> tuple[str, ...]:
    """The same for an instant with its unit, just before or after it: ``i(30ms-)``, ``iL(0.03s)``."""
    seconds = to_float(time)
    texts = dict.fromkeys((f"{1e3 * seconds:.6g}ms", f"{seconds:.6g}s", f"{1e6 * seconds:.6g}us"))
    return instants(item, *(f"{text}{sign}" for text in texts for sign in signs))


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


WORDS: dict[str, Callable[[Problem, Item], str]] = {
    "signal": lambda _, item: phrase(item.signal),
    "Signal": lambda _, item: titled(phrase(item.signal)),
    "symbol": lambda _, item: titled(symbol(item.signal)),
    "of": lambda _, item: " and ".join(item.of),
    "of several": lambda _, item: f" of {', '.join(item.of)}" if item.of else "",
    "source": lambda _, item: item.of[0],
    "options": lambda _, item: lettered(item.options),
    "at": lambda _, item: time_text(item.at) if item.at is not None else "",
    "when": when,
    "after": after_switching,
    "in the end": in_the_end,
    "stretch": stretch_text,
    "lasting": lambda problem, item: stretch_text(problem, item, lasting=True),
    "terminals": terminals,
    "band": lambda _, item: dict(item.settings)["band"],
}
"""What an entry's label may hold in braces, and what stands there on the answer sheet."""


def worded(label: str, problem: Problem, item: Item) -> str:
    """A label with what stands in braces in it filled in: ``"Final value: {signal} {in the end}"``."""
    return re.sub(r"{([^}]+)}", lambda found: WORDS[found[1]](problem, item), label)
