"""Whatever the bytes of a file are, there are sentences and no exceptions; and what reading needs."""

import subprocess
import sys
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.uploads.building import uploads, workbook

SHEET = workbook({"A": [["item", "answer"], ["valve.tau", "2 ms"]]})


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_damaged_bytes_give_sentences_and_no_exceptions(data):
    original = data.draw(
        st.sampled_from([SHEET, ODS, b"item,answer\nvalve.tau,2 ms\n", "valve.tau: 2 µs".encode("utf-16")])
    )
    raw = bytearray(original)
    for _ in range(data.draw(st.integers(1, 8))):
        at = data.draw(st.integers(0, len(raw) - 1))
        raw[at] = data.draw(st.integers(0, 255))
    raw = raw[: data.draw(st.integers(1, len(raw)))]
    for found in uploads(data.draw(st.sampled_from(["S0012.xlsx", "S0012.ods", "a.csv", "b"])), bytes(raw)):
        assert all(
            fault.endswith((".", "…")) and "\n" not in fault for fault in found.faults if "\n" not in str(found.answers)
        )


ODS = (Path(__file__).with_name("saved") / "answers.ods").read_bytes()


@settings(max_examples=100)
@given(st.binary(max_size=2000))
def test_random_bytes_give_sentences_and_no_exceptions(raw):
    assert uploads("S0012.xlsx", raw)


def test_reading_needs_no_heavy_library():
    code = (
        "import sys; from pathlib import Path; from grader.uploads.reader import read_one;"
        f"read_one(Path({str(Path(__file__).with_name('saved') / 'answers.xlsx')!r}), (('valve', 'tau'),));"
        "print(sorted(set(sys.modules) & {'openpyxl', 'numpy', 'sympy', 'charset_normalizer'}))"
    )
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
    )
