"""Frames, seconds, timecode, feet and frames: one place for the arithmetic.

Conventions: a rate is an exact Fraction (24000/1001, never 23.976). A frame number is what the
scene shows (first frame often 1001); an index counts from 0 at the scene's first frame. Ranges of
frames are inclusive at both ends. Timecode is SMPTE ST 12-1; drop-frame exists for nominal 30 and
60 only, and skips labels, never pictures. Feet are of 16 frames (4-perforation 35 mm).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

FRAMES_PER_FOOT = 16  # 4-perforation 35 mm film
EDGE_FRAMES = 1e-4  # a time this near under a frame's start counts as in it (float rounding)

_NTSC = {"23.976": 24, "23.98": 24, "29.97": 30, "59.94": 60}
_WHOLE = (12, 24, 25, 30, 48, 50, 60)
_KNOWN = "12, 23.976, 24, 25, 29.97, 29.97df, 30, 48, 50, 59.94, 59.94df, 60 or N/D"


def round_half_away(value: float) -> int:
    """Nearest whole number, halves away from zero."""
    return int(math.copysign(math.floor(abs(value) + 0.5), value))


class _Ends(NamedTuple):
    first: int
    last: int


class FrameRange(_Ends):
    """Frames from `first` to `last`, both of them shown. It unpacks as that pair.

    >>> seen = FrameRange(1001, 1010)
    >>> seen.count, 1010 in seen, seen & FrameRange(1008, 1020), seen.shifted(5)
    (10, True, FrameRange(first=1008, last=1010), FrameRange(first=1006, last=1015))
    """

    __slots__ = ()

    def __new__(cls, first: int, last: int) -> FrameRange:
        """Raises ValueError if the last frame lies before the first."""
        if last < first:
            raise ValueError(f"frames {first}-{last} end before they begin")
        return tuple.__new__(cls, (first, last))

    @property
    def count(self) -> int:  # type: ignore[override]  # of frames, not of equal members
        """How many frames are shown."""
        return self.last - self.first + 1

    @property
    def numbers(self) -> Iterator[int]:
        """Every frame's number, in order."""
        return iter(range(self.first, self.last + 1))

    def __contains__(self, frame: object) -> bool:
        """Whether a frame, or the whole of another range, lies in this one."""
        if isinstance(frame, tuple):
            return bool(self.first <= frame[0] and frame[1] <= self.last)
        return isinstance(frame, int) and self.first <= frame <= self.last

    def __and__(self, other: tuple[int, int]) -> FrameRange | None:
        """The frames in both, None if there are none."""
        first, last = max(self.first, other[0]), min(self.last, other[1])
        return FrameRange(first, last) if first <= last else None

    def shifted(self, by: int) -> FrameRange:
        """As many frames, that many later."""
        return FrameRange(self.first + by, self.last + by)

    def widened(self, by: int) -> FrameRange:
        """The same frames and that many more at either end."""
        return FrameRange(self.first - by, self.last + by)

    def __str__(self) -> str:
        return f"{self.first}-{self.last}"


@dataclass(frozen=True, slots=True)
class FrameRate:
    """Pictures a second, exact. `drop` says that timecode labels are drop-frame."""

    frames_per_s: Fraction
    drop: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.frames_per_s <= 1000:
            raise ValueError(f"a rate lies between 1 and 1000 frames a second, not {self}")
        if self.drop and self.frames_per_s not in (Fraction(30000, 1001), Fraction(60000, 1001)):
            raise ValueError(f"drop-frame exists for 29.97 and 59.94 only, not {self}")

    @classmethod
    def parse(cls, text: str) -> FrameRate:
        """A rate as people write it: 24, 23.976, 29.97df, 24000/1001.

        Raises ValueError with the known rates if the text names none.
        """
        plain = text.strip().lower()
        drop = plain.endswith("df")
        plain = plain.removesuffix("df").strip()
        try:
            if plain in _NTSC:
                return cls(Fraction(_NTSC[plain] * 1000, 1001), drop)
            if re.fullmatch(r"[0-9]{1,6}/[0-9]{1,6}", plain):
                return cls(Fraction(plain), drop)
            whole = re.fullmatch(r"([0-9]{1,3})(?:\.0{1,9})?", plain)
            if whole and int(whole[1]) in _WHOLE:
                return cls(Fraction(int(whole[1])), drop)
        except ZeroDivisionError:
            pass
        raise ValueError(f'unknown rate "{text}" (known: {_KNOWN})')

    @property
    def nominal(self) -> int:
        """The whole number of labels a second: 30 for 29.97."""
        return math.ceil(self.frames_per_s)

    def __str__(self) -> str:
        for label, whole in _NTSC.items():
            if self.frames_per_s == Fraction(whole * 1000, 1001):
                return label + ("df" if self.drop else "")
        fraction = self.frames_per_s
        if fraction.denominator == 1 and fraction.numerator in _WHOLE:
            return str(fraction.numerator)
        return f"{fraction.numerator}/{fraction.denominator}"  # what parse() takes back

    def index_at(self, time_s: float) -> int:
        """Index of the picture on screen `time_s` after the scene's first frame began."""
        return math.floor(time_s * float(self.frames_per_s) + EDGE_FRAMES)

    def start_s(self, index: int) -> float:
        """Seconds at which the picture of that index comes on screen."""
        return float(Fraction(index) / self.frames_per_s)

    def frames(self, seconds: float) -> int:
        """A length as a number of frames, nearest, halves away from zero."""
        return round_half_away(seconds * float(self.frames_per_s))

    def frames_of_ms(self, milliseconds: float) -> int:
        """A length in milliseconds as a number of frames, nearest, halves away from zero."""
        return self.frames(milliseconds / 1000.0)


