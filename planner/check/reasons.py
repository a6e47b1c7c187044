"""Why a key pose that stands on no stress may be there all the same.

Conventions: frames are the scene's own, inclusive; lengths are held as frames at 24. A free pose
is explained, in this order, by what its part does (eyes look, lids blink, the jaw speaks), by the
scene and the sound (`check_sound.reasons_to_move`), by the plan if one is given (a look, a breath,
a reaction there), by the pose it goes with: a preparation of the accent after it, the settle of
the move before it, the eyes that led it, a part that follows another. What is left has no reason
that we can see.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.check.result import PoseVerdict
from planner.check.sound import Reason, reasons_to_move
from planner.check.tolerance import frames_at
from planner.plan.suggestion import Plan
from planner.scene import Scene
from planner.shot import Shot

PREPARES_24 = 12  # frames at 24 an accent may be prepared ahead, common practice
SETTLES_24 = 18  # overshoot of 2-4 and settle of 6-14 frames at 24, common practice
# Frames at 24 a pose may come after what it goes with, common practice: the move of its own part,
# the eyes that lead a turn, another part it follows.
BEFORE_24 = {"settles": SETTLES_24, "goes with the look": 8, "follows": 6}
PLANNED_24 = 2  # frames at 24 between a pose and the planned move it may be
OWN_REASON = {"eyes": "looks", "lids": "blinks", "jaw": "speaks"}
PLANNED = ("look", "breath", "reaction", "laugh", "weight-shift", "pose", "head-move", "gesture")


def all_reasons(shot: Shot, plan: Plan | None = None) -> Mapping[str, Sequence[Reason]]:
    """Every reason to move but a stress, by character: the scene's, the sound's, the plan's."""
    found: dict[str, list[Reason]] = {}
    for reason in [*reasons_to_move(shot), *_planned(shot.scene, plan)]:
        found.setdefault(reason.who, []).append(reason)
    return found


def with_reasons(
    judged: Sequence[PoseVerdict], scene: Scene, reasons: Mapping[str, Sequence[Reason]]
) -> tuple[PoseVerdict, ...]:
    """The verdicts, free poses with the reason that explains them; "" where none does."""
    found = [
        replace(p, reason=_own_reason(p, reasons.get(p.pose.who, ()))) if p.verdict == "free" else p
        for p in judged
    ]
    return _by_neighbours(found, scene)


def _own_reason(judged: PoseVerdict, reasons: Sequence[Reason]) -> str:
    if judged.pose.part in OWN_REASON:
        return OWN_REASON[judged.pose.part]
    frame = judged.pose.frame
    here = [r for r in reasons if r.frames[0] <= frame <= r.frames[1]]
    order = sorted(here, key=lambda r: (r.kind == "plan", abs(sum(r.frames) - 2 * frame)))
    return order[0].text if order else ""


def _planned(scene: Scene, plan: Plan | None) -> list[Reason]:
    near = frames_at(scene.rate, PLANNED_24)
    return [
        Reason(s.who, "plan", (s.hit - near, s.hit + near), f"the plan has a {s.kind} here")
        for s in (plan.suggestions if plan else ())
        if s.hit is not None and s.kind in PLANNED
    ]


def ease_light(
    judged: Sequence[PoseVerdict], scene: Scene, reasons: Mapping[str, Sequence[Reason]]
) -> tuple[PoseVerdict, ...]:
    """Take back early and late for light stresses where the pose has another reason.

    A light stress needs no pose, so a settle, an opening pose or a change of attitude that
    happens to come near one is no mistake.
    """
    prepares, settles = (frames_at(scene.rate, n) for n in (PREPARES_24, SETTLES_24))
    hits = _stress_frames([p for p in judged if p.verdict == "lands"])
    found = []
    for p in judged:
        light = p.stress is not None and not (p.stress.main or p.stress.strong)
        if light and p.verdict != "lands":
            own = hits.get((p.pose.who, p.pose.part), [])
            low, high = p.pose.frame - settles, p.pose.frame + prepares
            near = bisect_right(own, high) > bisect_left(own, low)
            if near or _own_reason(p, reasons.get(p.pose.who, ())):
                found.append(PoseVerdict(p.pose, "free"))
                continue
        found.append(p)
    return tuple(found)


def _by_neighbours(judged: Sequence[PoseVerdict], scene: Scene) -> tuple[PoseVerdict, ...]:
    """Free poses explained by the poses they go with; all in order of time."""
    near = {why: frames_at(scene.rate, frames) for why, frames in BEFORE_24.items()}
    prepares = frames_at(scene.rate, PREPARES_24)
    hits = _stress_frames(judged)
    seen: dict[tuple[str, str, str], int] = {}
    found = []
    for p in judged:
        who, part, frame = p.pose.who, p.pose.part, p.pose.frame
        keys = {"settles": (who, "move", part), "goes with the look": (who, "look", ""),
                "follows": (who, "move", "")}  # fmt: skip
        reason = p.reason
        if p.verdict == "free" and not reason:
            own = hits.get((who, part), [])
            if bisect_right(own, frame + prepares) > bisect_left(own, frame):
                reason = "prepares an accent"
            else:
                reason = next(
                    (w for w, n in near.items() if frame - seen.get(keys[w], frame - n - 1) <= n),
                    "",
                )
        found.append(replace(p, reason=reason))
        if part == "eyes":
            seen[who, "look", ""] = frame
        elif part not in OWN_REASON and (p.verdict != "free" or reason not in ("", "settles")):
            seen[who, "move", part] = seen[who, "move", ""] = frame
    return tuple(found)


def _stress_frames(judged: Sequence[PoseVerdict]) -> dict[tuple[str, str], list[int]]:
    """Frames of the poses that serve a stress, by character and part, ascending."""
    hits: dict[tuple[str, str], list[int]] = {}
    for p in judged:
        if p.stress:
            hits.setdefault((p.pose.who, p.pose.part), []).append(p.pose.frame)
    return hits
