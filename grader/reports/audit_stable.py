"""Takes the clock out of a workbook, so that the same figures give the same bytes."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time a zip entry can carry."""

_STAMP = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:\2>)")


def stable_save(path: Path) -> None:
    """Rewrite an .xlsx file in place with fixed times inside."""
    with zipfile.ZipFile(path) as book:
        entries = [(name, book.read(name)) for name in book.namelist()]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in entries:
            if name == "docProps/core.xml":
                content = _STAMP.sub(rb"\g<1>1980-01-01T00:00:00Z\g<3>", content)  # noqa: PLW2901
            entry = zipfile.ZipInfo(name, EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            book.writestr(entry, content)
