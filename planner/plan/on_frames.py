"""From seconds to frames: each draft is put on frames once, on ones or twos.

Conventions: a moment falls on the frame that is on screen then; on twos on the nearest exposed
frame, the earlier if two are as near. Everything stays within the shot and its handles. What the
coarser grid would push together is kept apart by one exposure where it matters: a move starts
before its hit, an anticipation is furthest back before its accent hits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import floor

from planner.frames import EDGE_FRAMES, Clock, on_step
from planner.plan.carriers import via_of
from planner.plan.drafts import Draft
from planner.plan.suggestion import ChartMark, Suggestion, Why
from planner.plan.time_words import chart as chart_words
from planner.plan.time_words import in_frames
from planner.plan.timing_chart import timing_chart

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

    def frame_within(self, scene_s: float, low_s: float, high_s: float, step: int) -> int:
        """As `frame`, but not before the frame of `low_s` nor after that of `high_s`.

        Where the exposure has no frame in between, the earlier of its neighbours stands.
        """
        found = self.frame(scene_s, step)
        low, high = self.frame(low_s, 1), self.frame(high_s, 1)
        if found < low and found + step <= high:
            return self.inside(found + step, step)
        if found > high and found - step >= low:
            return self.inside(found - step, step)
        return found

    def said(self, text: str, origin_s: float) -> str:
        """A reason with its times in frames."""
        rate = self.clock.rate
        return in_frames(text, rate.frames, lambda time_s: self.clock.frame_at(origin_s + time_s))

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
    hit = _hit(draft, grid, origin_s)
    if draft.starts_from_s is not None and hit is not None and step > 1:
        start = _waiting(start, hit, draft, grid, origin_s)
    if draft.before and hit is not None:
        hit = hit if limit is None else min(hit, limit - step)
        held = draft.hit_s is not None and draft.end_s > draft.hit_s
        end = max(hit, end if limit is None else min(end, limit - step)) if held else hit
        if start >= hit:
            return None
    if hit is not None and draft.hit_s is not None and start >= hit and draft.hit_s > draft.start_s:
        start = grid.inside(hit - step, step) if draft.layers else min(start, hit)
    if draft.kind == "accent" and hit is not None and start >= hit:
        # At the shot's very start there is no way in: a drawing later, or there is no accent.
        hit = start + step
        if hit > max(end, start) or not _in_word(draft, grid, hit, origin_s):
            return None
    if draft.kind == "reaction" and hit is not None and end > start:
        hit = max(hit, start + step)  # what is first seen is the drawing after the still one
    end = max(end, start if hit is None else hit)
    chart = chart_of(draft, grid, (start, end), hit, origin_s)
    because = _said(draft, grid, origin_s)
    return Suggestion(
        draft.id, draft.kind, draft.who, draft.line, draft.part, (start, end), hit, draft.text,
        draft.size, draft.direction, draft.path, because, draft.rides_on, draft.beat, chart,
        draft.certainty, None, draft.carrier, draft.must,
        draft.via or via_of(draft.kind, draft.part, draft.direction, draft.path),
    )  # fmt: skip


def _hit(draft: Draft, grid: Grid, origin_s: float) -> int | None:
    """The frame of the hit; a hit on a word is not put before the word by the exposure."""
    if draft.hit_s is None:
        return None
    if draft.hit_within_s is None:
        return grid.frame(origin_s + draft.hit_s, draft.step)
    low_s, high_s = draft.hit_within_s
    return grid.frame_within(
        origin_s + draft.hit_s, origin_s + low_s, origin_s + high_s, draft.step
    )


def _in_word(draft: Draft, grid: Grid, hit: int, origin_s: float) -> bool:
    """Whether a hit moved by the exposure is still on its word."""
    within_s = draft.hit_within_s
    return within_s is None or hit <= grid.frame(origin_s + within_s[1], 1)


def _waiting(start: int, hit: int, draft: Draft, grid: Grid, origin_s: float) -> int:
    """The start on the exposed frame after what came before still sounds, with room for it."""
    earliest = grid.frame(origin_s + (draft.starts_from_s or 0.0), 1)
    later = start + draft.step if start < earliest else start
    return later if hit - later >= 3 * draft.step else start


def _said(draft: Draft, grid: Grid, origin_s: float) -> Why:
    """The reason with the sound's times in frames; the move's own numbers are still marks."""
    why = draft.because
    rule = why.rule + chart_words(draft.ease) if draft.kind in CHART_SAID else why.rule
    said = [grid.said(t, origin_s) for t in (why.sound, why.intent, rule)]
    return Why(said[0], said[1], said[2], why.source)


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
