"""``grader solve``: text, JSON, and published worked examples through a rubric file.

The examples stand in ``tests/reference/responses.toml``, each with its source; ``weak`` there says which of them carry
less weight and why.
"""

import json
import math
import tomllib
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from tests.cli.running import run

ROOT = Path(__file__).parents[2]
VALVE = ROOT / "rubrics" / "lock_valve.toml"


# -- forms of output -----------------------------------------------------------------------------


def test_text_names_every_item_and_its_answer(capsys):
    status, out, _ = run("solve", str(VALVE), capsys=capsys)
    assert status == 0
    for text in (
        "Lock valve and gate relay (EE 118)",
        "Time constant τ",
        "= 10 ms",
        "= (6 − 4e^(−100t)) A",
        "= 20.79 ms",
    ):
        assert text in out


def test_worked_solution_stands_below(capsys):
    """A heading for each picture of the circuit: before, at the first instant, long after."""
    _, out, _ = run("solve", str(VALVE), "--problem", "valve", capsys=capsys)
    assert "1. Just before" in out
    assert "gate relay" not in out.split("\n", 1)[1]


def test_json_has_exactly_the_keys_of_the_format(capsys):
    status, out, _ = run("solve", str(VALVE), "--json", capsys=capsys)
    assert status == 0
    found = json.loads(out)
    assert set(found) == {"problems"}
    assert [set(problem) for problem in found["problems"]] == [{"id", "items"}] * 2
    items = [item for problem in found["problems"] for item in problem["items"]]
    assert all(set(item) == {"id", "find", "value", "unit", "text", "exact"} for item in items)
    assert items[4] == {
        "id": "tau", "find": "time constant", "value": 0.01, "unit": "s", "text": "10 ms", "exact": "1/100",
    }  # fmt: skip
    assert items[5]["value"] is None
    assert items[5]["exact"] == "-4*exp(-100*t) + 6"


WITHOUT_A_VALUE = (
    "choice", "choices", "true or false", "damping type", "characteristic roots", "sketch", "explanation",
)  # fmt: skip


@pytest.mark.parametrize("path", sorted((ROOT / "rubrics").glob("*.toml")), ids=lambda path: path.stem)
def test_every_exact_text_is_read_by_sympy_and_agrees_with_the_value(path, capsys):
    import sympy

    _, out, _ = run("solve", str(path), "--json", capsys=capsys)
    for problem in json.loads(out)["problems"]:
        for item in problem["items"]:
            if item["find"] in WITHOUT_A_VALUE:
                assert item["value"] is None
                continue
            letters = {name: sympy.Symbol(name) for name in ("t", "R", "L", "C", "V", "V0")}
            read = sympy.parse_expr(item["exact"], local_dict=letters)
            if isinstance(read, tuple):  # poles, zeros
                assert item["value"] is None
                assert all(one.is_number for one in read)
            elif item["value"] is not None:
                assert float(read) == pytest.approx(item["value"], rel=1e-12)
            else:
                assert read.free_symbols or item["find"] == "forced part"  # dc


def test_one_problem(capsys):
    _, out, _ = run("solve", str(VALVE), "--json", "--problem", "relay", capsys=capsys)
    assert [problem["id"] for problem in json.loads(out)["problems"]] == ["relay"]
    status, _, told = run("solve", str(VALVE), "--problem", "rely", capsys=capsys)
    assert status == 2
    assert told == "lock_valve.toml has no problem 'rely' (did you mean 'relay'?)."


def test_wrong_rubric(tmp_path, capsys):
    wrong = tmp_path / "wrong.toml"
    wrong.write_text('title = "x"\n[[problem]]\nid = "p"', encoding="utf-8")
    status, out, told = run("solve", str(wrong), capsys=capsys)
    assert (status, out) == (2, "")
    assert told.startswith("wrong.toml, problem 'p': nothing is asked")


# -- published examples --------------------------------------------------------------------------

EXAMPLES = tomllib.loads((ROOT / "tests" / "reference" / "responses.toml").read_text(encoding="utf-8"))["example"]

FINDS = {
    "time constant": "time constant", "resistance seen": "resistance seen", "alpha": "damping coefficient",
    "omega0": "undamped natural frequency", "omega_d": "damped natural frequency", "zeta": "damping ratio",
    "damping": "damping type",
}  # fmt: skip


def quoted(value) -> str:
    return json.dumps(value)


def element(row, initial) -> str:
    keys = f"name = {quoted(row['name'])}, kind = {quoted(row['kind'])}, between = {quoted(row['between'])}"
    if "steps" in row:
        before = Decimal(0)
        pieces = []
        for start, level in row["steps"]:
            pieces.append(f"({Decimal(level) - before}) u(t - {start})")
            before = Decimal(level)
        return f'{{{keys}, waveform = "{" + ".join(pieces)}"}}'
    at_first = f", initial = {quoted(initial[row['name']])}" if row["name"] in initial else ""
    return f"{{{keys}, value = {quoted(row['value'])}{at_first}}}"


def switch(row) -> str:
    verb = "closes" if row["after"] == "closed" else "opens"
    return f'{{name = {quoted(row["name"])}, kind = "switch", between = {quoted(row["between"])}, {verb} = {quoted(row["at"])}}}'


def actions(example) -> list[str]:
    """The instants at which something happens, in order."""
    times = {row["at"] for row in example.get("switches", [])}
    times |= {start for row in example["elements"] for start, _ in row.get("steps", [])}
    return sorted(times, key=float)


