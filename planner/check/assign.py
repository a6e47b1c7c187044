"""Which key pose serves which stress: the best pairing of the two that keeps their order.

Conventions: frames are whole numbers; `by` is pose minus stress. A pose lands on a stress inside
its `Window`, and may be taken for an early or late one within the window's reach. Each pose
serves one stress at most and each stress is served by one pose at most; pairs never cross.
Best means, in this order: the stresses that are landed on (the stronger decides), then those
that are served at all, then the fewest frames between the poses and where they are due. So a pose
that could serve two stresses is taken to serve the stronger, and one more pose never loses a stress
that was landed on (if all windows are alike: landed sets are then those of a transversal matroid).
Method: dynamic programming over poses and stresses in order of time (as in the alignment of
sequences), only where they are within reach, so time grows with the number of poses.
It knows nothing of scenes; `planner.check.check_poses` hands it one part of one character.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

_COST_BITS = 40  # room for the sum of distances below the bits that say which stresses are served


@dataclass(frozen=True, slots=True)
class Window:
    """Frames, pose minus stress, all ends inclusive.

    It lands from `early` to `late`; from `reach_early` to `reach_late` it counts as early or late.
    `due` is where it is best: of two poses that land on one stress the nearer to it is the accent.
    """

    early: int
    late: int
    reach_early: int
    reach_late: int
    due: int = 0

    def __post_init__(self) -> None:
        if not self.reach_early <= self.early <= self.late <= self.reach_late:
            raise ValueError(f"a window's ends are out of order: {self}")

    def lands(self, by: int) -> bool:
        """True if a pose that far from the stress lands on it."""
        return self.early <= by <= self.late

    def reaches(self, by: int) -> bool:
        """True if a pose that far from the stress may be meant for it."""
        return self.reach_early <= by <= self.reach_late


@dataclass(frozen=True, slots=True)
class Target:
    """A stress to be served: its frame, its window, and its weight (higher is stronger)."""

    frame: int
    window: Window
    weight: float = 0.0


def assign(poses: Sequence[int], targets: Sequence[Target]) -> tuple[int | None, ...]:
    """The target of each pose, by index, or None.

    poses : frames, ascending; targets : by frame, ascending.
    Raises ValueError if either is out of order.
    """
    frames = [t.frame for t in targets]
    if any(a > b for a, b in pairwise(poses)) or frames != sorted(frames):
        raise ValueError("poses and targets come in order of time")
    found: list[int | None] = [None] * len(poses)
    for first, last, bands in _clusters(poses, frames, targets):
        for pose, target in _best_pairs(poses[first:last], targets, bands):
            found[first + pose] = target
    return tuple(found)


def _clusters(
    poses: Sequence[int], frames: list[int], targets: Sequence[Target]
) -> list[tuple[int, int, list[tuple[int, int]]]]:
    """Runs of poses that compete for the same targets: first, end, and each pose's targets."""
    reach_late = max((t.window.reach_late for t in targets), default=0)
    reach_early = min((t.window.reach_early for t in targets), default=0)
    clusters: list[tuple[int, int, list[tuple[int, int]]]] = []
    bands: list[tuple[int, int]] = []
    first, end = 0, 0
    for index, pose in enumerate(poses):
        low = bisect_left(frames, pose - reach_late)
        high = bisect_right(frames, pose - reach_early)
        if bands and low >= end:
            clusters.append((first, index, bands))
            first, bands = index, []
        bands.append((low, high))
        end = max(end, high)
    if bands:
        clusters.append((first, len(poses), bands))
    return clusters


def _values(targets: Sequence[Target], low: int, high: int) -> dict[int, tuple[int, int]]:
    """What landing on and being near each target is worth, as bits: the strongest the highest."""
    order = sorted(range(low, high), key=lambda j: (-targets[j].weight, j))
    count = high - low
    return {
        j: (1 << (_COST_BITS + 2 * count - 1 - rank), 1 << (_COST_BITS + count - 1 - rank))
        for rank, j in enumerate(order)
    }


def _best_pairs(
    poses: Sequence[int], targets: Sequence[Target], bands: list[tuple[int, int]]
) -> list[tuple[int, int]]:
    """The best pairs (pose, target) of one cluster.

    `best[t - low]` is the best value of the poses so far with the targets before t; targets
    before a pose's band are out of reach of all later poses, those after it of all earlier ones.
    """
    values = _values(targets, bands[0][0], max(high for _, high in bands))
    best = [0]
    before, choices = bands[0][0], []
    for pose, (low, high) in zip(poses, bands, strict=True):
        best = best[low - before :] or [best[-1]]
        best += [best[-1]] * (high - low + 1 - len(best))
        new, choice = [best[0]], []
        for j in range(low, high):
            value, step = max((new[-1], 1), (best[j - low + 1], 2))
            landed, near = values[j]
            target = targets[j]
            by = pose - target.frame
            if target.window.reaches(by):
                worth = near - abs(by - target.window.due)
                worth += landed if target.window.lands(by) else 0
                value, step = max((value, step), (best[j - low] + worth, 0))
            new.append(value)
            choice.append(step)
        best, before = new, low
        choices.append(choice)
    return _trace(choices, bands)


def _trace(choices: list[list[int]], bands: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Follow the choices back: 0 pairs pose and target, 1 leaves the target, 2 the pose."""
    pairs = []
    pose, t = len(bands) - 1, bands[-1][1]
    while pose >= 0:
        low, high = bands[pose]
        t = min(t, high)
        if t <= low:
            pose -= 1
            continue
        step = choices[pose][t - 1 - low]
        if step == 0:
            pairs.append((pose, t - 1))
        pose, t = pose - (step != 1), t - (step != 2)
    return pairs
