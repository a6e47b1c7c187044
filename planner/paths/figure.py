"""A figure: the measured tracks of one character, its size, and helpers that every check uses.

Conventions: `extent` is the greatest distance between two points of the figure at their mean
places, or the greatest move where that is more; small things are judged against it, so that
verdicts do not depend on the unit or on how large the figure stands in the picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.paths.moves import MoveTable
from planner.paths.parts import Point
from planner.paths.signals import BoolArray, Signal

TRADE_RATE = 24.0  # frames of the trade are counted at 24


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """One point of a figure with all that was measured of it.

    lost : shape (frames,), True where a move runs into a gap.
    """

    name: str
    point: Point
    signal: Signal
    moves: MoveTable
    lost: BoolArray

    @property
    def main_moves(self) -> np.ndarray:
        """Indexes of the moves that are no settle of another."""
        return np.flatnonzero(self.moves.settles < 0)


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """The tracks of one character. `planted` are (part, first, last) in scene frames."""

    who: str
    tracks: tuple[Track, ...]
    extent: float
    frames_per_s: float
    first_frame: int
    flat: bool
    planted: tuple[tuple[str, int, int], ...] = ()

    @property
    def per_trade_frame(self) -> float:
        """Frames here for one frame at 24."""
        return self.frames_per_s / TRADE_RATE

    @property
    def unit(self) -> str:
        """What a distance is called."""
        return "px" if self.flat else "units"

    def frames(self, first: float, last: float) -> tuple[int, int]:
        """Indexes as scene frames."""
        return self.first_frame + round(first), self.first_frame + round(last)

    def move_frames(self, track: Track, move: int) -> tuple[int, int]:
        """The frames of a move."""
        return self.frames(int(track.moves.first[move]), int(track.moves.last[move]))

    def with_part(self, part: str) -> Iterator[Track]:
        """All tracks of a part."""
        return (track for track in self.tracks if track.point.part == part)

    def is_planted(self, part: str, frames: tuple[int, int]) -> bool:
        """True if the part stands planted over any of these frames."""
        return any(
            part == planted and first <= frames[1] and frames[0] <= last
            for planted, first, last in self.planted
        )


def extent_of(signals: list[Signal], moves: list[MoveTable]) -> float:
    """Size of a figure, from the usual places of its points and its greatest move."""
    centres = np.array([s.raw.mean(axis=0) for s in signals])
    across = np.linalg.norm(centres[:, None] - centres[None, :], axis=2).max(initial=0.0)
    greatest = max((float(m.size.max()) for m in moves if len(m)), default=0.0)
    if max(float(across), greatest) == 0.0:  # one point without a move
        greatest = max(float(np.linalg.norm(np.ptp(s.raw, axis=0))) for s in signals)
    return max(float(across), greatest, 1e-12)
