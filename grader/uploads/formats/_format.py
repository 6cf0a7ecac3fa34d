"""What an upload format is."""

from collections.abc import Callable
from dataclasses import dataclass

from grader.uploads.content.document import Document


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One kind of file."""

    name: str
    """As a person would call it."""
    suffixes: tuple[str, ...]
    """Endings of file names, in small letters with the point."""
    fits: Callable[[bytes], bool]
    """Whether bytes are of this format, judged by their first few or by a glance at them; never fails."""
    read: Callable[[bytes], Document]
    """Turns the bytes into a `Document`; raises `Unreadable` with one sentence, and nothing else."""
