"""How far a key pose may lie from its stress, and still land on it.

Conventions: frames, pose minus stress; held as frames at 24 and turned to the scene's rate (the
nearest frame, halves away from zero). The head and what it carries have the head's window, the
rest the body's; eyes, lids and jaw have their own times and are never called early or late.
Source: common practice for the windows; they are asymmetric because a late picture is seen sooner
than an early one, as ITU-R BT.1359-1 finds for sound against picture (sound is noticed 45 ms
early, that is, with the picture late, and 125 ms late).
A scene's `tolerance` overrides them by part or for the body; an intent's `tolerance` overrides
both while it is played. A part that follows another is late by its lag, and so is its window.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from planner.check.assign import Window
from planner.frames import FrameRate, round_half_away

AT_RATE = 24  # frames a second at which tolerances are written
HEAD = (-4, 1)  # frames at 24, common practice: about two ahead is best, hardly ever late
BODY = (-6, 1)  # frames at 24, common practice: heavier parts arrive sooner
HEAD_LEAD = -2  # frames at 24, common practice: where the head is best
BODY_LEAD = -3  # frames at 24, common practice: heavier, so sooner
REACH_MS = 333  # farther from the stress, a pose is not meant for it
HEAD_PARTS = frozenset({"head", "brows"})
OWN_TIME_PARTS = frozenset({"eyes", "lids", "jaw"})  # eyes lead, lids blink, the jaw speaks

Limits = tuple[int | Fraction, int | Fraction]


def frames_at(rate: FrameRate, frames_at_24: int | Fraction) -> int:
    """Frames at 24 as frames at a rate, nearest, halves away from zero; exact arithmetic.

    >>> [frames_at(FrameRate.parse(r), -6) for r in ("12", "24", "29.97", "30", "60")]
    [-3, -6, -7, -8, -15]
    """
    value = Fraction(frames_at_24) * rate.frames_per_s / AT_RATE
    whole = round_half_away(abs(value))  # type: ignore[arg-type]
    return whole if value >= 0 else -whole


def limits(part: str, *tables: Mapping[str, Limits]) -> Limits:
    """The window of a part, frames at 24: the first table that knows the part or its kind."""
    kinds = (part,) if part in OWN_TIME_PARTS else (part, _kind(part))
    for table in tables:
        for name in kinds:
            if name in table:
                return table[name]
    return HEAD if _kind(part) == "head" else BODY


def _kind(part: str) -> str:
    return "head" if part in HEAD_PARTS | OWN_TIME_PARTS else "body"


def window(
    part: str,
    rate: FrameRate,
    *tables: Mapping[str, Limits],
    lag_frames: int = 0,
) -> Window:
    """The window of a part at a rate, shifted by a follower's lag (frames at that rate)."""
    early, late = sorted(frames_at(rate, edge) for edge in limits(part, *tables))
    reach = 0 if part in OWN_TIME_PARTS else rate.frames_of_ms(REACH_MS)
    lead = frames_at(rate, HEAD_LEAD if _kind(part) == "head" else BODY_LEAD)
    return Window(
        early=early + lag_frames,
        late=late + lag_frames,
        reach_early=min(early, -reach) + lag_frames,
        reach_late=max(late, reach) + lag_frames,
        due=min(max(lead, early), late) + lag_frames,
    )


NO_LIMITS: Mapping[str, Limits] = MappingProxyType({})
