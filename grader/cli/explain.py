"""``grader explain``: the reference of the rubric file."""

import argparse
from collections.abc import Iterator

from grader.authoring.explain import GROUPS, Entry, answers, entries, explained, further
from grader.cli.lines import wrapped


def run(options: argparse.Namespace) -> int:
    """Print one entry, the entries that fit, or all names."""
    if not options.word:
        print("\n".join(_all(entries())))
        return 0
    found = explained(" ".join(options.word))
    lines = _one(found[0]) if len(found) == 1 else _several(found)
    print("\n".join(lines))
    return 0


def _all(found: tuple[Entry, ...]) -> Iterator[str]:
    for group, about in GROUPS.items():
        yield f"{group}s: {about}"
        yield from wrapped(", ".join(entry.name for entry in found if entry.group == group), "  ")
        yield ""
    yield from wrapped("'grader explain NAME' explains one of them, 'grader explain finds' a group in a line each.")


def _several(found: tuple[Entry, ...]) -> Iterator[str]:
    width = max(len(entry.name) for entry in found)
    groups = {entry.group for entry in found}
    for entry in found:
        kind = f"({entry.group}) " if len(groups) > 1 else ""
        default = f" Default: {dict(entry.rows)['default']}." if "default" in dict(entry.rows) else ""
        yield from wrapped(f"{kind}{entry.says}{default}", f"{entry.name:<{width}}  ")


def _one(entry: Entry) -> Iterator[str]:
    yield from wrapped(entry.says, f"{entry.name} ({entry.group}): ", hanging=2)
    rows = (*entry.rows, *further(entry))
    if rows:
        yield ""
        width = min(max(len(name) for name, _ in rows), 26)
        before = ""
        for name, text in rows:
            yield from wrapped(text, f"  {name if name != before else '':<{width}}  ", hanging=width + 4)
            before = name
    if entry.example:
        yield ""
        yield from entry.example.splitlines()
        found = tuple(answers(entry.example))
        if found:
            yield ""
            yield from (f"{name} = {text}" for name, text in found)
