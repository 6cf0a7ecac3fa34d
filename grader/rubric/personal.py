"""Personal values: a rubric gives a range, and every student works with a value of their own out of it.

In place of an element's plain value (of a resistor, capacitor, inductor or dc source) stand the two ends of a range,
and if need be how it is divided::

    value = "12 V … 48 V, step 4 V"     # 12 V, 16 V … 48 V
    value = "1 kohm … 10 kohm, E6"      # the preferred values of that series (IEC 60063)
    value = "2 mH ... 20 mH"            # of E12, where nothing is said

Which one a student gets follows from the student's id, the problem, the element and a secret of the instructor's, by
a keyed hash: the same at every run and on every machine, independent from one element to the next, and not to be
guessed from anybody else's.  Without a student the middle value stands for the range (blank sheets, `vet`).

References
----------
RFC 2104, HMAC: Keyed-Hashing for Message Authentication, 1997.
"""

import hashlib
import hmac
from collections.abc import Mapping

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Circuit, CoupledInductors, Element, Passive, Source
from grader.problem import Problem, Rubric
from grader.quantities.design import with_designs, with_value
from grader.quantities.formulas import with_formulas
from grader.quantities.preferred import SERIES, preferred
from grader.quantities.quantities import quantity
from grader.regex import regex
from grader.values.dimension import Dimension
from grader.values.scalar import to_float
from grader.values.text import value_text

MOST = 1000
"""Most values of one range: more would only be more digits."""

DIGITS = 6
"""Significant digits of a value drawn; ends and steps of a range have fewer."""

_RANGE = regex(
    r"(?P<low>[^…]*?)\s*(?:…|\.\.\.)\s*(?P<high>[^…,;]*?)\s*"
    r"(?:[,;]\s*(?:step\s+(?P<step>.+)|E\s*(?P<series>\d+)))?"
)


def is_range(text: str) -> bool:
    """Whether a value as written is a range.

    Examples
    --------
    >>> is_range("12 V … 48 V"), is_range("12 V")
    (True, False)
    """
    return "…" in text or "..." in text


def choices(text: str, dimension: Dimension) -> tuple[fmpq, ...]:
    """The values of a range, smallest first, in SI base units.

    Raises
    ------
    ValueError
        With one sentence (without full stop) that says what is wrong and what would be right.
    """
    parts = _RANGE.fullmatch(text.strip())
    if parts is None or not parts["low"] or not parts["high"]:
        raise ValueError(
            f'\'{text}\' is no range; write both ends, as in "12 V … 48 V, step 4 V" or "1 kohm … 10 kohm, E12"'
        )
    low, high = (_number(parts[end], dimension) for end in ("low", "high"))
    if not 0 < low < high:
        raise ValueError(f"'{text}' must run from a smaller to a larger value, both greater than zero")
    if parts["step"] is not None:
        step = _number(parts["step"], dimension)
        if step <= 0:
            raise ValueError(f"'{text}': the step must be greater than zero")
        count = int((high - low) / step) + 1
        found = tuple(low + k * step for k in range(min(count, MOST + 1)))
    else:
        series = int(parts["series"] or 12)
        if series not in SERIES:
            raise ValueError(f"'{text}': there is no series E{series} here; use E3, E6, E12 or E24")
        found = preferred(low, high, series)
    if not 2 <= len(found) <= MOST:
        raise ValueError(
            f"'{text}' holds {len(found) if len(found) <= MOST else 'too many'} values; 2 to {MOST} are wanted"
        )
    return found


def _number(text: str, dimension: Dimension) -> fmpq:
    found = quantity(text, dimension)
    if found.dimension != dimension:
        raise ValueError(f"'{text}' needs its unit, at both ends of a range")
    value = found.waveform.number if found.waveform.is_number else None
    if not isinstance(value, fmpq):
        raise ValueError(f"'{text}' must be a plain decimal number with its unit")  # noqa: TRY004 - a fault in a text
    return value


def sample_value(text: str, dimension: Dimension) -> str:
    """The value that stands for a range where no student is meant: the middle one; any other text as it is.

    Raises
    ------
    ValueError
        As `choices`.

    Examples
    --------
    >>> sample_value("12 V … 48 V, step 12 V", VOLTAGE), sample_value("9 V", VOLTAGE)
    ('36 V', '9 V')
    """
    if not is_range(text):
        return text
    found = choices(text, dimension)
    return written(found[len(found) // 2], dimension)


def written(value: fmpq, dimension: Dimension) -> str:
    """A value as an instructor writes it."""
    return value_text(to_float(value), dimension, DIGITS)


def draw(secret: bytes, *labels: str) -> int:
    """A number that follows from a secret and some labels, and looks random to whoever lacks the secret."""
    message = b"".join(len(label.encode()).to_bytes(4) + label.encode() for label in labels)
    return int.from_bytes(hmac.new(secret, message, hashlib.sha256).digest())


def ranges(problem: Problem) -> tuple[tuple[str, str], ...]:
    """The elements of a problem whose values are personal, each with its range as written."""
    return tuple((name, text) for name, text in problem.values if is_range(text))


def personal_problems(rubric: Rubric) -> frozenset[str]:
    """Ids of the problems with a range anywhere."""
    return frozenset(problem.id for problem in rubric.problems if ranges(problem))


def is_personal(rubric: Rubric) -> bool:
    """Whether a rubric holds a range anywhere."""
    return bool(personal_problems(rubric))


def personal_rubric(rubric: Rubric, student: str, secret: bytes) -> Rubric:
    """A rubric with one student's values; its digest tells it from everybody else's.

    Raises
    ------
    RubricError
        As `with_values`.
    """
    problems = tuple(_personal_problem(problem, student, secret) for problem in rubric.problems)
    values = repr([problem.values for problem in problems])
    digest = hashlib.sha256(f"{rubric.digest} {values}".encode()).hexdigest()
    return replace(rubric, problems=problems, digest=digest) if problems != rubric.problems else rubric


def _personal_problem(problem: Problem, student: str, secret: bytes) -> Problem:
    if problem.circuit is None:
        return problem
    drawn: dict[str, fmpq] = {}
    for name, text in ranges(problem):
        found = choices(text, valued(problem.circuit.element(name)).dimension)
        drawn[name] = found[draw(secret, student, problem.id, name) % len(found)]
    return with_values(problem, drawn)


def with_values(problem: Problem, values: Mapping[str, fmpq]) -> Problem:
    """A problem with other element values, by element name, in SI base units.

    A source keeps the shape of its drive: every piece is scaled, so that its largest plain level has the value.

    Raises
    ------
    RubricError
        If an item's formula has no value with these.
    """
    if problem.circuit is None or not values:
        return problem
    circuit = problem.circuit.altered(lambda one: with_value(one, values[one.name]) if one.name in values else one)
    texts = {name: written(value, valued(circuit.element(name)).dimension) for name, value in values.items()}
    stated = tuple((name, texts.get(name, text)) for name, text in problem.values)
    return with_designs(with_formulas(replace(problem, circuit=circuit, values=stated), problem))


def valued(element: Element) -> Passive | Source:
    """An element whose value may be drawn."""
    assert isinstance(element, (Passive, Source))
    return element


def coupled(circuit: Circuit) -> frozenset[str]:
    """Names of inductors that a mutual inductance ties to another."""
    return frozenset(
        name for element in circuit.elements if isinstance(element, CoupledInductors) for name in element.inductors
    )
