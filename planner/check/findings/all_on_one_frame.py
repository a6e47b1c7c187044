"""Every part that moves around a frame has its pose on that very frame."""

from __future__ import annotations

from collections.abc import Sequence

from planner.check.findings import Seen, finding
from planner.check.findings._words import OFFSET_24, listed, span_text
from planner.check.result import Finding
from planner.check.tolerance import OWN_TIME_PARTS, frames_at

_TORSO = ("head", "shoulders", "chest", "hips")


@finding("all-on-one-frame", order=10)
def all_on_one_frame(seen: Seen, found: Sequence[Finding]) -> list[Finding]:
    """Every part that moves around a frame has its pose on that very frame."""
    bodies = [p.pose for p in seen.poses if p.pose.part not in OWN_TIME_PARTS | {"whole", "brows"}]
    low, high = (frames_at(seen.scene.rate, n) for n in OFFSET_24)
    at: dict[int, list[str]] = {}
    for pose in bodies:
        at.setdefault(pose.frame, []).append(pose.part)
    here = []
    for frame, parts in sorted(at.items()):
        links = {_segment(p) for p in parts}
        around = [at.get(frame + d, ()) for d in range(-high, high + 1) if d]
        apart = {_segment(p) for row in around for p in row} - links
        if len(links) < 2 or apart or seen.played.together(seen.who, frame):
            continue
        here.append(
            Finding(
                "all-on-one-frame", seen.who, (frame, frame), tuple(parts),
                {"spread_frames": 0}, {"spread_frames": [max(low, 1), high]}, True,
                f"{listed(parts)} hit on the same frame; one part usually leads and the others "
                f"follow {span_text(max(low, 1), high)} later",
            )
        )  # fmt: skip
    return here


def _segment(part: str) -> str:
    """What moves as one link of the body: both hands are one kind of link."""
    return part if part in _TORSO else part.rsplit(maxsplit=1)[-1]
