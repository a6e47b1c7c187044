"""What a change of a plan can touch: the stretch of a character's frames to compile anew.

A pose takes over from everything before it, so that a stretch can begin some time after one pose
before the change and end some time after one behind it, if what the character was in the middle of
(its state) is the same there as it was. Frames outside are as they were. Frames are the scene's,
inclusive. Pure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from audio.reading import FloatArray
from planner.motion.attitudes import Played
from planner.plan.suggestion import Suggestion

TAKEN_OVER_S = 1.5  # after a pose has arrived nothing older is left in a channel
BEFORE_S = 3.0  # a change can touch what ended so long before it (`returns_ms`)
AFTER_S = 3.0  # what comes so soon after a stretch may take over from what is in it
MOST_TRIES = 4
LOOK_BACK = 60  # entries; what began before them is over
AT_REST = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """What a character is in the middle of as a pose begins."""

    now: FloatArray
    before: Played | None
    gaze: tuple[float, float]
    shifted: float
    last_change: Mapping[int, float]
    last_size: float

    def same(self, other: State | None) -> bool:
        """Whether all that comes after would be the same."""
        return other is not None and (
            np.array_equal(self.now, other.now)
            and (self.before, self.gaze, self.shifted, self.last_size)
            == (other.before, other.gaze, other.shifted, other.last_size)
            and self.last_change == other.last_change
        )


@dataclass(frozen=True, slots=True)
class Window:
    """Entries (slice of the new ones) to compile, and the frames that are taken from it.

    opens, closes : ids of the poses at its ends; `closes` "" at the shot's end.
    """

    entries: tuple[int, int]
    frames: tuple[int, int]
    opens: str
    closes: str


def changed(
    old: Sequence[Suggestion], new: Sequence[Suggestion]
) -> tuple[int, int, int, int] | None:
    """Common entries at the front and at the back, and the frames of what differs; None if none.

    Returns (front, back, first frame, last frame).
    """
    most = min(len(old), len(new))
    front = 0
    while front < most and (old[front] is new[front] or old[front] == new[front]):
        front += 1
    back = 0
    while back < most - front and (
        old[-1 - back] is new[-1 - back] or old[-1 - back] == new[-1 - back]
    ):
        back += 1
    differ = [*old[front : len(old) - back], *new[front : len(new) - back]]
    if not differ:
        return None
    return front, back, min(e.frames[0] for e in differ), max(e.frames[1] for e in differ)


def windows(
    old: Sequence[Suggestion], new: Sequence[Suggestion], last_frame: int, rate: float
) -> list[Window]:
    """Stretches that may do, the shortest first; none where only a whole compile will."""
    found = changed(old, new)
    if found is None:
        return []
    front, back, low, high = found
    opens = _opening(new, front, low, rate)
    if opens is None:
        return []
    taken = round(TAKEN_OVER_S * rate)
    start = new[opens].frames[1] + taken
    made = []
    behind = [e for e in new[len(new) - back :] if _moves(e) and e.frames[0] > high]
    for pose in behind[:MOST_TRIES]:
        end = pose.frames[1] + taken
        if end >= last_frame:
            break
        reach = end + round(AFTER_S * rate)
        stop = next((i for i, e in enumerate(new) if e.frames[0] > reach), len(new))
        made.append(Window((opens, stop), (start, end), new[opens].id, pose.id))
    return [*made, Window((opens, len(new)), (start, last_frame), new[opens].id, "")]


def _opening(new: Sequence[Suggestion], front: int, low: int, rate: float) -> int | None:
    """The last pose that is over well before the change, with nothing older still under way."""
    taken, before = round(TAKEN_OVER_S * rate), round(BEFORE_S * rate)
    for i in range(front - 1, -1, -1):
        pose = new[i]
        start = pose.frames[1] + taken
        if not _moves(pose) or start > low - before:
            continue
        if all(_over(e, pose.frames[0], start) for e in new[max(0, i - LOOK_BACK) : i]):
            return i
    return None


def _over(entry: Suggestion, pose_starts: int, start: int) -> bool:
    """Whether nothing is left of an entry: the pose took over from it, or it went back itself."""
    returned = bool(entry.timing_chart) and entry.timing_chart[-1].at < AT_REST
    return entry.frames[1] <= (start if returned else pose_starts + 1)


def _moves(entry: Suggestion) -> bool:
    return entry.kind == "pose" and entry.frames[1] > entry.frames[0]
