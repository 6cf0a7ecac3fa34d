"""Alters code at random places, in a copy of the repository, and lists what no test notices.

``python -m tests.mutation.run --seed 1 --count 300`` draws that many of all alterations that `groups.toml` names, each as
likely as any other, and ends with the share noticed and its 95 % interval.  `equal.toml` lists those found to change nothing
that can be observed, with a word why; they count as neither.

An alteration inside a function is tried first in a fork of a process that has collected the first stage's tests: there the
code of the module's functions is exchanged.  What no test notices so, and what stands outside functions, is tried in a
process of its own that imports the altered file, with all stages.
"""

from __future__ import annotations

import argparse
import inspect
import math
import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from importlib import import_module
from itertools import groupby, pairwise
from pathlib import Path
from random import Random
from types import FunctionType, ModuleType
from typing import Any, NamedTuple

import pytest
from cosmic_ray.commands import init
from cosmic_ray.modules import find_modules
from cosmic_ray.mutating import mutate_code, use_mutation
from cosmic_ray.plugins import get_operator
from cosmic_ray.work_db import WorkDB, use_db

HERE = Path(__file__).parent
ROOT = HERE.parents[1]

Stages = list[list[str]]
"""Paths of tests, those of each stage run together."""

SECONDS, MEMORY = 600, 6 << 30
"""What one stage may take; an alteration that never ends counts as noticed."""

BATCH = 60
"""Alterations after which the tests of a stage are collected again, so that a run cut off has drawn fairly."""

OPTIONS = ["-x", "-s", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-seed=0"]


class Alteration(NamedTuple):
    """One place to alter, as the altering library knows it, and the tests that should notice."""

    module: str
    mutation: Any
    stages: Stages

    def applied(self, code: str) -> str:
        """The module's code, altered."""
        return mutate_code(code, get_operator(self.mutation.operator_name)(), self.mutation.occurrence) or code


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


def in_a_fork(work: Any) -> bool:
    """Whether some work ends well within its bounds, in a process of its own that says nothing."""
    child = os.fork()
    if not child:
        signal.alarm(SECONDS)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        with Path(os.devnull).open("w", encoding="utf-8") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
        try:
            os._exit(0 if work() else 1)
        finally:
            os._exit(2)
    return os.waitpid(child, 0)[1] == 0


def passes(paths: list[str]) -> bool:
    """Whether tests pass where the files are imported afresh."""

    def work() -> bool:
        for name in [name for name in sys.modules if name.partition(".")[0] in {"grader", "tests"}]:
            del sys.modules[name]
        return pytest.main([*OPTIONS, *paths]) == pytest.ExitCode.OK

    return in_a_fork(work)


def functions(owner: Any, module: str, path: str = "") -> Iterator[tuple[str, FunctionType]]:
    """The functions and methods that a module defines, by their places in it."""
    for name, value in list(vars(owner).items()):
        if inspect.isclass(value) and value.__module__ == module:
            yield from functions(value, module, f"{path}{name}.")
        for one in (
            getattr(value, "fget", None),
            getattr(value, "__func__", None),
            inspect.unwrap(value) if callable(value) else None,
        ):
            if isinstance(one, FunctionType) and one.__module__ == module and "<" not in one.__code__.co_filename:
                yield f"{path}{name}", one


def exchange(path: str, code: str) -> None:
    """Give the functions of an imported module the code of an altered one."""
    name = path.removesuffix(".py").replace("/", ".")
    altered = ModuleType(name)
    altered.__file__ = path
    sys.modules[name], kept = altered, import_module(name)
    exec(compile(code, path, "exec"), vars(altered))
    sys.modules[name] = kept
    new = dict(functions(altered, name))
    for place, function in functions(kept, name):
        if place in new and new[place].__code__ != function.__code__:
            function.__code__ = new[place].__code__


class FirstStage:
    """A plugin that tries alterations in forks of a session with its tests collected, in place of running them once."""

    def __init__(self, tried: list[Alteration]) -> None:
        self.tried = tried
        self.unnoticed: list[Alteration] = []

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try every alteration; those unnoticed are kept."""

        def passing(one: Alteration | None) -> bool:
            if one is not None:
                exchange(one.module, one.applied(Path(one.module).read_text(encoding="utf-8")))
            for item, following in pairwise([*session.items, None]):
                session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                if session.testsfailed:
                    return False
            return True

        if not in_a_fork(lambda: passing(None)):
            sys.exit("Some test fails where nothing is altered.")
        self.unnoticed = [one for one in self.tried if in_a_fork(lambda one=one: passing(one))]
        return True


def survivors(tried: list[Alteration]) -> Iterator[tuple[Alteration, str]]:
    """What no test notices, with the line before and after (spaces as one)."""
    inside = [one for one in tried if one.mutation.definition_name]
    left = [one for one in tried if not one.mutation.definition_name]
    for paths, alike in groupby(sorted(inside, key=lambda one: one.stages[0]), key=lambda one: one.stages[0]):
        stage = FirstStage(list(alike))
        pytest.main([*OPTIONS, "--hypothesis-profile=brief", *paths], plugins=[stage])
        left += stage.unnoticed
    for one in left:
        operator = get_operator(one.mutation.operator_name)()
        with use_mutation(Path(one.module), operator, one.mutation.occurrence) as (old, new):
            unnoticed = all(passes(paths) for paths in one.stages)
        if unnoticed:
            pairs = zip(old.splitlines(), new.splitlines(), strict=False)
            before, after = next((old, new) for old, new in pairs if old != new)
            yield one, f"{' '.join(before.split())}  ->  {' '.join(after.split())}"


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
    equal = {(entry["module"], entry["line"]) for entry in told}
    done = left = same = 0
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["git", "clone", "--quiet", str(ROOT), folder], check=True)
        os.chdir(folder)
        sys.path.insert(0, folder)
        os.environ |= {"PYTHONPATH": folder, "PYTHONDONTWRITEBYTECODE": "1"}
        every = alterations(options.names)
        drawn = Random(options.seed).sample(every, min(options.count, len(every)))
        for place in range(0, len(drawn), BATCH):
            batch = drawn[place : place + BATCH]
            done += len(batch)
            for one, line in survivors(batch):
                known = (one.module, line) in equal
                same, left = same + known, left + 1
                print(f"{'changes nothing' if known else 'NOT NOTICED'}  {one.module}: {line}", flush=True)
            of, noticed = done - same, done - left
            low, high = interval(noticed, of)
            print(f"{done} of {len(every)} tried, {same} change nothing; {noticed} of the other {of} noticed: ", end="")
            print(f"{noticed / of:.1%}, for all between {low:.1%} and {high:.1%}.", flush=True)
        os.chdir(ROOT)


if __name__ == "__main__":
    main()
