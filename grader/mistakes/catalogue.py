"""Finds the mistakes in the files of the folder ``entries``."""

from functools import cache
from types import MappingProxyType

from grader.catalogue import modules_of
from grader.mistakes import entries
from grader.mistakes.records import Mistake


@cache
def catalogue() -> MappingProxyType[str, Mistake]:
    """All mistakes by id, in alphabetical order."""
    found = [one for _, module in modules_of(entries) for one in vars(module).values() if isinstance(one, Mistake)]
    return MappingProxyType({mistake.id: mistake for mistake in sorted(found, key=lambda one: one.id)})