def item(check, number: int, example) -> str:
    signal = next((f"{kind} = {quoted(check[kind])}" for kind in ("current", "voltage", "charge") if kind in check), "")
    begun = [time for time in actions(example) if "samples" in check and float(time) <= check["samples"][0][0] + 1e-12]
    after = f", after = {quoted(begun[-1])}" if begun else ""
    if "find" in check:
        keys = f"find = {quoted(FINDS[check['find']])}"
    elif "samples" in check:
        keys = f'find = "expression", {signal}{after}'
    elif check["at"] == "final":
        last = f", after = {quoted(actions(example)[-1])}" if actions(example) else ""
        keys = f'find = "final value", {signal}{last}'
    elif check["at"] == "before":
        keys = f'find = "value just before switching", {signal}'
    elif check["at"] == "0+":
        keys = f'find = "{"initial slope" if check.get("slope") else "initial value"}", {signal}'
    else:
        keys = f'find = "value at", {signal}, at = {quoted(check["at"])}'
    return f'{{id = "x{number}", points = 1, {keys}}}'


def rubric(example) -> str:
    rows = [element(row, example.get("initial", {})) for row in example["elements"]]
    rows += [switch(row) for row in example.get("switches", [])]
    items = [item(check, number, example) for number, check in enumerate(example["checks"])]
    nodes = [node for row in example["elements"] for node in row["between"]]
    ground = "0" if "0" in nodes else nodes[0]
    lines = ['title = "Published"', "[[problem]]", 'id = "p"', f'ground = "{ground}"']
    lines += ["element = [", *(f"{row}," for row in rows), "]", "item = [", *(f"{row}," for row in items), "]"]
    return "\n".join(lines)


def printed(text: str) -> float:
    return 1 / (6 * math.sqrt(2)) if text == "1/(6*sqrt(2))" else float(Fraction(text))


def reach(text: str) -> float:
    """Half a unit in the last printed place; a fraction or a root is exact."""
    return 1e-12 if "/" in text else 0.5001 * 10.0 ** Decimal(text).as_tuple().exponent


@pytest.mark.parametrize("example", EXAMPLES, ids=[example["id"] for example in EXAMPLES])
def test_published_example(example, tmp_path, capsys):
    """To the printed digits; a closed form at its sample times."""
    import sympy

    file = tmp_path / "published.toml"
    file.write_text(rubric(example), encoding="utf-8")
    status, out, told = run("solve", str(file), "--json", capsys=capsys)
    assert status == 0, told
    why = f"{example['source']} (weak: {example.get('weak', 'no')})"
    found = json.loads(out)["problems"][0]["items"]
    for check, answer in zip(example["checks"], found, strict=True):
        unit = float(check["unit"])
        if "samples" in check:
            t = sympy.Symbol("t")
            function = sympy.lambdify(t, sympy.parse_expr(answer["exact"], local_dict={"t": t}), "math")
            scale = max(abs(value) for _, value in check["samples"]) or 1.0
            for time, expected in check["samples"]:
                assert function(time) / unit == pytest.approx(expected, abs=2e-8 * scale), (why, time)
        elif check.get("find") == "damping":
            assert answer["text"] == check["published"], why
        else:
            assert answer["value"] / unit == pytest.approx(
                printed(check["published"]), abs=reach(check["published"])
            ), why


def test_examples_are_many_and_name_their_sources():
    assert len(EXAMPLES) >= 70
    assert all(example["source"] for example in EXAMPLES)


def test_page(tmp_path, capsys):
    """The page holds every answer; a folder that is not there is one sentence."""
    file = tmp_path / "worked.html"
    status, _, _ = run("solve", str(VALVE), "--html", str(file), capsys=capsys)
    assert status == 0
    assert "Solenoid valve: the boost switch closes" in file.read_text(encoding="utf-8")
    status, _, told = run("solve", str(VALVE), "--html", str(tmp_path / "none" / "worked.html"), capsys=capsys)
    assert status == 2
    assert "cannot be written" in told


def test_one_item_without_an_answer_stops_no_other(tmp_path, capsys):
    """A first-order circuit has no damping ratio; its other answers and its page are there all the same."""
    file = tmp_path / "mine.toml"
    text = VALVE.read_text(encoding="utf-8")
    file.write_text(text.replace('find = "time constant"', 'find = "damping ratio"', 1), encoding="utf-8")
    page = tmp_path / "page.html"
    status, out, _ = run("solve", str(file), "--html", str(page), capsys=capsys)
    assert status == 2
    assert "No answer: the circuit is of order 1 here" in out
    assert "(6 − 4e^(−100t)) A" in out
    assert page.exists()
    _, printed, _ = run("solve", str(file), "--json", capsys=capsys)
    (item,) = [one for one in json.loads(printed)["problems"][0]["items"] if "error" in one]
    assert item["error"].startswith("the circuit is of order 1")


def test_one_circuit_without_a_response_stops_no_other(tmp_path, capsys):
    file = tmp_path / "mine.toml"
    text = VALVE.read_text(encoding="utf-8")
    second = '{name = "Vx", kind = "voltage source", between = ["a", "g"], value = "3 V"},'
    file.write_text(text.replace("element = [", f"element = [ {second}", 1), encoding="utf-8")
    status, out, told = run("solve", str(file), "--html", str(tmp_path / "page.html"), capsys=capsys)
    assert (status, told) == (2, "")
    assert "Not solved: " in out
    assert "relay" in out
