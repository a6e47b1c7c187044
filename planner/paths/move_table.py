"""The moves of one track as columns, one value a move; what the columns mean stands in `moves`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.paths.signals import IntArray

CURVE_POINTS = 33  # a move's path resampled evenly in time


@dataclass(frozen=True, slots=True, eq=False)
class MoveTable:
    """Moves of one track in order of time, a column a measure.

    settles : index of the move this one is the settle of, else -1. direction, enters, leaves : unit
    vectors of chord, first fifth and last fifth. curve : shape (moves, CURVE_POINTS, dims).
    """

    first: IntArray
    last: IntArray
    start: FloatArray
    end: FloatArray
    peak: IntArray
    peak_speed: FloatArray
    size: FloatArray
    chord: FloatArray
    path: FloatArray
    bulge: FloatArray
    spacing: FloatArray
    arrival: FloatArray
    settle: FloatArray
    overshoot: FloatArray
    settles: IntArray
    direction: FloatArray
    enters: FloatArray
    leaves: FloatArray
    curve: FloatArray
    travelled: FloatArray

    def __len__(self) -> int:
        return len(self.first)

    @property
    def straightness(self) -> FloatArray:
        """Chord over path, 0 to 1."""
        return self.chord / np.maximum(self.path, 1e-300)
