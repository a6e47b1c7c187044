"""Motion tracks as plain frozen data: named points, a position a frame.

Conventions: `points` has shape (tracks, frames, 2 or 3); two columns are picture coordinates (x to
the right, y down), three are a space whose up is y. NaN where nothing was recorded. Index i is the
frame `first_frame + i`. Distances are in the file's own unit and are never compared with a fixed
length: every measure is relative to the move or to the figure.

What it does not do: read files (`track_file`, `bvh`) or tell which point is which part (`parts`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from audio.reading import FloatArray, frozen_array


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
