"""What is known of a point on a picture: a place with a confidence, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray

SURE = 0.8  # from this confidence on a place counts as certain
LEAST = 0.3  # under this nothing is written


class Why(IntEnum):
    """Why a point has no place on a picture, or that it has one."""

    SEEN = 0
    COVERED = 1  # something passes before it, or it no longer looks as it did
    LEFT = 2  # it left the picture
    CUT = 3  # another shot, in which it has no pin
    PARTED = 4  # followed from both sides, it came to two places
    NOT_SHOWN = 5  # the movie has no picture there, or none that can be decoded
    BEFORE = 6  # nothing was followed to here


@dataclass(frozen=True, slots=True, eq=False)
class SeenPoints:
    """Points on pictures. places : shape (points, pictures, 2), NaN where there is none;
    confidence : (points, pictures), 0..1; why : the same shape, a `Why`."""

    places: FloatArray
    confidence: FloatArray
    why: NDArray[np.int8]

    def __post_init__(self) -> None:
        shape = self.confidence.shape
        if self.places.shape != (*shape, 2) or self.why.shape != shape:
            raise ValueError("places, confidence and why are of different shapes")
        for array in (self.places, self.confidence, self.why):
            array.flags.writeable = False


def nothing_seen(points: int, pictures: int, why: Why = Why.BEFORE) -> tuple[
    FloatArray, FloatArray, NDArray[np.int8]
]:  # fmt: skip
    """Arrays to fill: places, confidence and why of nothing."""
    return (
        np.full((points, pictures, 2), np.nan),
        np.zeros((points, pictures)),
        np.full((points, pictures), int(why), dtype=np.int8),
    )
