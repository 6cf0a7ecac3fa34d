"""``grader vet``: soundness, and hand-worked keys against the solver."""

from pathlib import Path

import pytest

from tests.cli.running import run

RUBRICS = Path(__file__).parents[2] / "rubrics"
VALVE = (RUBRICS / "lock_valve.toml").read_text(encoding="utf-8")


def vet(text: str, tmp_path, capsys, *words: str) -> tuple[int, str, str]:
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    return run("vet", str(file), *words, capsys=capsys)


@pytest.mark.parametrize("path", sorted(RUBRICS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_rubric_of_ours_is_sound(path, capsys):
    """Every hand-worked key in them agrees with the solver."""
    status, out, _ = run("vet", str(path), capsys=capsys)
    assert status == 0, out
    assert out.endswith("sound.\n")


@pytest.mark.parametrize(
    "good, bad, item, what",
    [
        ('key = "10 ms"', 'key = "12 ms"', "item 'tau'", "the solver finds 10 ms: 20.00% more"),
        ('key = "10 ms"', 'key = "10 s"', "item 'tau'", "a factor of 10^3"),
        ('key = "6 A"', 'key = "-6 A"', "item 'final'", "the sign is the other one"),
        ('key = "6 A"', 'key = "6 V"', "item 'final'", "unit of another kind"),
        ('key = "6 A"', 'key = "see the sketch"', "item 'final'", "cannot be read"),
        ('"6 - 4 e^(-100 t) A"', '"6 - 4 e^(-120 t) A"', "item 'current'", "the time constant differs"),
        ('"6 - 4 e^(-100 t) A"', '"6 - 3 e^(-100 t) A"', "item 'current'", "the initial value differs"),
        ('"form" = 1 }', '"form" = 3 }', "item 'current'", "the parts add up to 6 points"),
    ],
)
def test_what_is_wrong(good, bad, item, what, tmp_path, capsys):
    assert good in VALVE
    status, out, _ = vet(VALVE.replace(good, bad, 1), tmp_path, capsys)
    assert status == 2
    (line,) = [line for line in out.split("These common mistakes")[0].splitlines() if item in line]
    assert what in line
    assert out.endswith("1 to mend.\n")


def test_worth_a_look(tmp_path, capsys):
    """A key rounded too early, or without its unit, is no fault; with --strict the status says so."""
    text = VALVE.replace('key = "4.53 A"', 'key = "4.6 A"').replace('key = "2 A"', 'key = "2"', 1)
    status, out, _ = vet(text, tmp_path, capsys)
    assert status == 0
    assert "within the tolerance" in out
    assert "has no unit" in out
    assert vet(text, tmp_path, capsys, "--strict")[0] == 1
    assert vet(VALVE, tmp_path, capsys, "--strict")[0] == 0


def test_a_key_without_its_prefix_is_another_value(tmp_path, capsys):
    """τ is 10 ms; a bare 10 would be 10 s."""
    status, out, _ = vet(VALVE.replace('key = "10 ms"', 'key = "10"', 1), tmp_path, capsys)
    assert status == 2
    assert "the key '10' has no unit and would be 10 s; the solver finds 10 ms." in out


def test_what_is_counted_is_in_words(tmp_path, capsys):
    text = 'title = "One"\n[[problem]]\nid = "p"\nitem = [{id = "a", find = "stated value", key = "2 V", points = 1}]\n'
    assert vet(text, tmp_path, capsys)[1] == "mine.toml: 1 problem, 1 item, 1 point, 1 key; sound.\n"


def test_faults_of_the_file(tmp_path, capsys):
    status, out, told = vet(VALVE.replace('"resistor"', '"resister"'), tmp_path, capsys)
    assert (status, out) == (2, "")
    assert told.count("did you mean 'resistor'?") == 6


def test_the_mistake_that_would_lead_to_a_wrong_key(tmp_path, capsys):
    """R/L for L/R: 4 ohm over 40 mH is 100."""
    _, out, _ = vet(VALVE.replace('key = "10 ms"', 'key = "100 s"'), tmp_path, capsys)
    (line,) = [line for line in out.splitlines() if "item 'tau'" in line and "key says" in line]
    assert "This would come from: R/L for L/R" in line


def test_mistakes_that_an_item_cannot_show(capsys):
    """In the relay's loop all resistors are in series, so that adding them all up is right."""
    _, folded, _ = run("vet", str(RUBRICS / "lock_valve.toml"), capsys=capsys)
    assert "A common mistake leads to the right answer here" in folded
    assert "relay.tau" in folded
    _, out, _ = run("vet", str(RUBRICS / "lock_valve.toml"), "--mistakes", capsys=capsys)
    assert "still gets this item right" in out
    assert "relay.tau: All resistors added." in out
