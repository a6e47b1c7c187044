"""Times in reasons, worded once frames are known: animators count frames, rules run in seconds.

A rule writes `f"{number(0.125)} in, {lasting(0.29)} back"`; `planner.plan.on_frames` turns that
into "3 in, 7 frames back" at the scene's rate, with `in_frames`. `moment(0.83)` becomes the frame
on screen then. The marks in between are characters of the private use area, which no text of a
scene has a meaning for.
"""

from __future__ import annotations

import re
from collections.abc import Callable

_MARKED = re.compile("\ue000([lnm])(-?[0-9.]+)\ue001")


def lasting(seconds: float) -> str:
    """A length with its unit: "3 frames"."""
    return f"\ue000l{seconds:.6f}\ue001"


def number(seconds: float) -> str:
    """A length as a bare number of frames, where the unit is said next to it."""
    return f"\ue000n{seconds:.6f}\ue001"


def moment(time_s: float) -> str:
    """A moment (seconds of the line, or of the shot while listening) as "frame 1018"."""
    return f"\ue000m{time_s:.6f}\ue001"


def in_frames(text: str, frames: Callable[[float], int], frame_at: Callable[[float], int]) -> str:
    """The text with its times as frames; `frames` of a length, `frame_at` of a moment."""
    if "\ue000" not in text:
        return text

    def said(match: re.Match[str]) -> str:
        kind, seconds = match[1], float(match[2])
        if kind == "m":
            return f"frame {frame_at(seconds)}"
        count = frames(seconds)
        if kind == "n":
            return str(count)
        return f"{count} frame" if count == 1 else f"{count} frames"

    return _MARKED.sub(said, text)
