"""A figure: the measured tracks of one character, its size, and helpers that every check uses.

Every track is measured twice: `signal` on an even time base of 24 to 30 a second (moves, paths,
holds, lags), `drawn` drawing by drawing (jumps, shakes, broken arcs, stills); see `drawings`. On
ones at a usual rate both are the same.

Conventions: `extent` is the greatest distance between two points of the figure at their mean
places, or the greatest move where that is more; small things are judged against it, so that
verdicts do not depend on the unit or on how large the figure stands in the picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.paths.move_table import MoveTable
from planner.paths.parts import Point
from planner.paths.signals import BoolArray, IntArray, Signal

TRADE_RATE = 24.0  # frames of the trade are counted at 24
SIZE_MIN = 0.04  # of the figure: smaller moves show neither arc nor ease
SIZE_NOISE = 20.0  # times the noise


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """One point of a figure with all that was measured of it.

    at : the frame (from 0) on which each drawing begins; lost : shape (even frames,), True where a
    move runs into a gap.
    """

    name: str
    point: Point
    signal: Signal
    drawn: Signal
    at: IntArray
    moves: MoveTable
    lost: BoolArray

    @property
    def main_moves(self) -> np.ndarray:
        """Indexes of the moves that are no settle of another."""
        return np.flatnonzero(self.moves.settles < 0)


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """The tracks of one character. `planted` are (part, first, last) in scene frames.

    frames_per_s : of the even time base, every `step`-th frame of the file.
    """

    who: str
    tracks: tuple[Track, ...]
    extent: float
    frames_per_s: float
    first_frame: int
    flat: bool
    planted: tuple[tuple[str, int, int], ...] = ()
    step: int = 1
    last_frame: int = 0

    @property
    def per_trade_frame(self) -> float:
        """Frames here for one frame at 24."""
        return self.frames_per_s / TRADE_RATE

    @property
    def unit(self) -> str:
        """What a distance is called."""
        return "px" if self.flat else "units"

    def frames(self, first: float, last: float) -> tuple[int, int]:
        """Indexes of the even time base as scene frames."""
        begin, end = (self.first_frame + round(self.step * at) for at in (first, last))
        return min(begin, self.last_frame), min(end, self.last_frame)

    def index(self, frame: int) -> int:
        """A scene frame as index of the even time base."""
        return round((frame - self.first_frame) / self.step)

    def drawn_frames(self, track: Track, first: int, last: int) -> tuple[int, int]:
        """Drawings as the scene frames on which they begin."""
        return self.first_frame + int(track.at[first]), self.first_frame + int(track.at[last])

    def drawn_per_s(self, track: Track) -> float:
        """How many drawings a second a track has."""
        frames = max(int(track.at[-1] - track.at[0]), 1)
        return self.frames_per_s * self.step * max(len(track.at) - 1, 1) / frames

    def move_frames(self, track: Track, move: int) -> tuple[int, int]:
        """The frames of a move."""
        return self.frames(int(track.moves.first[move]), int(track.moves.last[move]))

    def large_moves(self, track: Track, share: float = SIZE_MIN) -> IntArray:
        """Indexes of the main moves that are large enough to be looked at."""
        floor = max(share * self.extent, SIZE_NOISE * track.signal.noise)
        main = track.main_moves
        found: IntArray = main[track.moves.size[main] >= floor]
        return found

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
