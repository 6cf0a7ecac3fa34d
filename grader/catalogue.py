"""Finds what stands in a folder, one file for each: adding an entry to a catalogue means adding its file."""

import importlib
import pkgutil
from collections.abc import Iterator
from types import ModuleType


def modules_of(folder: ModuleType) -> Iterator[tuple[str, ModuleType]]:
    """Every module of a folder with its name, in order; those whose names begin with an underscore only help."""
    for found in sorted(pkgutil.iter_modules(folder.__path__), key=lambda module: module.name):
        if not found.name.startswith("_"):
            yield found.name, importlib.import_module(f"{folder.__name__}.{found.name}")
