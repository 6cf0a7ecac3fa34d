"""A response over several intervals: one waveform from each instant on."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import zip_longest

from flint import fmpq

from grader.values.waveform import Waveform


@dataclass(frozen=True, slots=True)
class Piecewise:
    """Waveforms by interval."""

    pieces: tuple[tuple[fmpq, Waveform], ...]
    """The instant (s) from which each holds, in order of time, and the waveform in global t; the last one lasts."""

    def stretches(self) -> Iterator[tuple[fmpq, fmpq | None, Waveform]]:
        """From when until when (None: for good) each piece holds, and the piece."""
        for (start, piece), following in zip_longest(self.pieces, self.pieces[1:]):
            yield start, None if following is None else following[0], piece
