"""Last look over one character's suggestions on frames, across lines and listening stretches.

Conventions: frames inclusive; two main moves of a part may share one frame. Done here: where lines
of different exposure meet, the earlier move gives way; of two blinks nearer than people blink,
the one that marks a change of thought stays.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.drafts import LAYERS
from planner.suggestion import Suggestion


def tidied(suggestions: Iterable[Suggestion]) -> list[Suggestion]:
    """The suggestions with overlaps of a frame or so taken away."""
    found: list[Suggestion] = []
    last: dict[str, int] = {}
    for s in sorted(suggestions, key=lambda s: (s.frames[0], s.frames[1])):
        if s.kind in LAYERS:
            found.append(s)
            continue
        if s.part in last:
            k = last[s.part]
            before = found[k]
            if before.frames[1] > s.frames[0]:
                found[k] = _ending(before, s.frames[0])
        last[s.part] = len(found)
        found.append(s)
    return found


def _ending(s: Suggestion, frame: int) -> Suggestion:
    """The suggestion ended on that frame."""
    end = max(frame, s.frames[0])
    hit = s.hit if s.hit is None else min(s.hit, end)
    chart = tuple(m for m in s.timing_chart if m.frame <= end)
    return replace(s, frames=(s.frames[0], end), hit=hit, timing_chart=chart)
