"""Which picture of a movie is on screen on which frame of the scene.

A frame shows the picture that is on screen shortly before its middle, whatever the movie's time
base and whether its rate varies. A movie whose pictures are as many as the shot's frames is one
picture a frame, even if its rate is written otherwise (a playblast made at the wrong rate). Where
the rates differ and no picture is repeated, a place between two pictures is taken by time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray

SAME_RATE = 0.003  # 23.976 and 24 differ by .001
ENDS_WITHIN = 0.5  # frames
LOOKED_AT = 0.4  # of a frame: before the middle, where twice the rate changes its picture


@dataclass(frozen=True, slots=True, eq=False)
class FrameMap:
    """Frames of the scene on a movie's pictures.

    first_frame : of the scene, shown by index 0; pictures : for each frame the number of its
    picture, -1 where the movie shows none; between : the same as a fraction, for movies of another
    rate whose places are taken between pictures (else None). remarks : what to be told.
    """

    first_frame: int
    pictures: NDArray[np.int64]
    between: FloatArray | None = None
    remarks: tuple[str, ...] = ()

    @property
    def last_frame(self) -> int:
        """The last frame (inclusive)."""
        return self.first_frame + len(self.pictures) - 1

    def picture_of(self, frame: int) -> int | None:
        """The picture on a frame, or None."""
        index = frame - self.first_frame
        if not 0 <= index < len(self.pictures) or self.pictures[index] < 0:
            return None
        return int(self.pictures[index])

    def only(self, first: int, last: int) -> FrameMap:
        """The same for a part of the frames."""
        low, high = max(first, self.first_frame), min(last, self.last_frame)
        cut = slice(low - self.first_frame, max(high - self.first_frame + 1, 0))
        between = None if self.between is None else self.between[cut]
        return FrameMap(low, self.pictures[cut], between, self.remarks)


def one_to_one(count: int, first_frame: int, *remarks: str) -> FrameMap:
    """Every picture is a frame."""
    return FrameMap(first_frame, np.arange(count), None, tuple(remarks))


def map_frames(
    times_s: FloatArray, *, rate: float, first_frame: int, frames: int | None = None,
    repeats: bool = False,
) -> FrameMap:  # fmt: skip
    """The frames of a movie whose first picture is frame `first_frame`.

    times_s : of the pictures, from 0; rate : frames a second of the scene; frames : how many the
    shot has, if that is known; repeats : the movie repeats pictures to fill its rate.
    """
    count = len(times_s)
    own = _own_rate(times_s)
    if count < 2 or own == 0.0:
        return one_to_one(count, first_frame)
    even = _even(times_s)
    if even and abs(own / rate - 1.0) < SAME_RATE:
        return one_to_one(count, first_frame)
    if frames is not None and count == frames:
        return one_to_one(count, first_frame, f"the movie runs at {own:.4g} pictures a second, the "
                          f"scene at {rate:.4g}; it has one picture for each frame of the shot and "
                          "was read so")  # fmt: skip
    length = max(1, int(np.floor((times_s[-1] + 1.0 / own) * rate + ENDS_WITHIN)))
    middle_s = (np.arange(length) + LOOKED_AT) / rate
    shown = np.searchsorted(times_s, middle_s + 1e-6, side="right") - 1
    if not even:
        return FrameMap(first_frame, shown, None, (
            "its pictures stand unequally long: each frame shows what is on screen in its middle",
        ))  # fmt: skip
    told = f"the movie runs at {own:.4g} pictures a second, the scene at {rate:.4g}"
    if repeats or _whole(own / rate) or _whole(rate / own):
        return FrameMap(first_frame, shown, None, (f"{told}: read by time",))
    start_s = np.arange(length) / rate
    between = np.clip(np.interp(start_s, times_s, np.arange(count)), 0.0, count - 1.0)
    return FrameMap(first_frame, shown, between, (f"{told}: places are taken between pictures",))


def _own_rate(times_s: FloatArray) -> float:
    steps = np.diff(times_s)
    return float(1.0 / np.median(steps)) if len(steps) else 0.0


def _even(times_s: FloatArray) -> bool:
    step = (times_s[-1] - times_s[0]) / (len(times_s) - 1)
    return bool(np.max(np.abs(np.diff(times_s) - step)) < 0.5 * step)


def _whole(ratio: float) -> bool:
    return abs(ratio - round(ratio)) < SAME_RATE and ratio > 0.9


def on_frames(values: FloatArray, frames: FrameMap) -> FloatArray:
    """Values of pictures as values of frames.

    values : shape (points, pictures, ...), NaN where there is nothing; so are the results, (points,
    frames, ...).
    """
    shown = values[:, np.maximum(frames.pictures, 0)].copy()
    shown[:, frames.pictures < 0] = np.nan
    if frames.between is None:
        return shown
    low = np.floor(frames.between).astype(np.int64)
    high = np.minimum(low + 1, values.shape[1] - 1)
    part = (frames.between - low).reshape(1, -1, *[1] * (values.ndim - 2))
    lower, upper = values[:, low], values[:, high]
    mixed: FloatArray = np.where(part == 0.0, lower, (1.0 - part) * lower + part * upper)
    return mixed
