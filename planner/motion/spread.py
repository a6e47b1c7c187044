"""Moves that a plan squeezes into two or three frames, spread over the frames that are free.

A head that goes all its way from one frame to the next reads as a cut. An accent keeps its extreme
and starts up to a frame earlier, over the end of what comes before; an attitude takes the frames
that are free before it, then some behind it. How few frames are too few is common practice.
Frames are the scene's.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.motion.performance import Spread
from planner.plan.suggestion import Suggestion

ACCENT_S = 3 / 24  # a rise shorter than this is one step to the eye; common practice
ATTITUDE_S = 6 / 24  # a whole body needs longer
AFTER_S = 3 / 24  # an attitude is reached so much later at most
OVER_S = 1 / 24  # by so much a rise may begin in the end of what comes before
_ACCENTS = ("accent", "follow")
_ATTITUDES = ("pose", "reaction")
_BODY = ("whole", "head", "chest")


def spread_moves(own: Sequence[Suggestion], rate: float) -> dict[str, Spread]:
    """What is spread, by id; `own` is one character's, in order."""
    found: dict[str, Spread] = {}
    rising = [(e, rise) for e in own if e.kind in _ATTITUDES and (rise := _rise(e))]
    attitudes = [e for e, _ in rising]
    trailing = {_tail(e) for e in attitudes}
    for k, (entry, (low, high)) in enumerate(rising):
        lacks = round(ATTITUDE_S * rate) - (high - low)
        if lacks <= 0:
            continue
        free = low - attitudes[k - 1].frames[1] if k else lacks
        before = min(lacks, max(free, 0))
        room = attitudes[k + 1].frames[0] - high if k + 1 < len(attitudes) else lacks
        after = min(lacks - before, max(room, 0), round(AFTER_S * rate))
        if before or after:
            found[entry.id] = Spread(
                entry.id, entry.who, entry.part, (low, high), (low - before, high + after)
            )
    for entry in own:
        rise = _rise(entry) if entry.kind in _ACCENTS and entry.part in _BODY else None
        if rise is None:
            continue
        low, high = rise
        trails = entry.kind == "follow" and _tail(entry) in trailing
        least = round((ATTITUDE_S if trails else ACCENT_S) * rate)
        lacks = min(least - (high - low), max(1, round(OVER_S * rate)))
        if lacks > 0:
            found[entry.id] = Spread(
                entry.id, entry.who, entry.part, (low, high), (low - lacks, high)
            )
    return found


def _rise(entry: Suggestion) -> tuple[int, int] | None:
    """First frame and extreme of a chart that starts at rest; None for any other."""
    chart = entry.timing_chart
    if len(chart) < 2 or chart[0].at > 0.5:
        return None
    top = max(chart, key=lambda mark: mark.at)
    return (chart[0].frame, top.frame) if top.frame > chart[0].frame else None


def _tail(entry: Suggestion) -> str:
    return entry.id.split("/", maxsplit=2)[2]
