"""Where mistakes are reported, and how common that makes them.

The look-ups behind them saw the openings of stored pages; a source is cited for what its opening shows.
"""

from __future__ import annotations

from typing import NamedTuple

OBSERVED, REPORTED, SUPPOSED = 3, 2, 1
"""How common a mistake is held to be, before anything is known of the class.

Seen in students' attempts, or reported by several sources; reported by one source; common practice, no source.
"""


class Citation(NamedTuple):
    """A source spelled out, and how common it shows a mistake to be: `OBSERVED`, `REPORTED` or `SUPPOSED`."""

    text: str
    prior: int


NO_SOURCE = Citation("Common practice, no source.", SUPPOSED)
REVIEW_SECOND_ORDER = Citation(
    "Listed as a mistake in public engineering exam-review notes on second-order circuits.", REPORTED
)
REVIEW_STORAGE = Citation(
    "Listed as a mistake in public engineering exam-review notes on inductors and capacitors.", REPORTED
)
SIGN_RULES = Citation(
    "A. Ganago, EECS 314, Fall 2007, grading policy: the sign convention counted as a conceptual error.", REPORTED
)
