"""Timing charts: the drawings of a move between its keys, on ones or twos.

Conventions: a key is (frame, share of the way); keys stand in time order on exposed frames. Between
two keys every exposed frame is a drawing; the one nearest the middle of the time is the breakdown
(it carries the arc), the others are inbetweens. Shares come from a named ease
(`planner.plan.ease`). A hold is charted by its keys and one breakdown only. What is not done:
drawings are not numbered.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.plan.ease import EASES
from planner.plan.suggestion import ChartMark

Key = tuple[int, float]

_FAVOURS = (
    (0.25, "a quarter of the way, favouring the first key"),
    (1 / 3, "a third of the way, favouring the first key"),
    (0.5, "half way"),
    (2 / 3, "two thirds of the way, favouring the second key"),
    (0.75, "three quarters of the way, favouring the second key"),
    (0.875, "close to the second key"),
    (0.125, "close to the first key"),
)


def favouring(at: float) -> str:
    """How an animator writes a breakdown's place: halves, thirds, favouring a key."""
    return min(_FAVOURS, key=lambda pair: abs(pair[0] - at))[1]


def breakdown_frame(first: int, last: int, step: int) -> int | None:
    """The exposed frame nearest the middle between two exposed keys, the earlier if as near."""
    drawings = (last - first) // step
    return first + step * (drawings // 2) if drawings >= 2 else None


def between(first: Key, last: Key, *, ease: str, step: int, sparse: bool) -> list[ChartMark]:
    """The drawings strictly between two keys."""
    start, at_start = first
    end, at_end = last
    middle = breakdown_frame(start, end, step)
    if middle is None:
        return []
    curve, span, way = EASES[ease], end - start, at_end - at_start
    if not way:
        return [ChartMark(middle, at_start, "inbetween")]
    frames = (middle,) if sparse else range(start + step, end, step)
    return [
        ChartMark(
            f,
            at_start + way * curve((f - start) / span),
            "breakdown" if f == middle else "inbetween",
        )
        for f in frames
    ]


def timing_chart(
    keys: Sequence[Key], *, ease: str, step: int, sparse: bool = False
) -> tuple[ChartMark, ...]:
    """The whole chart. Keys that fall on one frame become one, the one farther on its way."""
    placed: dict[int, float] = {}
    for frame, at in keys:
        placed[frame] = max(at, placed.get(frame, 0.0))
    ordered = sorted(placed.items())
    marks: list[ChartMark] = []
    for i, (frame, at) in enumerate(ordered):
        marks.append(ChartMark(frame, at, "key"))
        if i + 1 < len(ordered):
            marks += between((frame, at), ordered[i + 1], ease=ease, step=step, sparse=sparse)
    return tuple(marks)


def cut_chart(chart: Sequence[ChartMark], first: int, last: int) -> tuple[ChartMark, ...]:
    """A chart cut to some frames; its ends become keys, on the way where they stand."""
    inside = [m for m in chart if first < m.frame < last]
    ends = [ChartMark(f, way_at(chart, f), "key") for f in sorted({first, last})]
    return tuple(sorted([*inside, *ends], key=lambda m: m.frame))


def way_at(chart: Sequence[ChartMark], frame: int) -> float:
    """The share of the way at a frame, straight between the drawings around it."""
    before = [m for m in chart if m.frame <= frame]
    after = [m for m in chart if m.frame >= frame]
    if not before or not after:
        return (after or before)[0 if after else -1].at if chart else 0.0
    low, high = before[-1], after[0]
    if low.frame == high.frame:
        return low.at
    return low.at + (high.at - low.at) * (frame - low.frame) / (high.frame - low.frame)
