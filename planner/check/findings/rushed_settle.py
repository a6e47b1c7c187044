"""After an accent the part is at rest too soon."""

from __future__ import annotations

from collections.abc import Sequence

from planner.check.findings import Seen, finding
from planner.check.findings._words import frames_text, span_text
from planner.check.played import Played
from planner.check.result import Finding, PoseVerdict
from planner.check.tolerance import OWN_TIME_PARTS, frames_at
from planner.scene import Scene

SETTLE_24 = (6, 14)  # frames at 24 from the extreme to rest, common practice
PREPARES_24 = 12  # frames at 24; a pose nearer to the next accent may be its preparation


@finding("rushed-settle", order=20)
def rushed_settles(seen: Seen, found: Sequence[Finding]) -> list[Finding]:
    """After an accent the part is at rest too soon: its last pose before the next move."""
    here = []
    rows: dict[str, list[PoseVerdict]] = {}
    for p in seen.poses:
        rows.setdefault(p.pose.part, []).append(p)
    for part, row in rows.items():
        if part in OWN_TIME_PARTS:
            continue
        for i, hit in enumerate(row):
            if hit.stress:
                here += _rushed(seen.scene, row, i, seen.played)
    return here


def _rushed(scene: Scene, row: Sequence[PoseVerdict], at: int, played: Played) -> list[Finding]:
    """The settle after the pose at `at` of a part's row, if it is too short."""
    hit = row[at].pose
    ratio = played.settle_ratio(hit.who, hit.frame)
    low, high = (scene.rate.frames_of_ms(1000 / 24 * n * ratio) for n in SETTLE_24)
    rest, after = hit.frame, None
    for k in range(at + 1, len(row)):
        p = row[k]
        if p.stress or p.pose.frame - rest > high:
            after = p
            break
        rest = p.pose.frame
    took = rest - hit.frame
    prepares = frames_at(scene.rate, PREPARES_24)
    if took == 0 or took >= low:
        return []
    if after is not None and after.stress and after.pose.frame - rest <= prepares:
        return []  # that pose may as well prepare the next accent
    return [
        Finding(
            "rushed-settle", hit.who, (hit.frame, rest), (hit.part,),
            {"settle_frames": took}, {"settle_frames": [low, high]},
            low - took > scene.clock.step,
            f"{hit.part} is at rest {frames_text(took)} after its accent; a settle usually takes "
            f"{span_text(low, high)}",
        )
    ]  # fmt: skip
