"""A place in time as people type it, into a frame. Pure."""

from __future__ import annotations

import re

from planner.frames import FRAMES_PER_FOOT, Clock, index_of_timecode


def frame_of_text(text: str, clock: Clock) -> int:
    """A frame from "1016", "00:00:01:04", "1.5s" or "2+08".

    Raises ValueError with what would have been understood.
    """
    plain = text.strip().lower()
    if re.fullmatch(r"-?\d{1,9}", plain):
        return int(plain)
    if match := re.fullmatch(r"(\d{1,6}(?:\.\d{1,6})?)\s*s", plain):
        return clock.frame_at(float(match[1]))
    if match := re.fullmatch(r"(\d{1,6})\+(\d{1,2})", plain):
        return clock.first_frame + int(match[1]) * FRAMES_PER_FOOT + int(match[2])
    if ":" in plain or ";" in plain:
        return clock.first_frame + index_of_timecode(plain, clock.rate)
    raise ValueError("a frame (1016), a timecode, seconds (1.5s) or feet+frames (2+08)")
