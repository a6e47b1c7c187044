"""Frames in words: the unit a frame is shown in, and a range of them. Pure."""

from __future__ import annotations

from planner.desk.state import Desk, Unit
from planner.frames import Clock, feet_and_frames, timecode


def shown(frame: int, unit: Unit, clock: Clock) -> str:
    """A frame in a unit of the ruler."""
    index = frame - clock.first_frame
    if unit == "timecode":
        return timecode(index, clock.rate)
    if unit == "seconds":
        return f"{clock.scene_s(frame):.2f}s"
    if unit == "feet":
        return feet_and_frames(index)
    return str(frame)


def shown_here(desk: Desk, frame: int) -> str:
    """A frame in the unit chosen on the desk."""
    return shown(frame, desk.unit, desk.scene.clock)


def span_shown(desk: Desk, frames: tuple[int, int]) -> str:
    """First and last frame, or the only one."""
    first, last = (shown_here(desk, frame) for frame in frames)
    return first if first == last else f"{first}-{last}"
