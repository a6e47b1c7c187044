"""Performance: what a compiled plan is, frozen.

Conventions: arrays have a row a frame of the shot (handles included) and a column a channel;
`exposed` holds on twos as it is shown, `smooth` is the motion itself on every frame, from which
`at` reads between frames. Frames are the scene's own, inclusive.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from audio.reading import FloatArray
from planner.motion.curves import IntArray
from planner.motion.table import MotionTable

AROUND = 30  # frames: no part trails another, or is slowed, by more at 24


@dataclass(frozen=True, slots=True)
class GivenUp:
    """An order that another to the same part on the same frames overruled, and from when."""

    id: str
    by: str
    who: str
    part: str
    frame: int

    @property
    def said(self) -> str:
        """In words."""
        return f"{self.who}, {self.part}: {self.id} gives way to {self.by} from frame {self.frame}"


@dataclass(frozen=True, slots=True)
class Spread:
    """A move whose rise took too few frames: those the plan says, and those it got."""

    id: str
    who: str
    part: str
    planned: tuple[int, int]
    frames: tuple[int, int]

    @property
    def said(self) -> str:
        """In words."""
        (low, high), (first, last) = self.planned, self.frames
        return (
            f"{self.who}, {self.part}: {self.id} is played on {first}-{last}, since {low}-{high} "
            f"({high - low} {'frame' if high - low == 1 else 'frames'}) is too short for it"
        )


@dataclass(frozen=True, slots=True)
class KeyMoment:
    """A frame that an animator would draw first: an attitude reached, a main accent's extreme."""

    frame: int
    part: str
    text: str
    of: str


@dataclass(frozen=True, slots=True, eq=False)
class CharacterMotion:
    """One character's channels.

    side : 1 where the figure looks to the picture's right, -1 to its left. exposed, smooth : shape
    (frames, channels). gaze : (first, last, at whom or where), without gaps. planted : (part,
    first, last) in scene frames.
    """

    who: str
    first_frame: int
    side: int
    table: MotionTable
    exposed: FloatArray
    smooth: FloatArray
    gaze: tuple[tuple[int, int, str], ...]
    held: IntArray
    leads: FloatArray
    planted: tuple[tuple[str, int, int], ...] = ()
    keys: tuple[KeyMoment, ...] = ()

    @property
    def last_frame(self) -> int:
        """The last frame, inclusive."""
        return self.first_frame + len(self.exposed) - 1

    def channel(self, name: str, *, exposed: bool = True) -> FloatArray:
        """A channel by its name ("head.up"), shape (frames,)."""
        values = self.exposed if exposed else self.smooth
        found: FloatArray = values[:, self.table.index[name]]
        return found

    def cut(self, first: int, last: int) -> CharacterMotion:
        """The same motion over some frames only, and a few around them that trailing parts need.

        What is planted there is taken along from where it was set down.
        """
        low = min([first, *(a for _, a, b in self.planted if b >= first and a <= last)])
        start = min(max(low - AROUND - self.first_frame, 0), len(self.smooth) - 1)
        end = min(max(last + AROUND - self.first_frame, start) + 1, len(self.smooth))
        keep = slice(start, end)
        held = np.maximum(self.held[keep] - start, 0)
        return replace(
            self, first_frame=self.first_frame + start, exposed=self.exposed[keep],
            smooth=self.smooth[keep], held=held, leads=self.leads[keep],
        )  # fmt: skip

    def at(self, frame: float) -> FloatArray:
        """All channels at a frame or between two, shape (channels,): a cubic through neighbours."""
        place = min(max(frame - self.first_frame, 0.0), len(self.smooth) - 1.0)
        low = int(place)
        u = place - low
        if u == 0.0:
            whole: FloatArray = self.smooth[low]
            return whole
        index = np.clip(np.arange(low - 1, low + 3), 0, len(self.smooth) - 1)
        before, one, two, after = self.smooth[index]
        found: FloatArray = one + 0.5 * u * (
            two - before
            + u * (2 * before - 5 * one + 4 * two - after + u * (3 * (one - two) + after - before))
        )  # fmt: skip
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Performance:
    """A plan compiled. `first_frame` and `last_frame` inclusive."""

    first_frame: int
    last_frame: int
    frames_per_s: Fraction
    characters: tuple[CharacterMotion, ...]
    given_up: tuple[GivenUp, ...] = ()
    spread: tuple[Spread, ...] = ()

    def of(self, who: str) -> CharacterMotion:
        """A character's motion. Raises KeyError if there is none of that name."""
        for motion in self.characters:
            if motion.who == who:
                return motion
        raise KeyError(who)

    @property
    def frames(self) -> int:
        """How many frames."""
        return self.last_frame - self.first_frame + 1
