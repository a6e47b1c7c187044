"""Numbers of frames in reasons, worded once frames are known: rules run in seconds.

What the sound does is known when a draft is put on frames: `lasting(0.29)` becomes "7 frames" at
the scene's rate, `moment(0.83)` the frame on screen then. What the move does is known at the very
end, after exposure, conflicts and the user's decisions: `own("in")`, `until("leaves")`,
`against(beat_s)` and the like stay marks until `planner.plan.worded` reads them off the final
suggestion, so that no reason can say another number than its frames do. The marks are characters
of the private use area, which no text of a scene has a meaning for.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Literal

Own = Literal["in", "stay", "back", "trails", "lasts"]
OwnFrame = Literal["leaves", "ends"]
Edge = Literal["hit", "start"]

_OF_SOUND = re.compile("\ue000([lnmga])([hs]?)(-?[0-9.]+)\ue001")
OF_MOVE = re.compile("\ue000([OFCGA])([^\ue001]*)\ue001")


def lasting(seconds: float) -> str:
    """A length of the sound with its unit: "3 frames"."""
    return f"\ue000l{seconds:.6f}\ue001"


def number(seconds: float) -> str:
    """A length of the sound as a bare number of frames, where the unit is said next to it."""
    return f"\ue000n{seconds:.6f}\ue001"


def moment(time_s: float) -> str:
    """A moment (seconds of the line, or of the shot while listening) as "frame 1018"."""
    return f"\ue000m{time_s:.6f}\ue001"


def own(name: Own, *, unit: bool = True) -> str:
    """A length of the move itself, as it ends up: "3 frames", or 3 without its unit."""
    return f"\ue000O{name}{'+' if unit else ''}\ue001"


def until(name: OwnFrame) -> str:
    """A frame of the move itself: where it starts back, or its last: "frame 1461"."""
    return f"\ue000F{name}\ue001"


def chart(ease: str) -> str:
    """The move's chart in words: spacing, and where its breakdown stands; "" if it has none."""
    return f"\ue000C{ease}\ue001"


def against(time_s: float, edge: Edge = "hit") -> str:
    """The move's hit (or start) against a moment: "3 frames before", "on", "2 frames after"."""
    return f"\ue000g{edge[0]}{time_s:.6f}\ue001"


def ago(time_s: float, edge: Edge = "start") -> str:
    """How long before the move a moment was: "9 frames before", "just then", "2 frames after"."""
    return f"\ue000a{edge[0]}{time_s:.6f}\ue001"


def counted(frames: int) -> str:
    """So many frames, as people say it."""
    return f"{frames} frame" if abs(frames) == 1 else f"{frames} frames"


def in_frames(text: str, frames: Callable[[float], int], frame_at: Callable[[float], int]) -> str:
    """The text with the sound's times as frames; `frames` of a length, `frame_at` of a moment.

    Marks of the move stay, those against a moment with that moment's frame.
    """
    if "\ue000" not in text:
        return text

    def said(match: re.Match[str]) -> str:
        kind, edge, seconds = match[1], match[2], float(match[3])
        if kind in "ga":
            return f"\ue000{kind.upper()}{edge}{frame_at(seconds)}\ue001"
        if kind == "m":
            return f"frame {frame_at(seconds)}"
        count = frames(seconds)
        return str(count) if kind == "n" else counted(count)

    return _OF_SOUND.sub(said, text)
