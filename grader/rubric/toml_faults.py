"""What is wrong with a file that is not TOML, in words for who writes one by hand: the line, and what would be right.

The reader of the standard library stops at the first fault and names the place; what stands there tells the slip.
"""

import tomllib
from pathlib import Path

from grader.regex import regex

_PLACE = regex(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_TEXTS = regex(r'"(?:[^"\\]|\\.)*"|' + r"'[^']*'")
_GIVEN = regex(r"""([\w-]+)\s*=\s*([^\s"'\[{#,}\]][^"'\[{#,}\]]*)""")
_PLAIN = regex(r"[+-]?(?:\d[\d_]*(?:\.\d[\d_]*)?(?:[eE][+-]?\d+)?|inf|nan)|true|false|\d{4}-\d\d-\d\d.*|\d\d:\d\d.*")

_SAYS: dict[str, str] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))
"""By how the reader's message begins."""


def toml_fault(text: str, message: str) -> tuple[int, str]:
    r"""The line (from 1) of a fault and one sentence without its full stop, from a file's text and what the reader said.

    Examples
    --------
    >>> toml_fault('title = "Lamp"\nvalue = 12 V', "Invalid value (at line 2, column 9)")
    (2, 'a text, and a value with a unit, goes into quotation marks: value = "12 V"')
    """
    place = _PLACE.search(message)
    lines = text.splitlines() or [""]
    filled = [number for number, line in enumerate(lines, start=1) if line.strip()] or [1]
    number = int(place[1]) if place is not None and place[1] else filled[-1]
    line = " ".join(lines[min(number, len(lines)) - 1].split())
    return number, _slip(line, message).replace("{line}", line if len(line) <= 60 else f"{line[:57]}…")


def _slip(line: str, message: str) -> str:
    bare = _TEXTS.sub('""', line)
    if any(mark in bare for mark in "“”„«»"):
        return "the quotation marks in '{line}' are curly ones; write straight ones: \""
    for key, value in _GIVEN.findall(bare):
        if not _PLAIN.fullmatch(value.strip()) and value.strip() not in ("True", "False"):
            return f'a text, and a value with a unit, goes into quotation marks: {key} = "{value.strip()}"'
    if message.startswith("Cannot overwrite") and line.startswith("["):
        return _SAYS["Cannot declare"]
    found = next((says for begins, says in _SAYS.items() if message.startswith(begins)), "")
    return (
        found
        or f"this is not TOML ({_PLACE.sub('', message)}) in '{{line}}'; 'grader explain rubric' shows how it is written"
    )
