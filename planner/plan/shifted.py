"""A suggestion elsewhere: moved, on another exposure, longer, or where it was locked.

Conventions: frames, inclusive; everything stays on its exposure and inside the shot, and the chart
goes along. `step` is the exposure, 1 on ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from planner.plan.context import LineContext
from planner.plan.on_frames import Grid
from planner.plan.suggestion import ChartMark, Suggestion
from planner.scene import Decision

IN_FRAMES = "in_frames"  # of a lock: the frames from the first one to the hit


def step_of(s: Suggestion, contexts: Mapping[int, LineContext], grid: Grid) -> int:
    context = contexts.get(s.line or -1)
    return context.inputs.step if context else grid.clock.step


def moved(s: Suggestion, by: int, grid: Grid, step: int) -> Suggestion:
    """The suggestion moved by a number of frames, on its exposure, inside the shot."""

    def shift(frame: int) -> int:
        return grid.inside(frame + by, step)

    return mapped(s, shift)


def on_its_step(s: Suggestion, grid: Grid, step: int) -> Suggestion:
    """The suggestion on another exposure."""
    return mapped(s, lambda frame: grid.inside(frame, step))


def with_length(s: Suggestion, frames: int, grid: Grid, step: int) -> Suggestion:
    """The suggestion that many frames long; its hit stays, what lies around it is scaled.

    A settle begins where its move ends, so its start stays.
    """
    start, end = s.frames
    old = max(end - start, 1)
    new = max(frames - 1, 0)
    anchor = s.hit if s.hit is not None and s.kind != "settle" else start

    def scale(frame: int) -> int:
        return grid.inside(anchor + round((frame - anchor) * new / old), step)

    return mapped(s, scale)


def locked(
    s: Suggestion, decision: Decision, contexts: Mapping[int, LineContext], grid: Grid, step: int
) -> Suggestion:
    """The suggestion where it was locked: as far into its line, as long, its hit as far in."""
    context = contexts.get(s.line or -1)
    origin = grid.clock.frame_at(context.inputs.at_s) if context else grid.low
    now = s.hit if s.hit is not None else s.frames[0]
    there = moved(s, origin + (decision.by or 0) - now, grid, step)
    if not decision.frames:
        return there
    ahead = decision.extra.get(IN_FRAMES)
    if there.hit is None or not isinstance(ahead, int) or not 0 <= ahead < decision.frames:
        return with_length(there, decision.frames, grid, step)
    return _from_to(there, ahead, decision.frames - 1 - ahead, grid, step)


def _from_to(s: Suggestion, ahead: int, behind: int, grid: Grid, step: int) -> Suggestion:
    """The suggestion so many frames ahead of its hit and behind it; each side is scaled."""
    hit = s.hit if s.hit is not None else s.frames[0]
    sides = (max(hit - s.frames[0], 1), max(s.frames[1] - hit, 1))

    def scale(frame: int) -> int:
        new, old = (ahead, sides[0]) if frame < hit else (behind, sides[1])
        return grid.inside(hit + round((frame - hit) * new / old), step)

    fitted = mapped(s, scale)
    first, last = grid.inside(hit - ahead, step), grid.inside(hit + behind, step)
    return replace(fitted, frames=(first, last))


def mapped(s: Suggestion, to: Any) -> Suggestion:
    """The suggestion with every frame passed through a monotone map."""
    marks: dict[int, ChartMark] = {}
    for m in s.timing_chart:
        frame = to(m.frame)
        if frame not in marks or m.mark == "key":
            marks[frame] = ChartMark(frame, m.at, m.mark)
    return replace(
        s, frames=(to(s.frames[0]), to(s.frames[1])), hit=None if s.hit is None else to(s.hit),
        timing_chart=tuple(marks[f] for f in sorted(marks)),
    )  # fmt: skip
