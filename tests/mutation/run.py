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
import subprocess
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import NamedTuple

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
LIMIT = 1800.0
"""Seconds after which an alteration that never ends counts as noticed."""


class Alteration(NamedTuple):
    """One place altered: its module, what the altering library needs to know, and the tests that should notice."""

    module: str
    mutation: object
    tests: tuple[str, ...]


def alterations(names: list[str]) -> list[Alteration]:
    """Everything that may be altered, always in the same order; `names` limits it to modules so called."""
    from cosmic_ray.commands import init
    from cosmic_ray.modules import find_modules
    from cosmic_ray.work_db import WorkDB, use_db

    told = tomllib.loads((HERE / "groups.toml").read_text(encoding="utf-8"))
    skipped = re.compile("|".join(told["skipped"]))
    tests: dict[str, tuple[str, ...]] = {}
    for group in told["group"]:  # a later group speaks for its modules
        for module in find_modules([Path(module) for module in group["modules"]]):
            tests[str(module)] = tuple(group["tests"])
    chosen = [module for module in sorted(tests) if not names or any(name in module for name in names)]
    with tempfile.TemporaryDirectory() as folder, use_db(f"{folder}/session.sqlite", WorkDB.Mode.create) as session:
        init([Path(module) for module in chosen], session, {})
        found = [mutation for item in session.work_items for mutation in item.mutations]
    found.sort(key=lambda m: (str(m.module_path), m.start_pos, m.operator_name, m.occurrence))
    return [
        Alteration(str(m.module_path), m, tests[str(m.module_path)])
        for m in found
        if not skipped.match(m.operator_name)
    ]


def command(tests: tuple[str, ...]) -> str:
    """How tests are run: up to the first that fails, with the same examples each time."""
    return f"python -m pytest -x -q -n 0 -p no:cacheprovider --hypothesis-seed=0 {' '.join(tests)}"


def survivors(drawn: list[Alteration]) -> Iterator[tuple[Alteration, str]]:
    """Those that no test notices, each with its lines before and after."""
    from cosmic_ray.mutating import mutate_and_test
    from cosmic_ray.work_item import TestOutcome

    for number, one in enumerate(drawn, 1):
        result = mutate_and_test([one.mutation], command(one.tests), LIMIT)
        noticed = result.test_outcome is not TestOutcome.SURVIVED
        print(f"{number}/{len(drawn)} {'noticed' if noticed else 'SURVIVED'} {one.module}", flush=True)
        if not noticed:
            lines = [line for line in result.diff.splitlines() if re.match(r"[-+](?![-+])", line)]
            print("\n".join(lines), flush=True)
            yield one, "\n".join(line[0] + " ".join(line[1:].split()) for line in lines)


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
    options = parser.parse_args()
    told = tomllib.loads((HERE / "equal.toml").read_text(encoding="utf-8"))["equal"]
    equal = {(entry["module"], f"-{entry['before']}\n+{entry['after']}") for entry in told}
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["git", "clone", "--quiet", str(ROOT), folder], check=True)
        os.chdir(folder)
        os.environ["PYTHONPATH"] = folder
        every = alterations(options.names)
        drawn = Random(options.seed).sample(every, min(options.count, len(every)))
        for tests in {one.tests for one in drawn}:
            subprocess.run(command(tests).split(), check=True, stdout=subprocess.DEVNULL)  # unaltered, all pass
        os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        left = [(one.module, lines) for one, lines in survivors(drawn)]
        os.chdir(ROOT)
    same = sum(one in equal for one in left)
    of, noticed = len(drawn) - same, len(drawn) - len(left)
    low, high = interval(noticed, of)
    print(f"{len(every)} alterations, {len(drawn)} drawn: {same} change nothing, {noticed} of the other {of} noticed.")
    print(f"{noticed / of:.1%}, between {low:.1%} and {high:.1%}")


if __name__ == "__main__":
    main()
