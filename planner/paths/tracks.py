"""Motion tracks as plain frozen data: named points, a position a frame.

Conventions: `points` has shape (tracks, frames, 2 or 3); two columns are picture coordinates (x to
the right, y down), three are a space whose up is y. NaN where nothing was recorded. Index i is the
frame `first_frame + i`. Distances are in the file's own unit and are never compared with a fixed
length: every measure is relative to the move or to the figure.

What it does not do: read files (`track_file`, `bvh`) or tell which point is which part (`parts`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from audio.reading import FloatArray, frozen_array

SAME_PHASE_STEPS = (4, 3, 2)  # exposures looked for: on fours, threes, twos
MOVED_MIN = 8  # changes of position needed to tell on which step a track is exposed


@dataclass(frozen=True, slots=True, eq=False)
class Tracks:
    """Points over time. `remarks` say what the reader had to state (gaps, what was left out)."""

    names: tuple[str, ...]
    first_frame: int
    points: FloatArray
    file: str = ""
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.points.ndim != 3 or self.points.shape[2] not in (2, 3):
            raise ValueError(f"points have shape (tracks, frames, 2 or 3), not {self.points.shape}")
        if len(self.names) != len(self.points) or len(set(self.names)) != len(self.names):
            raise ValueError("as many different names as tracks are needed")
        if self.points.flags.writeable:
            object.__setattr__(self, "points", frozen_array(self.points))

    @property
    def count(self) -> int:
        """Number of frames."""
        return int(self.points.shape[1])

    @property
    def last_frame(self) -> int:
        """The last frame (inclusive)."""
        return self.first_frame + self.count - 1

    @property
    def flat(self) -> bool:
        """True for picture coordinates, False for points in space."""
        return bool(self.points.shape[2] == 2)

    @property
    def unit(self) -> str:
        """What a distance is called."""
        return "px" if self.flat else "units"

    def only(self, indexes: tuple[int, ...]) -> Tracks:
        """The same frames, some of the tracks."""
        if indexes == tuple(range(len(self.names))):
            return self
        chosen = self.points[list(indexes)]
        chosen.flags.writeable = False
        return replace(self, names=tuple(self.names[i] for i in indexes), points=chosen)


def exposure_step(points: FloatArray) -> tuple[int, int]:
    """On how many frames each position is held, and on which index (mod step) it changes.

    points : shape (tracks, frames, dims). Returns (1, 0) when positions change on any frame.
    """
    changes = np.zeros(points.shape[1], dtype=bool)
    for track in points:
        changes[1:] |= np.any(track[1:] != track[:-1], axis=1)
    when = np.flatnonzero(changes)
    if len(when) < MOVED_MIN:
        return 1, 0
    for step in SAME_PHASE_STEPS:
        phase = int(when[0] % step)
        often = len(when) >= 2 and np.median(np.diff(when)) == step
        if np.all(when % step == phase) and often:
            return step, phase
    return 1, 0


def bridge_exposures(points: FloatArray, step: int, phase: int) -> FloatArray:
    """The positions between exposures, along a smooth curve through the exposed ones.

    A held frame is no fault, so the measures look at the movement that the drawings sample.
    Source: Catmull-Rom interpolation (four neighbouring drawings).
    """
    count = points.shape[1]
    exposed = points[:, phase::step]
    position = np.clip((np.arange(count) - phase) / step, 0.0, exposed.shape[1] - 1)
    whole = np.floor(position).astype(np.int64)
    part = (position - whole)[None, :, None]
    p0, p1, p2, p3 = (
        exposed[:, np.clip(whole + k, 0, exposed.shape[1] - 1)] for k in (-1, 0, 1, 2)
    )
    bridged = p1 + 0.5 * part * (
        (p2 - p0) + part * (2 * p0 - 5 * p1 + 4 * p2 - p3 + part * (3 * (p1 - p2) + p3 - p0))
    )
    bridged[:, :phase] = points[:, :phase]
    return frozen_array(bridged)
