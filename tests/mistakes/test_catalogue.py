"""Every mistake of the catalogue: filled in, found, and with a consequence on some circuit."""

import inspect
import random
import re
import tomllib
from pathlib import Path

import pytest

from grader.catalogue import modules_of
from grader.mistakes import entries
from grader.mistakes.catalogue import catalogue
from grader.mistakes.lookup import OTHER_RESISTORS
from grader.mistakes.records import NO_SOURCE, OBSERVED, REPORTED, SUPPOSED
from grader.mistakes.wrong_answers import WrongAnswerTables
from grader.rubric.references import references

from .circuits import FIRST_ORDER, first_order_items, line, rubric_of, second_order, second_order_items

ALL = tuple(catalogue().values())
CURES = ("correct", "proper", "use-", "should", "must", "always", "remember")


@pytest.mark.parametrize("mistake", ALL, ids=lambda mistake: mistake.id)
def test_every_field_is_filled(mistake):
    """Whole sentences; the nudge a question; the name in words of the fault."""
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", mistake.id)
    assert not any(word in mistake.id for word in CURES)
    assert mistake.title[:1].isupper() or mistake.title[:1].isdigit()
    assert not mistake.title.endswith(".")
    assert len(mistake.title) <= 80
    assert mistake.nudge.endswith("?")
    for text in (mistake.idea, mistake.remark, mistake.source.text):
        assert text.endswith(".")
        assert text[:1].isupper() or text[:1] in '0123456789"xωα√(e5ζ'
    assert mistake.prior in (OBSERVED, REPORTED, SUPPOSED)
    assert mistake.prior == SUPPOSED or mistake.source != NO_SOURCE
    assert "  " not in mistake.idea + mistake.nudge + mistake.remark


def test_there_are_at_least_fifty():
    assert len(ALL) >= 50


def test_titles_and_nudges_are_told_apart():
    assert len({mistake.title for mistake in ALL}) == len(ALL)
    assert len({mistake.remark for mistake in ALL}) == len(ALL)


def test_every_function_of_the_entries_is_found_once():
    """A mistake named twice, in two files, would hide one of them."""
    decorated = [
        name
        for _, module in modules_of(entries)
        for name in re.findall(r"(?m)^@mistake\n(?:@\w+\n)*def (\w+)\(", inspect.getsource(module))
    ]
    assert sorted(decorated) == sorted(mistake.id.replace("-", "_") for mistake in ALL)


def test_every_text_has_its_function():
    texts = [tomllib.loads(file.read_text(encoding="utf-8")) for file in Path(entries.__path__[0]).glob("*.toml")]
    assert sorted(id for family in texts for id in family) == sorted(mistake.id for mistake in ALL)


