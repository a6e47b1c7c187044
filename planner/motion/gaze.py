"""Gaze: where the eyes go, and at whom they are on every frame.

Each look goes from where the eyes were to where it sends them; one that comes back (its chart ends
at rest) leaves them where they were. Degrees away from the other's face, not scaled by size.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from planner.motion.ways import side_of, ways_of
from planner.plan.suggestion import Suggestion

Place = tuple[float, float]  # turn, up
_WHOM = re.compile(r"(?:toward|away from) ([^(,]+)")
_TARGETS = {"toward": "toward", "forward": "toward", "away": "away", "aside": "away",
            "side": "away", "other side": "away", "back": "toward", "down": "down", "up": "up",
            "down a little": "down a little", "open": "out"}  # fmt: skip


def look_place(direction: str, table: Mapping[str, Mapping[str, float]], facing: int) -> Place:
    """Where a look goes, in degrees."""
    ways = ways_of(direction)
    name = next((_TARGETS[w] for w in ways if w in _TARGETS), "toward")
    row = table.get(name, {"turn": 0.0, "up": 0.0})
    side = side_of(direction)
    # A row counts toward the other; a side that is named says where the other stands.
    return float(row["turn"]) * (side or facing), float(row["up"])


def whom(direction: str, other: str) -> str:
    """At whom or where a look goes, in words."""
    found = _WHOM.search(direction)
    if "toward" in direction and found and "would name" not in direction:
        return found.group(1).strip()
    ways = ways_of(direction)
    name = next((_TARGETS[w] for w in ways if w in _TARGETS), "toward")
    return other if name == "toward" else name


def gaze_track(
    looks: Sequence[Suggestion], first: int, last: int, other: str
) -> tuple[tuple[int, int, str], ...]:
    """(first frame, last frame, at whom or where) over the shot, without gaps."""
    changes: list[tuple[int, str]] = [(first, other)]
    now = other
    for entry in looks:
        at = min(max(entry.hit if entry.hit is not None else entry.frames[1], first), last)
        to = whom(entry.direction, other)
        changes.append((at, to))
        if returns(entry):
            changes.append((min(entry.frames[1], last), now))
        else:
            now = to
    changes.sort(key=lambda c: c[0])
    merged: list[tuple[int, str]] = []
    for at, to in changes:
        if merged and merged[-1][0] == at:
            merged[-1] = (at, to)
        elif not merged or merged[-1][1] != to:
            merged.append((at, to))
    ends = [*(at - 1 for at, _ in merged[1:]), last]
    return tuple((at, end, to) for (at, to), end in zip(merged, ends, strict=True) if end >= at)


def returns(entry: Suggestion) -> bool:
    """Whether a look comes back by itself."""
    return bool(entry.timing_chart) and entry.timing_chart[-1].at < 0.5
