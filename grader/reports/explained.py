"""``explained.jsonl``: a line per student, what each seems to believe and by which answers; written and read."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import msgspec

from grader.errors import UsageError
from grader.ideas.records import Explanation, Item
from grader.opening import content_of

EXPLAINED = "explained.jsonl"


def explanation_values(explanation: Explanation) -> dict[str, Any]:
    """An explanation as plain values, items as ``problem.item``."""
    values: dict[str, Any] = msgspec.to_builtins(explanation)
    for idea in values["ideas"]:
        idea |= {"shown": _names(idea["shown"]), "refuted": _names(idea["refuted"])}
    slips = [{"item": name, "id": id} for item, id in explanation.slips for name in _names([item])]
    return values | {"slips": slips, "unexplained": _names(explanation.unexplained)}


def read_explanations(folder: Path) -> dict[str, Explanation]:
    """All explanations of a results folder by student; none where the run that wrote it made none.

    Raises
    ------
    UsageError
        If it cannot be read, or a line is damaged.
    """
    path = folder / EXPLAINED
    try:
        lines = content_of(path).split(b"\n")
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise UsageError(f"{path} cannot be read ({error.strerror}); put elsewhere what stands there.") from None
    found = {}
    for number, raw in enumerate(lines, start=1):
        if raw.strip():
            try:
                explanation = _explanation(json.loads(raw))
            except (ValueError, KeyError, TypeError, AttributeError, RecursionError, msgspec.MsgspecError):
                raise UsageError(
                    f"{path}, line {number}, is damaged; run 'grader grade' again to write it anew."
                ) from None
            found[explanation.student] = explanation
    return found


def _explanation(record: dict[str, Any]) -> Explanation:
    for idea in record["ideas"]:
        idea |= {"shown": _items(idea["shown"]), "refuted": _items(idea["refuted"])}
    slips = [(*_items([slip["item"]]), slip["id"]) for slip in record["slips"]]
    return msgspec.convert(record | {"slips": slips, "unexplained": _items(record["unexplained"])}, Explanation)


def _names(items: Iterable[Item]) -> list[str]:
    return [f"{problem}.{item}" for problem, item in items]


def _items(names: list[str]) -> tuple[Item, ...]:
    parted = (str(name).partition(".") for name in names)
    return tuple((problem, item) for problem, _, item in parted)