def broad_rubrics():
    """Circuits and items over which every mistake has something to say."""
    rng = random.Random(7)
    for build in FIRST_ORDER:
        for capacitive in (False, True):
            own = {"voltage": "C1"} if capacitive else {"current": "L1"}
            items = [
                *first_order_items(capacitive),
                {"id": "at", "find": "value at", "at": "1 ms", **own},
                {"id": "stored", "find": "stored energy", "of": "C1" if capacitive else "L1"},
                {"id": "heat", "find": "energy dissipated", "of": "R3", "until": "2 ms"},
            ]
            yield rubric_of(build(rng, capacitive), items)
    yield rubric_of(
        second_order(rng, series=True),
        [*second_order_items(underdamped=False), {"id": "slope", "find": "initial slope", "voltage": "C1"}],
    )
    ringing = [
        line("Vs", "voltage source", "a", "g", "10 V"),
        line("S1", "switch", "a", "b", closes="0 s"),
        line("R1", "resistor", "b", "c", "40 ohm"),
        line("L1", "inductor", "c", "d", "10 mH"),
        line("C1", "capacitor", "d", "g", "1 uF", initial="2 V"),
    ]
    later = {"id": "at", "find": "value at", "at": "0.1 ms", "voltage": "C1"}
    in_s = {"id": "in_s", "find": "transform", "voltage": "C1"}
    yield rubric_of(ringing, [*second_order_items(underdamped=True), later, in_s])
    yield rubric_of(
        [*ringing[:2], line("R1", "resistor", "b", "c", "200 ohm"), *ringing[3:]], second_order_items(underdamped=False)
    )
    twice = [
        line("Vs", "voltage source", "a", "g", "12 V"),
        line("S1", "switch", "a", "b", closes="0 s"),
        line("R1", "resistor", "b", "c", "10 ohm"),
        line("R2", "resistor", "c", "g", "15 ohm"),
        line("S2", "switch", "c", "e", closes="3 ms"),
        line("R3", "resistor", "e", "g", "30 ohm"),
        line("L1", "inductor", "c", "d", "40 mH"),
        line("R4", "resistor", "d", "g", "5 ohm"),
    ]
    transformed = {
        "name": "T1", "kind": "ideal transformer", "primary": ["c", "g"], "secondary": ["f", "g"], "ratio": "3",
    }  # fmt: skip
    through = [*twice[:3], transformed, line("L1", "inductor", "f", "g", "40 mH")]
    yield rubric_of(through, [{"id": "seen", "find": "resistance seen"}])
    amplifier = [
        line("Vs", "voltage source", "a", "g", waveform="0.5 u(t) V"),
        line("R1", "resistor", "a", "n", "10 kohm"),
        line("C1", "capacitor", "n", "o", "50 nF"),
        line("R2", "resistor", "n", "o", "40 kohm"),
        {"name": "A1", "kind": "ideal op amp", "non_inverting": "g", "inverting": "n", "output": "o"},
    ]
    yield rubric_of(amplifier, [{"id": "end", "find": "final value", "voltage": ["o", "g"]}])
    later = {"after": "3 ms", "current": "L1"}
    yield rubric_of(
        twice,
        [
            {"id": "x", "find": "expression", **later},
            {"id": "before", "find": "value just before switching", **later},
            {"id": "reach", "find": "time to reach", "level": "0.5 A", **later},
            {"id": "tau", "find": "time constant", "after": "3 ms"},
        ],
    )
    yield rubric_of(
        [
            line("Vs", "voltage source", "a", "g", "12 V"),
            line("S1", "switch", "a", "b", closes="0 s"),
            line("R1", "resistor", "b", "c", "1 kohm"),
            line("C1", "capacitor", "c", "g", "2 uF"),
            line("C2", "capacitor", "c", "g", "3 uF"),
        ],
        [{"id": "c", "find": "equivalent capacitance"}, {"id": "tau", "find": "time constant"}],
    )
    yield rubric_of(
        [
            line("Vs", "voltage source", "a", "g", waveform="10 u(t) - 10 u(t - 2 ms) V"),
            line("R1", "resistor", "a", "b", "1 kohm"),
            line("C1", "capacitor", "b", "g", "2 uF"),
        ],
        [
            {"id": "p", "find": "poles", "of": "Vs", "current": "C1"},
            {"id": "v", "find": "transform", "voltage": "C1"},
            {"id": "t", "find": "time to reach", "voltage": "C1", "level": "4 V", "crossing": 2, "until": "9 ms"},
        ],
    )
    yield rubric_of(
        [line("R1", "resistor", "a", "g", "1 kohm")],
        [
            {
                "id": "coil",
                "find": "coil inductance",
                "turns": 200,
                "permeability": "500",
                "area": "4 cm^2",
                "length": "10 cm",
            }
        ],
    )
    yield rubric_of(
        [
            line("C1", "capacitor", "a", "g", "30 uF", initial="20 V"),
            line("S1", "switch", "a", "b", closes="0 s"),
            line("C2", "capacitor", "b", "g", "60 uF", initial="0 V"),
        ],
        [{"id": "lost", "find": "energy lost"}],
    )
    yield rubric_of(
        [
            line("C1", "capacitor", "a", "g", "6 uF", initial="10 V"),
            line("S1", "switch", "a", "b", closes="0 s"),
            line("R1", "resistor", "b", "c", "1 kohm"),
            line("C2", "capacitor", "c", "g", "3 uF", initial="4 V"),
        ],
        [
            {"id": "vf", "find": "final value", "voltage": "C2"},
            {"id": "held", "find": "stored energy", "of": ["C1", "C2"], "at": "0 s"},
        ],
    )
    flasher = {"voltage": "C1", "by": "S1", "low": "3 V", "high": "6 V"}
    yield rubric_of(
        [
            line("Vs", "voltage source", "a", "g", "9 V"),
            line("R1", "resistor", "a", "b", "100 kohm"),
            line("C1", "capacitor", "b", "g", "22 uF"),
            line("S1", "switch", "b", "c", closes="0 s"),
            line("R2", "resistor", "c", "g", "4.7 kohm"),
        ],
        [{"id": "T", "find": "period", **flasher}, {"id": "D", "find": "duty cycle", **flasher}],
    )
    yield rubric_of(
        [
            line("Vs", "voltage source", "a", "g", "9 V"),
            line("S1", "switch", "a", "b", closes="0 s"),
            line("R1", "resistor", "b", "c", "unknown"),
            line("R2", "resistor", "c", "d", "2 kohm"),
            line("C1", "capacitor", "d", "g", "1 uF"),
        ],
        [{"id": "R", "find": "element value", "of": "R1", "so_that": {"find": "time constant", "is": "5 ms"}}],
    )


def test_every_mistake_leads_somewhere():
    """On these circuits each mistake but the search has at least one wrong answer of its own."""
    found = set()
    for rubric in broad_rubrics():
        for table in WrongAnswerTables(rubric, references(rubric)).values():
            found.update(entry.id for entry in table.rows)
            for _, part in table.parts:
                found.update(entry.id for entry in part.rows)
    assert set(catalogue()) - found == {OTHER_RESISTORS}
