"""Alters code at random places, in a copy of the repository, and lists what no test notices.

``python -m tests.mutation.run --seed 1 --count 300`` draws that many of all alterations that `groups.toml` names, each as
likely as any other, and ends with the share noticed and its 95 % interval.  `equal.toml` lists those found to change nothing
that can be observed, with a word why; they count as neither.
"""

from __future__ import annotations

import argparse
import math
import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import pytest
from cosmic_ray.commands import init
from cosmic_ray.modules import find_modules
from cosmic_ray.mutating import use_mutation
from cosmic_ray.plugins import get_operator
from cosmic_ray.work_db import WorkDB, use_db

HERE = Path(__file__).parent
ROOT = HERE.parents[1]

Stages = list[list[str]]
"""Paths of tests, those of each stage run together."""

SECONDS, MEMORY = 600, 6 << 30
"""What one stage may take; an alteration that never ends counts as noticed."""


class Alteration(NamedTuple):
    """One place to alter, as the altering library knows it, and the tests that should notice."""

    module: str
    mutation: Any
    stages: Stages


def alterations(names: list[str]) -> list[Alteration]:
    """Everything that may be altered, always in the same order; `names` limits it to modules so called."""
    told = tomllib.loads((HERE / "groups.toml").read_text(encoding="utf-8"))
    skipped = re.compile("|".join(told["skipped"]))
    tests: dict[str, Stages] = {}
    for group in told["group"]:  # a later group speaks for its modules
        tests |= {str(module): group["tests"] for module in find_modules([Path(name) for name in group["modules"]])}
    chosen = [Path(module) for module in sorted(tests) if not names or any(name in module for name in names)]
    with tempfile.TemporaryDirectory() as folder, use_db(f"{folder}/session.sqlite", WorkDB.Mode.create) as session:
        init(chosen, session, {})
        found = [mutation for item in session.work_items for mutation in item.mutations]
    found.sort(key=lambda m: (str(m.module_path), m.start_pos, m.operator_name, m.occurrence))
    return [
        Alteration(str(m.module_path), m, tests[str(m.module_path)])
        for m in found
        if not skipped.match(m.operator_name)
    ]


def passes(paths: list[str], examples: str = "untimed") -> bool:
    """Whether tests pass in a process that starts with the libraries loaded and nothing of the project."""
    child = os.fork()
    if not child:
        signal.alarm(SECONDS)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        for name in [name for name in sys.modules if name.partition(".")[0] in {"grader", "tests"}]:
            del sys.modules[name]
        with Path(os.devnull).open("w", encoding="utf-8") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
        os._exit(
            pytest.main(
                [
                    "-x",
                    "-n",
                    "0",
                    "-p",
                    "no:cacheprovider",
                    "--hypothesis-seed=0",
                    f"--hypothesis-profile={examples}",
                    *paths,
                ]
            )
        )
    return os.waitpid(child, 0)[1] == 0


def survives(one: Alteration) -> str:
    """The line altered, before and after (spaces as one), where all tests pass with it; else ""."""
    with use_mutation(Path(one.module), get_operator(one.mutation.operator_name)(), one.mutation.occurrence) as (
        old,
        new,
    ):
        if not (passes(one.stages[0], "brief") and all(passes(paths) for paths in one.stages)):
            return ""
    pairs = zip(old.splitlines(), new.splitlines(), strict=False)
    before, after = next((old, new) for old, new in pairs if old != new)
    return f"{' '.join(before.split())}  ->  {' '.join(after.split())}"


def interval(noticed: int, of: int) -> tuple[float, float]:
    """Wilson's 95 % interval of a share (E. B. Wilson, J. Amer. Statist. Assoc. 22 (1927) 209, from memory)."""
    z, share = 1.96, noticed / of
    middle, width = share + z * z / (2 * of), z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return (middle - width) / (1 + z * z / of), (middle + width) / (1 + z * z / of)


def main() -> None:
    """Draw, alter, test, and say how many were noticed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="parts of modules' names (all)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--skip", type=int, default=0, help="of those drawn, to go on where a run was stopped")
    options = parser.parse_args()
    told = tomllib.loads((HERE / "equal.toml").read_text(encoding="utf-8"))["equal"]
    equal = {(entry["module"], entry["line"]) for entry in told}
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["git", "clone", "--quiet", str(ROOT), folder], check=True)
        os.chdir(folder)
        sys.path.insert(0, folder)
        os.environ["PYTHONPATH"] = folder
        every = alterations(options.names)
        drawn = Random(options.seed).sample(every, min(options.count, len(every)))[options.skip :]
        if not all(
            passes(paths) for stages in {str(one.stages): one.stages for one in drawn}.values() for paths in stages
        ):
            sys.exit("Some test fails where nothing is altered.")
        os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        left = same = 0
        for number, one in enumerate(drawn, options.skip + 1):
            line = survives(one)
            known = (one.module, line) in equal
            same, left = same + known, left + bool(line)
            how = "changes nothing" if known else "NOT NOTICED" if line else "noticed"
            print(f"{number} {one.module}: {how}  {line}", flush=True)
        os.chdir(ROOT)
    of, noticed = len(drawn) - same, len(drawn) - left
    low, high = interval(noticed, of)
    print(f"{len(every)} alterations, {len(drawn)} tried: {same} change nothing, {noticed} of the other {of} noticed,")
    print(f"{noticed / of:.1%}, between {low:.1%} and {high:.1%} of all.")


if __name__ == "__main__":
    main()