def timecode(index: int, rate: FrameRate) -> str:
    """SMPTE label of the picture `index` after 00:00:00:00; drop-frame has a semicolon.

    A drop-frame minute holds 1798 labels (29.97) and ten minutes 17982; two labels (four at
    59.94) are skipped at each minute that is no multiple of ten. Wraps after a day.
    Negative indexes are shown with a leading minus.
    """
    if index < 0:
        return "-" + timecode(-index, rate)
    label = index
    if rate.drop:
        skipped = rate.nominal // 15
        per_minute = rate.nominal * 60 - skipped
        per_ten = rate.nominal * 600 - 9 * skipped
        tens, rest = divmod(index, per_ten)
        minutes = 0 if rest < rate.nominal * 60 else 1 + (rest - rate.nominal * 60) // per_minute
        label = index + skipped * (9 * tens + minutes)
    seconds, frame = divmod(label, rate.nominal)
    minutes_, second = divmod(seconds, 60)
    hours, minute = divmod(minutes_, 60)
    mark = ";" if rate.drop else ":"
    width = 3 if rate.nominal > 100 else 2
    return f"{hours % 24:02d}:{minute:02d}:{second:02d}{mark}{frame:0{width}d}"


def index_of_timecode(text: str, rate: FrameRate) -> int:
    """The inverse of `timecode`. Raises ValueError for a label that does not exist."""
    match = re.fullmatch(r"([0-9]{1,2}):([0-9]{2}):([0-9]{2})[:;]([0-9]{2,3})", text.strip())
    if not match:
        raise ValueError(f'"{text}" is no timecode (hours:minutes:seconds:frames)')
    hour, minute, second, frame = (int(part) for part in match.groups())
    if hour > 23 or minute > 59 or second > 59 or frame >= rate.nominal:
        raise ValueError(f'"{text}" is no timecode at {rate}')
    index = ((hour * 60 + minute) * 60 + second) * rate.nominal + frame
    if not rate.drop:
        return index
    skipped = rate.nominal // 15
    if second == 0 and frame < skipped and minute % 10:
        raise ValueError(f'"{text}" is a label that drop-frame skips')
    minutes = hour * 60 + minute
    return index - skipped * (minutes - minutes // 10)


def feet_and_frames(index: int) -> str:
    """Film footage, 16 frames a foot, first frame 0+00."""
    if index < 0:
        return "-" + feet_and_frames(-index)
    feet, frame = divmod(index, FRAMES_PER_FOOT)
    return f"{feet}+{frame:02d}"


def on_step(frame: int, *, first_frame: int, step: int) -> int:
    """The nearest frame that is exposed when shooting on ones, twos...; the earlier if as near."""
    offset = (frame - first_frame) % step
    if offset == 0:
        return frame
    return frame - offset if offset <= step - offset else frame + step - offset


@dataclass(frozen=True, slots=True)
class Clock:
    """A scene's own time: its rate, the number of its first frame, its exposure step."""

    rate: FrameRate
    first_frame: int = 1
    step: int = 1

    def frame_at(self, scene_s: float) -> int:
        """Number of the frame on screen `scene_s` after the first frame began."""
        return self.first_frame + self.rate.index_at(scene_s)

    def last_frame_before(self, end_s: float) -> int:
        """Number of the last frame that begins before `end_s`."""
        position = end_s * float(self.rate.frames_per_s)
        return self.first_frame + math.ceil(position - EDGE_FRAMES) - 1

    def frames_between(self, start_s: float, end_s: float) -> FrameRange:
        """The frames on which something from `start_s` to before `end_s` is seen; one at least."""
        first = self.frame_at(start_s)
        return FrameRange(first, max(first, self.last_frame_before(end_s)))

    def scene_s(self, frame: int) -> float:
        """Seconds after the scene's start at which that frame comes on screen."""
        return self.rate.start_s(frame - self.first_frame)

    def seconds_of(self, frames: tuple[int, int]) -> tuple[float, float]:
        """From when to before when those frames are on screen, in seconds of the scene."""
        return self.scene_s(frames[0]), self.scene_s(frames[1] + 1)

    def exposed(self, frame: int) -> int:
        """The frame, moved to the nearest exposed one."""
        return on_step(frame, first_frame=self.first_frame, step=self.step)
