"""From seconds to frames: each draft is put on frames once, on ones or twos.

Conventions: a moment falls on the frame that is on screen then; on twos on the nearest exposed
frame, the earlier if two are as near. Everything stays within the shot and its handles. What the
coarser grid would push together is kept apart by one exposure where it matters: a move starts
before its hit, an anticipation is furthest back before its accent hits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import floor

from planner.drafts import Draft
from planner.ease import EASE_WORDS
from planner.frames import EDGE_FRAMES, Clock, on_step
from planner.suggestion import ChartMark, Suggestion, Why
from planner.timing_chart import favouring, timing_chart

CHART_SAID = frozenset({"pose", "head-move", "weight-shift", "gesture"})
SPARSE = frozenset({"hold", "breath"})  # charted by keys and one breakdown


@dataclass(frozen=True, slots=True)
class Grid:
    """Frames on which a shot's moves may lie. `low` and `high` inclusive."""

    clock: Clock
    low: int
    high: int
    frames_per_s: float

    @classmethod
    def of(cls, clock: Clock, low: int, high: int) -> Grid:
        """The grid of a shot; its rate as a float, worked out once."""
        return cls(clock, low, high, float(clock.rate.frames_per_s))

    def __hash__(self) -> int:
        """Cheap: an exact Fraction is dear to hash, and plans are kept under their grid."""
        return hash((self.low, self.high, self.frames_per_s))

    def frame(self, scene_s: float, step: int) -> int:
        """The exposed frame of a moment, inside the shot."""
        index = floor(scene_s * self.frames_per_s + EDGE_FRAMES)
        return self.inside(self.clock.first_frame + index, step)

    def inside(self, frame: int, step: int) -> int:
        """The nearest exposed frame inside the shot."""
        if step == 1:
            return min(max(frame, self.low), self.high)
        first = self.clock.first_frame
        exposed = on_step(frame, first_frame=first, step=step)
        low = self.low + (first - self.low) % step
        high = self.high - (self.high - first) % step
        if high < low:  # a shot too short to hold one exposed frame
            return min(max(frame, self.low), self.high)
        return min(max(exposed, low), high)


def suggestions_of(drafts: Iterable[Draft], grid: Grid, origin_s: float) -> tuple[Suggestion, ...]:
    """Drafts of one stretch on frames; their seconds count from `origin_s` of the scene.

    An anticipation that the grid swallows is left out.
    """
    ordered = sorted(drafts, key=lambda d: d.before is not None)
    hits: dict[str, int] = {}
    found: list[Suggestion] = []
    for draft in ordered:
        limit = hits.get(draft.before) if draft.before else None
        placed = _placed(draft, grid, limit, origin_s)
        if placed is None:
            continue
        if placed.hit is not None:
            hits[draft.id] = placed.hit
        found.append(placed)
    return tuple(found)


def _placed(draft: Draft, grid: Grid, limit: int | None, origin_s: float) -> Suggestion | None:
    step = draft.step
    start = grid.frame(origin_s + draft.start_s, step)
    end = grid.frame(origin_s + draft.end_s, step)
    hit = None if draft.hit_s is None else grid.frame(origin_s + draft.hit_s, step)
    if draft.before and hit is not None:
        hit = hit if limit is None else min(hit, limit - step)
        end = hit
        if start >= hit:
            return None
    if hit is not None and draft.hit_s is not None and start >= hit and draft.hit_s > draft.start_s:
        start = grid.inside(hit - step, step) if draft.layers else min(start, hit)
    end = max(end, start if hit is None else hit)
    chart = chart_of(draft, grid, (start, end), hit, origin_s)
    because = _with_chart(draft, chart) if draft.kind in CHART_SAID else draft.because
    return Suggestion(
        draft.id, draft.kind, draft.who, draft.line, draft.part, (start, end), hit, draft.text,
        draft.size, draft.direction, draft.path, because, draft.rides_on, draft.beat, chart,
        draft.certainty,
    )  # fmt: skip


def _with_chart(draft: Draft, chart: tuple[ChartMark, ...]) -> Why:
    """The reason, with the chart in words: spacing and where the breakdown stands."""
    middle = next((m.at for m in chart if m.mark == "breakdown"), None)
    if middle is None:
        return draft.because
    words = f" Chart: {EASE_WORDS[draft.ease]}; breakdown {favouring(middle)}."
    return replace(draft.because, rule=draft.because.rule + words)


def chart_of(
    draft: Draft, grid: Grid, frames: tuple[int, int], hit: int | None, origin_s: float
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
            frame = min(max(grid.frame(origin_s + moment_s, draft.step), frames[0]), frames[1])
        keys.append((frame, at))
    return timing_chart(keys, ease=draft.ease, step=draft.step, sparse=draft.kind in SPARSE)
