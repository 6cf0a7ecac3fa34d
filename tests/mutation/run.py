"""Alters code at random places, in a copy of the repository, and lists what no test notices.

``python -m tests.mutation.run --seed 1 --count 300`` draws that many of all alterations that `groups.toml` names, each as
likely as any other, and ends with the share noticed and its 95 % interval.  `equal.toml` lists those found to change nothing
that can be observed, with a word why; they count as neither.  Words have no order that means anything, nor have the members of
most enumerations: ``==`` made ``<=`` between such (`without_order`) is not drawn.  Nor is ``strict=True`` made ``strict=False``
(`assertions`): it asserts that lengths agree, which tells a fault of the program and decides nothing.

An alteration inside a function is tried in forks of a process that has collected a stage's tests: there the code of the
module's functions is exchanged, and the tests that call the altered one come first; those in files that never call it are left
out.  What stands outside functions is tried in a process of its own that imports the altered file.  An alteration that takes
more than five times the processor time of its tests never ends: it counts as noticed.

The tests that `groups.toml` calls ``kept`` run once in the collecting process itself: the keys that they build serve all forks,
so that thousands of answers are marked in seconds; what is altered in the building of keys, others must notice.
"""

import argparse
import ast
import cProfile
import inspect
import math
import os
import pickle
import re
import resource
import select
import signal
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from enum import Enum
from importlib import import_module
from itertools import count, pairwise
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

LONGER, STARTING = 5, 10
"""How many times its tests' own processor time an alteration may take, and the seconds for all that is not theirs."""

WAITING, MEMORY = 900, 6 << 30
"""Seconds that one stage may take by the clock, however busy the machine is, and bytes."""

PASSED, FAILED, UNTOUCHED = range(3)
"""How the tests end in a fork; ``UNTOUCHED``: no function's code was altered."""

BATCH = 100
"""Alterations after which the tests of a stage are collected again, so that a run cut off has drawn fairly."""

