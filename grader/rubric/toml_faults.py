"""What is wrong with a file that is not TOML, in words for who writes one by hand: the line, and what would be right.

The reader of the standard library stops at the first fault and names the place; what stands there tells the slip.
"""

import re

_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_TEXTS = re.compile(r'"(?:[^"\\]|\\.)*"|' + r"'[^']*'")
_GIVEN = re.compile(r"""([\w-]+)\s*=\s*([^\s"'\[{#,}\]][^"'\[{#,}\]]*)""")
_PLAIN = re.compile(
    r"[+-]?(?:\d[\d_]*(?:\.\d[\d_]*)?(?:[eE][+-]?\d+)?|inf|nan)|true|false|\d{4}-\d\d-\d\d.*|\d\d:\d\d.*"
)

_OPENED = (
    "'{line}' does not go with what stands above: open every problem by a line [[problem]], in double brackets, and its "
    "items and elements below it, by [[problem.item]] or as a list, not both"
)
_SAYS = {
    "Invalid value": "a value is missing or is none; a text goes into quotation marks, and true and false are written small",
    "Expected newline": "something stands behind the value in '{line}'; a value with a unit or a decimal comma goes into "
    "quotation marks, and a comma stands between entries of a list only",
    "Expected '='": "there is no '=' between key and value in '{line}'",
    "Illegal character '\\n'": "a quotation mark is opened and not closed in '{line}'; a text of several lines stands "
    'between """ and """',
    "Unterminated string": 'a text is opened by """ and never closed; write """ at its end',
    "Unclosed inline table": "a comma or a closing } is missing in '{line}'; a table in braces stands on one line",
    "Unclosed array": "before '{line}' a comma is missing between two entries of a list, or the ] at its end",
    "Cannot overwrite a value": "a key of this table is given a second time in '{line}'; keep one of the two",
    "Cannot declare": _OPENED,
    "Cannot mutate": _OPENED,
    "Expected ']": "a bracket is missing in '{line}'; a problem is opened by [[problem]]",
    "Unescaped": "a backslash in '{line}' must be doubled, or the text put into single quotation marks",
    "Invalid initial character": "'{line}' does not begin with a key; a table in braces stands on one line",
}
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
        return _OPENED
    found = next((says for begins, says in _SAYS.items() if message.startswith(begins)), "")
    return (
        found
        or f"this is not TOML ({_PLACE.sub('', message)}) in '{{line}}'; 'grader explain rubric' shows how it is written"
    )
