"""Why a key pose that stands on no stress may be there all the same.

Conventions: frames are the scene's own, inclusive; lengths are held as frames at 24. A free pose
is explained, in this order, by what its part does (eyes look, lids blink, the jaw speaks), by the
scene and the sound (`check_sound.reasons_to_move`), by the plan if one is given (a look, a breath,
a reaction there), by the pose it goes with: a preparation of the accent after it, the settle of
the move before it, a part that follows another. What is left has no reason that we can see.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace

from planner.check_result import PoseVerdict
from planner.check_sound import Reason
from planner.scene import Scene
from planner.suggestion import Plan
from planner.tolerance import frames_at

PREPARES_24 = 12  # frames at 24 an accent may be prepared ahead, common practice
SETTLES_24 = 18  # overshoot of 2-4 and settle of 6-14 frames at 24, common practice
FOLLOWS_24 = 6  # a follower is 1-6 frames late at 24, common practice
PLANNED_24 = 2  # frames at 24 between a pose and the planned move it may be
OWN_REASON = {"eyes": "looks", "lids": "blinks", "jaw": "speaks"}
PLANNED = ("look", "breath", "blink", "brow", "reaction", "laugh", "weight-shift", "pose",
           "head-move", "gesture", "follow", "settle")  # fmt: skip


def with_reasons(
    judged: Sequence[PoseVerdict], scene: Scene, reasons: Sequence[Reason], plan: Plan | None
) -> tuple[PoseVerdict, ...]:
    """The verdicts, free poses with the reason that explains them; "" where none does."""
    by_who: dict[str, list[Reason]] = {}
    for reason in [*reasons, *_planned(scene, plan)]:
        by_who.setdefault(reason.who, []).append(reason)
    found = [
        replace(p, reason=_own_reason(p, by_who.get(p.pose.who, ())))
        if p.verdict == "free"
        else p
        for p in judged
    ]
    return _by_neighbours(found, scene)


def _own_reason(judged: PoseVerdict, reasons: Sequence[Reason]) -> str:
    if judged.pose.part in OWN_REASON:
        return OWN_REASON[judged.pose.part]
    frame = judged.pose.frame
    here = [r for r in reasons if r.frames[0] <= frame <= r.frames[1]]
    return min(here, key=lambda r: abs(sum(r.frames) - 2 * frame)).text if here else ""


def _planned(scene: Scene, plan: Plan | None) -> list[Reason]:
    near = frames_at(scene.rate, PLANNED_24)
    return [
        Reason(s.who, s.kind, (s.hit - near, s.hit + near), f"the plan has a {s.kind} here")
        for s in (plan.suggestions if plan else ())
        if s.hit is not None and s.kind in PLANNED
    ]


def _by_neighbours(judged: list[PoseVerdict], scene: Scene) -> tuple[PoseVerdict, ...]:
    """Free poses explained by the poses they go with, in order of time."""
    prepares, settles, follows = (
        frames_at(scene.rate, n) for n in (PREPARES_24, SETTLES_24, FOLLOWS_24)
    )
    found = list(judged)
    on_stress: dict[tuple[str, str], list[int]] = {}
    for p in found:
        if p.stress:
            on_stress.setdefault((p.pose.who, p.pose.part), []).append(p.pose.frame)
    moved: dict[tuple[str, str], int] = {}
    last: dict[str, int] = {}
    for i, p in enumerate(found):
        who, part, frame = p.pose.who, p.pose.part, p.pose.frame
        if p.verdict == "free" and not p.reason:
            hits = on_stress.get((who, part), [])
            if bisect_right(hits, frame + prepares) > bisect_left(hits, frame):
                p = replace(p, reason="prepares an accent")
            elif frame - moved.get((who, part), frame - settles - 1) <= settles:
                p = replace(p, reason="settles")
            elif frame - last.get(who, frame - follows - 1) <= follows:
                p = replace(p, reason="follows")
            found[i] = p
        if p.verdict != "free" or (p.reason and p.reason not in ("settles", *OWN_REASON.values())):
            moved[who, part] = last[who] = frame
    return tuple(found)
