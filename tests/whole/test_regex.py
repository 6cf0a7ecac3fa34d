"""Patterns that are compiled when they are first used: each of them can be."""

import gc
import importlib
import pkgutil
import re

import grader
from grader.regex import _Later, regex


def test_every_pattern_of_the_program_compiles():
    for module in pkgutil.walk_packages(grader.__path__, "grader."):
        if not module.name.endswith(("__main__", "_child")):
            importlib.import_module(module.name)
    gc.unfreeze()  # a server that was started here has put all there was out of its sight
    waiting = [one for one in gc.get_objects() if isinstance(one, _Later)]
    assert len(waiting) > 200
    for one in waiting:
        re.compile(one.pattern, one._flags)


def test_it_is_used_as_what_it_stands_for():
    later, now = regex(r"(?P<n>[0-9]+)\s*v", re.IGNORECASE), re.compile(r"(?P<n>[0-9]+)\s*v", re.IGNORECASE)
    text = "3 V and 12v"
    assert later.pattern == now.pattern
    assert [match["n"] for match in later.finditer(text)] == [match["n"] for match in now.finditer(text)] == ["3", "12"]
    assert later.sub("x", text) == now.sub("x", text)
    assert later.split(text) == now.split(text)
    assert later.fullmatch("3 V") is not None
    assert later.fullmatch(text) is None
