"""From seconds to frames: each draft is put on frames once, on ones or twos.

Conventions: a moment falls on the frame that is on screen then; on twos on the nearest exposed
frame, the earlier if two are as near. Everything stays within the shot and its handles. What the
coarser grid would push together is kept apart by one exposure where it matters: a move starts
before its hit, an anticipation is furthest back before its accent hits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.drafts import Draft
from planner.frames import Clock, on_step
from planner.suggestion import ChartMark, Suggestion
from planner.timing_chart import timing_chart

SPARSE = frozenset({"hold", "breath"})  # charted by keys and one breakdown


@dataclass(frozen=True, slots=True)
class Grid:
    """Frames on which a shot's moves may lie. `low` and `high` inclusive."""

    clock: Clock
    low: int
    high: int

    def frame(self, scene_s: float, step: int) -> int:
        """The exposed frame of a moment, inside the shot."""
        return self.inside(self.clock.frame_at(scene_s), step)

    def inside(self, frame: int, step: int) -> int:
        """The nearest exposed frame inside the shot."""
        first = self.clock.first_frame
        exposed = on_step(frame, first_frame=first, step=step)
        low = self.low + (first - self.low) % step
        high = self.high - (self.high - first) % step
        return min(max(exposed, low), max(high, low))


def suggestions_of(drafts: Iterable[Draft], grid: Grid) -> tuple[Suggestion, ...]:
    """Drafts of one stretch on frames. An anticipation that the grid swallows is left out."""
    ordered = sorted(drafts, key=lambda d: d.before is not None)
    hits: dict[str, int] = {}
    found: list[Suggestion] = []
    for draft in ordered:
        limit = hits.get(draft.before) if draft.before else None
        placed = _placed(draft, grid, limit)
        if placed is None:
            continue
        if placed.hit is not None:
            hits[draft.id] = placed.hit
        found.append(placed)
    return tuple(found)


def _placed(draft: Draft, grid: Grid, limit: int | None) -> Suggestion | None:
    step = draft.step
    start, end = grid.frame(draft.start_s, step), grid.frame(draft.end_s, step)
    hit = None if draft.hit_s is None else grid.frame(draft.hit_s, step)
    if draft.before and hit is not None:
        hit = hit if limit is None else min(hit, limit - step)
        end = hit
        if start >= hit:
            return None
    if hit is not None and draft.hit_s is not None and start >= hit and draft.hit_s > draft.start_s:
        start = grid.inside(hit - step, step) if draft.layers else min(start, hit)
    end = max(end, start if hit is None else hit)
    return Suggestion(
        draft.id, draft.kind, draft.who, draft.line, draft.part, (start, end), hit, draft.text,
        draft.size, draft.direction, draft.path, draft.because, draft.rides_on, draft.beat,
        chart_of(draft, grid, (start, end), hit), draft.certainty,
    )  # fmt: skip


def chart_of(
    draft: Draft, grid: Grid, frames: tuple[int, int], hit: int | None
) -> tuple[ChartMark, ...]:
    """The timing chart of a draft that lies on those frames."""
    keys: list[tuple[int, float]] = []
    for moment_s, at in draft.chart_keys_s():
        if moment_s == draft.start_s:
            frame = frames[0]
        elif moment_s == draft.hit_s and hit is not None:
            frame = hit
        elif moment_s == draft.end_s:
            frame = frames[1]
        else:
            frame = min(max(grid.frame(moment_s, draft.step), frames[0]), frames[1])
        keys.append((frame, at))
    return timing_chart(keys, ease=draft.ease, step=draft.step, sparse=draft.kind in SPARSE)


def breakdown_said(chart: Iterable[ChartMark]) -> int | None:
    """The frame of a chart's first breakdown."""
    return next((m.frame for m in chart if m.mark == "breakdown"), None)
