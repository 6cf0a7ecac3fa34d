"""The responses of the recorded rubrics' circuits: every element's current and voltage in every interval.

As with `tests/recorded/marks.py`, nobody worked these out; ``python -m tests.recorded.responses`` records them anew.
"""

import csv
from collections.abc import Callable, Iterator
from pathlib import Path

from msgspec.structs import astuple

from grader.circuit.elements import Circuit, CoupledInductors, Signal, Switch
from grader.circuit.response import solve
from grader.errors import GraderError
from grader.values.scalar import Scalar, scalar_text, to_float
from grader.values.text import waveform_text
from grader.values.waveform import Waveform
from tests.recorded.marks import SOURCES, rubric_of

TABLE = Path(__file__).with_name("responses.csv")
COLUMNS = ("circuit", "interval", "signal", "before", "after", "final", "expression")


def circuits() -> dict[str, Circuit]:
    """The circuits by rubric and problem."""
    return {
        f"{name}.{problem.id}": problem.circuit
        for name, source in SOURCES.items()
        if "marking" not in source
        for problem in rubric_of(name).problems
        if problem.circuit is not None
    }


def responses_of(name: str, circuit: Circuit) -> Iterator[dict[str, str]]:
    """The rows of one circuit."""
    solved = solve(circuit)
    empty = dict.fromkeys(COLUMNS, "") | {"circuit": name}
    elements = [e.name for e in solved.circuit.elements if not isinstance(e, Switch | CoupledInductors)]
    ways = (solved.just_before, solved.just_after, solved.final, solved.waveform)
    for index in range(len(solved.intervals)):
        here = empty | {"interval": str(index)}
        if index:
            roots = [
                f"{_number(r.real, r.exact)} {_number(r.imaginary, r.exact)} {r.multiplicity}"
                for r in solved.characteristic(index).roots
            ]
            yield here | {"signal": "roots", "expression": "; ".join(roots)}
        for signal in (Signal(kind=kind, of=one) for one in elements for kind in ("current", "voltage")):
            said = {
                c: _text(way, signal, index) for c, way in zip(COLUMNS[3:], ways, strict=True) if index or c[0] in "ef"
            }
            yield here | {"signal": f"{signal.kind} {signal.of}"} | said
    for one in solved.impulses:
        yield empty | {"signal": f"{one.kind} {one.element} at {one.time}", "expression": waveform_text(one.amount)}


def _text(way: Callable[[Signal, int], Waveform], signal: Signal, index: int) -> str:
    try:
        found = way(signal, index)
    except GraderError as error:
        return str(error)
    if found.exact or not found.terms:
        return waveform_text(found)
    return "; ".join(
        " ".join(f"{number:.9g}" for number in mode)
        for mode in sorted(map(astuple, found.modes()), key=lambda m: m[2:])
    )


def _number(value: Scalar, exact: bool) -> str:
    return scalar_text(value) if exact else f"{to_float(value):.9g}"


def recorded() -> list[dict[str, str]]:
    """The table as recorded."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def main() -> None:
    """Record the table anew."""
    rows = [row for name, circuit in circuits().items() for row in responses_of(name, circuit)]
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
