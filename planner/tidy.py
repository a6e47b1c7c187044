"""Last look over one character's suggestions on frames, across lines and listening stretches.

Conventions: frames inclusive; two main moves of a part may share one frame. Done here: where lines
of different exposure meet, the earlier move gives way; holds that meet become one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.drafts import LAYERS
from planner.suggestion import Suggestion
from planner.timing_chart import cut_chart


def tidied(suggestions: Iterable[Suggestion]) -> list[Suggestion]:
    """The suggestions with overlaps of a frame or so taken away."""
    found: list[Suggestion] = []
    last: dict[str, int] = {}
    renamed: dict[str, str] = {}
    for s in sorted(suggestions, key=lambda s: (s.frames[0], s.frames[1])):
        if s.kind in LAYERS:
            found.append(s)
            continue
        if s.part in last:
            k = last[s.part]
            before = found[k]
            if s.kind == before.kind == "hold" and s.frames[0] <= before.frames[1] + 1:
                found[k] = _held_on(before, s)
                renamed[s.id] = before.id
                continue
            if before.frames[1] > s.frames[0]:
                found[k] = _ending(before, s.frames[0])
        last[s.part] = len(found)
        found.append(s)
    return [replace(s, rides_on=renamed[s.rides_on]) if s.rides_on in renamed else s for s in found]


def _held_on(hold: Suggestion, more: Suggestion) -> Suggestion:
    """Two holds that meet are one: the first goes on to the end of the second."""
    end = max(hold.frames[1], more.frames[1])
    chart = (hold.timing_chart[0], *more.timing_chart[-1:]) if more.timing_chart else ()
    sound = f"{hold.because.sound}, then {more.because.sound}"
    return replace(
        hold, frames=(hold.frames[0], end), timing_chart=chart,
        because=replace(hold.because, sound=sound),
    )  # fmt: skip


def _ending(s: Suggestion, frame: int) -> Suggestion:
    """The suggestion ended on that frame."""
    end = max(frame, s.frames[0])
    hit = s.hit if s.hit is None else min(s.hit, end)
    chart = cut_chart(s.timing_chart, s.frames[0], end)
    return replace(s, frames=(s.frames[0], end), hit=hit, timing_chart=chart)