OPTIONS = ["-x", "-s", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-seed=0", "--hypothesis-profile=brief"]


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
    words = {str(module): without_order(str(module)) for module in chosen}
    asserted = {str(module): assertions(str(module)) for module in chosen}
    return [
        Alteration(str(m.module_path), m, tests[str(m.module_path)])
        for m in found
        if not skipped.match(m.operator_name)
        and m.start_pos not in asserted[str(m.module_path)]
        and not (
            ORDERED.match(m.operator_name) and any(low <= m.start_pos < high for low, high in words[str(m.module_path)])
        )
    ]


ORDERED = re.compile(r"core/ReplaceComparisonOperator_(Eq|NotEq)_(Lt|LtE|Gt|GtE)$")
"""Alterations that compare by order what was compared for being the same."""


def assertions(module: str) -> set[tuple[int, int]]:
    """The places of a module's ``True`` in ``strict=True``."""
    told = ast.walk(ast.parse(Path(module).read_text(encoding="utf-8")))
    return {
        (node.value.lineno, node.value.col_offset)
        for node in told
        if isinstance(node, ast.keyword) and node.arg == "strict" and ast.unparse(node.value) == "True"
    }


def without_order(module: str) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """The places, from operand to operand, of a module's comparisons with a word or a member of an enumeration."""
    names = vars(import_module(module.removesuffix(".py").replace("/", ".")))
    places = []
    for node in ast.walk(ast.parse(Path(module).read_text(encoding="utf-8"))):
        if isinstance(node, ast.Compare):
            for one, other in pairwise([node.left, *node.comparators]):
                if _is_a_word(one, names) or _is_a_word(other, names):
                    places.append(((one.end_lineno, one.end_col_offset), (other.lineno, other.col_offset)))
    return places


def _is_a_word(operand: ast.expr, names: dict[str, Any]) -> bool:
    """Whether a constant, by itself or by its name in the module, is text or a member of an enumeration without order."""
    if not isinstance(operand, ast.Constant | ast.Name | ast.Attribute):
        return False
    try:
        value = eval(ast.unparse(operand), dict(names))
    except (NameError, AttributeError):
        return False
    return isinstance(value, str | Enum) and not isinstance(value, int)


def in_a_fork(work: Any, seconds: int) -> int:
    """How some work ends, in a process of its own that says nothing, within so much of the processor's time."""
    child = os.fork()
    if not child:
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        with Path(os.devnull).open("w", encoding="utf-8") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
        try:
            os._exit(work())
        finally:
            os._exit(FAILED)
    ended = os.pidfd_open(child)
    if not select.select([ended], [], [], WAITING)[0]:
        os.kill(child, signal.SIGKILL)
    os.close(ended)
    status = os.waitpid(child, 0)[1]
    return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else FAILED


def passes_afresh(paths: list[str], seconds: int) -> bool:
    """Whether tests pass where the files are imported afresh."""

    def work() -> int:
        for name in [name for name in sys.modules if name.partition(".")[0] in {"grader", "tests"}]:
            del sys.modules[name]
        return PASSED if pytest.main([*OPTIONS, *paths]) == pytest.ExitCode.OK else FAILED

    return in_a_fork(work, seconds) == PASSED


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


def exchange(path: str, code: str) -> bool:
    """Give the functions of an imported module the code of an altered one; whether that of any differs."""
    name = path.removesuffix(".py").replace("/", ".")
    altered = ModuleType(name)
    altered.__file__ = path
    sys.modules[name], kept = altered, import_module(name)
    where = kept.__spec__.origin if kept.__spec__ else path
    exec(compile(code, where or path, "exec"), vars(altered))
    sys.modules[name] = kept
    new = dict(functions(altered, name))
    differs = False
    for place, function in functions(kept, name):
        if place in new and new[place].__code__ != function.__code__:
            function.__code__ = new[place].__code__
            differs = True
    return differs


Called = set[tuple[str, int, int]]
"""Functions by their file, first and last line."""


def called(profile: cProfile.Profile) -> Called:
    """What was called while a profile was taken."""
    codes = [entry.code for entry in profile.getstats() if not isinstance(entry.code, str)]
    lines = [(code, [line for *_, line in code.co_lines() if line]) for code in codes]
    return {(code.co_filename, code.co_firstlineno, max(found)) for code, found in lines if found}


class Stage:
    """A plugin that tries alterations in forks of a session with its tests collected, in place of running them once."""

    def __init__(self, tried: list[Alteration], kept: bool) -> None:
        self.tried, self.kept = tried, kept
        self.unnoticed: list[Alteration] = []
        self.untouched: list[Alteration] = []
        self.seconds = 0

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try every alteration; those unnoticed are kept."""
        with tempfile.TemporaryDirectory() as folder:
            told = Path(folder) / "calls"

            def unaltered() -> int:
                calls = []
                for item, following in pairwise([*session.items, None]):
                    with cProfile.Profile() as profile:
                        session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                    calls.append(called(profile))
                told.write_bytes(pickle.dumps(calls))
                return FAILED if session.testsfailed else PASSED

            whose = resource.RUSAGE_SELF if self.kept else resource.RUSAGE_CHILDREN
            before = resource.getrusage(whose)
            if (unaltered() if self.kept else in_a_fork(unaltered, WAITING)) != PASSED:
                return False  # some test fails where nothing is altered: `seconds` stays 0
            after = resource.getrusage(whose)
            calls = pickle.loads(told.read_bytes())
        self.seconds = round(LONGER * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)) + STARTING
        for one in self.tried:
            outcome = in_a_fork(lambda one=one: self.outcome(session, calls, one), self.seconds)
            if outcome != FAILED:
                (self.unnoticed if outcome == PASSED else self.untouched).append(one)
        return True

    def outcome(self, session: pytest.Session, calls: list[Called], one: Alteration) -> int:
        """How the tests of the files that call what is altered end, those first that call it themselves."""
        if one.mutation.operator_name == "core/RemoveDecorator":
            return UNTOUCHED  # the code below it is the same
        if not exchange(one.module, one.applied(Path(one.module).read_text(encoding="utf-8"))):
            return UNTOUCHED
        module, line = str(Path(one.module).resolve()), one.mutation.start_pos[0]
        touching = [any(file == module and first <= line <= last for file, first, last in found) for found in calls]
        files = {item.path for item, touches in zip(session.items, touching, strict=True) if touches}
        ordered = sorted(zip(session.items, touching, strict=True), key=lambda pair: not pair[1])
        for item, following in pairwise([*(item for item, _ in ordered if item.path in files), None]):
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if session.testsfailed:
                return FAILED
        return PASSED


def unnoticed(tried: list[Alteration], kept: list[str]) -> Iterator[Alteration]:
    """What no stage notices, the cheap ones tried first."""
    left, untouched, seconds = tried, list[Alteration](), dict[tuple[str, ...], int]()
    for number in count():
        yield from (one for one in left if len(one.stages) == number)
        alike: dict[tuple[str, ...], list[Alteration]] = {}
        for one in left:
            if len(one.stages) > number:
                alike.setdefault(tuple(one.stages[number]), []).append(one)
        if not alike:
            break
        left = []
        for paths, ones in alike.items():
            stage = Stage(ones, list(paths) == kept)
            pytest.main([*OPTIONS, *paths], plugins=[stage])
            if not stage.seconds:
                sys.exit(f"Some test of {' '.join(paths)} fails where nothing is altered.")
            seconds[paths] = stage.seconds
            untouched += stage.untouched
            left += stage.unnoticed
            print(
                f"{len(ones)} tried by {' '.join(paths)}:",
                *map(difference, stage.unnoticed),
                sep="\n    ",
                file=sys.stderr,
            )
    for one in untouched:
        with use_mutation(Path(one.module), get_operator(one.mutation.operator_name)(), one.mutation.occurrence):
            passed = all(passes_afresh(paths, seconds.get(tuple(paths), WAITING)) for paths in one.stages)
        if passed:
            yield one


def difference(one: Alteration) -> str:
    """The line before and after (spaces as one)."""
    old = Path(one.module).read_text(encoding="utf-8")
    pairs = zip(old.splitlines(), one.applied(old).splitlines(), strict=False)
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
    options = parser.parse_args()
    told = tomllib.loads((HERE / "equal.toml").read_text(encoding="utf-8"))["equal"]
    equal = {(entry["module"], entry["line"]) for entry in told}
    done = left = same = 0
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["git", "clone", "--quiet", str(ROOT), folder], check=True)
        os.chdir(folder)
        os.nice(10)
        del sys.modules["tests"], sys.modules["tests.mutation"]  # those of the copy are meant
        sys.path.insert(0, folder)
        os.environ |= {"PYTHONPATH": folder, "PYTHONDONTWRITEBYTECODE": "1"}
        every = alterations(options.names)
        kept = tomllib.loads((HERE / "groups.toml").read_text(encoding="utf-8"))["kept"]
        drawn = Random(options.seed).sample(every, min(options.count, len(every)))
        for place in range(0, len(drawn), BATCH):
            batch = drawn[place : place + BATCH]
            done += len(batch)
            for one in unnoticed(batch, kept):
                line = difference(one)
                known = not equal.isdisjoint({(one.module, line), (one.module, line.partition("  ->  ")[0])})
                same, left = same + known, left + 1
                print(f"{'changes nothing' if known else 'NOT NOTICED'}  {one.module}: {line}", flush=True)
            of, noticed = done - same, done - left
            low, high = interval(noticed, of)
            print(f"{done} of {len(every)} tried, {same} change nothing; {noticed} of the other {of} noticed: ", end="")
            print(f"{noticed / of:.1%}, for all between {low:.1%} and {high:.1%}.", flush=True)
        os.chdir(ROOT)


if __name__ == "__main__":
    main()
