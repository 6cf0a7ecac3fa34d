"""Every file of the corpus comes out as it must, within the bounds of one upload; ``-s`` prints what each needed."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.uploads.corpus import PARTS

ROOT = Path(__file__).parents[2]
MAX_MEBIBYTES = 400
LONG = {"workbooks", "documents", "texts"}
"""Parts whose files are large."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process for each file is forked")
@pytest.mark.parametrize(
    "part", [pytest.param(part, marks=pytest.mark.nightly if part in LONG else ()) for part in PARTS]
)
def test_every_file_comes_out_as_it_must(part):
    done = subprocess.run(
        [sys.executable, "-m", "tests.uploads.corpus", part],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    results = json.loads(done.stdout)
    print(f"\n{part}: {len(results)} files")
    for one in results:
        print(f"{one['seconds']:7.2f} s {one['MiB']:6.0f} MiB  {one['outcome']:8} {one['name']}")
    wrong = [
        (one["name"], one["expected"], one["expected in"], one["outcome"], one["said"][:2])
        for one in results
        if one["outcome"] != one["expected"] or one["expected in"] not in " ".join(one["said"])
    ]
    assert not wrong
    assert not [(one["name"], one["MiB"]) for one in results if one["MiB"] > MAX_MEBIBYTES]
