"""Key poses against the stresses of the voice: what lands, what is early or late, what is missed.

Way in: `check_poses(shot)` for everything, `verdicts(shot, poses)` for one verdict a pose, quick
enough to run while a pose is being moved.
Conventions: frames are the scene's own, inclusive; `by_frames` is pose minus stress. A character's
poses are laid against its own stresses, one part at a time (`planner.check.assign`), with the
windows of `planner.check.tolerance`; a `whole` pose serves all parts, and a stress is served
when any part serves it. A part that follows lands later than its leader: where the leader lands on
the same stress, the follower's window stays open for the lag of the intent played there. Poses are
taken as they are given; nothing is changed and no file is read here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.check.aim import aimed_at, aimed_verdict
from planner.check.assign import Target, Window, assign
from planner.check.decided import decided_stresses
from planner.check.findings import find_problems
from planner.check.played import Played
from planner.check.reasons import all_reasons, ease_light, with_reasons
from planner.check.result import CheckResult, CheckSummary, Finding, PoseVerdict
from planner.check.tolerance import NO_LIMITS, window
from planner.plan.suggestion import Plan
from planner.scene import KeyPose, Meant, Scene
from planner.shot import Shot
from planner.shot.meant import Place, placed_meant, reason_for
from planner.shot.stresses import SpokenStress

__all__ = ["CheckResult", "Finding", "PoseVerdict", "check_poses", "verdicts"]


def check_poses(
    shot: Shot,
    poses: Sequence[KeyPose] | None = None,
    *,
    plan: Plan | None = None,
    who: str | None = None,
) -> CheckResult:
    """Check key poses against the voice.

    poses : the scene's own by default. plan : its looks, breaths and reactions explain poses that
    stand on no stress, and what the user decided about its accents counts. who : one character
    alone. Lines without a reading are left out.
    """
    scene = shot.scene
    given = [p for p in (scene.poses if poses is None else poses) if who in (None, p.who)]
    played = Played(shot)
    own = tuple(s for s in shot.stresses if who in (None, s.who))
    stresses, unasked = decided_stresses(shot, plan, own, _Windows(scene, played).of)
    reasons = all_reasons(shot, plan)
    order = sorted(given, key=lambda p: (p.frame, p.who, p.part))
    eased = ease_light(_judge(scene, order, stresses, played), scene, reasons)
    meant = placed_meant(shot)
    judged = as_meant(with_reasons(eased, scene, reasons), meant)
    served = {_key(p.stress) for p in judged if p.stress}
    return CheckResult(
        poses=judged,
        missed=tuple(s for s in stresses if _key(s) not in served | unasked),
        findings=tuple(
            f
            for f in find_problems(shot, judged, stresses, played, who=who)
            if not reason_for(f, meant)
        ),
        summary=_summary(judged, stresses),
    )


def verdicts(shot: Shot, poses: Sequence[KeyPose] | None = None) -> tuple[PoseVerdict, ...]:
    """The verdict of each pose, in the order the poses are given; reasons are left out."""
    scene = shot.scene
    given = scene.poses if poses is None else poses
    order = sorted(range(len(given)), key=lambda i: (given[i].frame, given[i].who, given[i].part))
    judged = _judge(scene, [given[i] for i in order], shot.stresses, Played(shot))
    eased = ease_light(judged, scene, all_reasons(shot))
    back = dict(zip(order, eased, strict=True))
    return tuple(back[i] for i in range(len(given)))


def _key(stress: SpokenStress) -> tuple[int, int]:
    return stress.line, stress.syllable


def _summary(judged: Sequence[PoseVerdict], stresses: Sequence[SpokenStress]) -> CheckSummary:
    landed = {_key(p.stress) for p in judged if p.stress and p.verdict == "lands"}
    mains = [s for s in stresses if s.main]
    return CheckSummary(
        main_accents=len(mains),
        main_landed=sum(_key(s) in landed for s in mains),
        stresses=len(stresses),
        landed=sum(_key(s) in landed for s in stresses),
    )


def _judge(
    scene: Scene, order: Sequence[KeyPose], stresses: Sequence[SpokenStress], played: Played
) -> tuple[PoseVerdict, ...]:
    """Verdicts of poses that come in order of time."""
    own: dict[str, list[SpokenStress]] = {}
    for stress in stresses:
        own.setdefault(stress.who, []).append(stress)
    groups: dict[tuple[str, str], list[int]] = {}
    windows = _Windows(scene, played)
    judged: list[PoseVerdict] = [PoseVerdict(pose, "free") for pose in order]
    for index, pose in enumerate(order):
        aim = aimed_at(pose, own.get(pose.who, []))
        if aim is None:
            groups.setdefault((pose.who, pose.part), []).append(index)
        else:
            judged[index] = aimed_verdict(pose, aim, windows.of(pose.part, aim))
    for (who, part), indexes in groups.items():
        spoken = own.get(who, [])
        targets = [Target(s.frame, windows.of(part, s), s.weight) for s in spoken]
        pairs = assign([order[i].frame for i in indexes], targets)
        for i, target in zip(indexes, pairs, strict=True):
            if target is not None:
                judged[i] = _verdict(order[i], spoken[target], targets[target].window)
    return tuple(_followed(judged, windows, played))


def as_meant(judged: Sequence[PoseVerdict], meant: Sequence[Meant]) -> tuple[PoseVerdict, ...]:
    """Early and late poses that were accepted land, with the reason."""
    told = []
    for p in judged:
        place = Place(p.verdict, p.pose.who, (p.pose.part,), (p.pose.frame, p.pose.frame))
        why = reason_for(place, meant) if p.verdict in ("early", "late") else ""
        told.append(replace(p, verdict="lands", reason=f"meant: {why}") if why else p)
    return tuple(told)


def _verdict(pose: KeyPose, stress: SpokenStress, allowed: Window) -> PoseVerdict:
    by = pose.frame - stress.frame
    if allowed.lands(by):
        return PoseVerdict(pose, "lands", by, stress)
    return PoseVerdict(pose, "early" if by < allowed.early else "late", by, stress)


def _followed(judged: list[PoseVerdict], windows: _Windows, played: Played) -> list[PoseVerdict]:
    """Late poses that only follow their leader land after all."""
    led = {(p.pose.who, p.pose.part, _key(p.stress)) for p in judged
           if p.stress and p.verdict == "lands"}  # fmt: skip
    found = []
    for p in judged:
        if p.verdict == "late" and p.stress and p.by_frames is not None:
            lag = played.lag_frames(p.pose.part, p.stress.who, p.stress.frame)
            leader = played.leader(p.stress.who, p.stress.frame)
            if (p.pose.who, leader, _key(p.stress)) in led and windows.of(
                p.pose.part, p.stress
            ).late + lag >= p.by_frames:
                found.append(
                    PoseVerdict(p.pose, "lands", p.by_frames, p.stress, f"follows the {leader}")
                )
                continue
        found.append(p)
    return found


class _Windows:
    """The window of each part at each stress; the same ones are made once."""

    def __init__(self, scene: Scene, played: Played) -> None:
        self._scene, self._played = scene, played
        self._made: dict[tuple[str, int], Window] = {}

    def of(self, part: str, stress: SpokenStress) -> Window:
        table = self._played.tolerance(stress.who, stress.frame)
        key = (part, id(table))
        if key not in self._made:
            tables = (table or NO_LIMITS, self._scene.tolerance)
            self._made[key] = window(part, self._scene.rate, *tables)
        return self._made[key]
