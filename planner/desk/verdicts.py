"""What the check says, in the desk's words: a verdict for each pose, and the list of problems.

An adapter over `planner.check.check_poses`, in its own words. Frames: inclusive.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from planner.check.result import CheckResult
from planner.check.result import PoseVerdict as Judged
from planner.plan.suggestion import Plan
from planner.scene import Scene
from planner.shot import Shot
from planner.told.check_text import stands, verdict_text


@dataclass(frozen=True, slots=True)
class PoseVerdict:
    """How a key pose stands to the voice: "lands", "early", "late" or "free"."""

    verdict: str
    by_frames: int | None
    word: str
    stress_frame: int | None
    main: bool
    told: str = ""  # as the check words it, in full

    def text(self) -> str:
        """As the check words it, without the stress's frame: `lands 2 ahead of "third"`."""
        if self.by_frames is None:
            return self.verdict
        word = f'"{self.word}"' if self.word else f"the stress on {self.stress_frame}"
        return stands(self.verdict, self.by_frames, word)

    def short(self) -> str:
        """In two words: "lands 2 ahead", "late by 3"."""
        if self.by_frames is None:
            return self.verdict
        if self.verdict != "lands":
            return f"{self.verdict} by {abs(self.by_frames)}"
        way = "ahead" if self.by_frames < 0 else "after"
        return f"lands {abs(self.by_frames)} {way}" if self.by_frames else "lands on"

    def shortest(self) -> str:
        """For little room: "2 ahead", "late 3"."""
        return self.short().removeprefix("lands ").replace(" by ", " ")


@dataclass(frozen=True, slots=True)
class Problem:
    """Something for the lead to look at. `certain`: counts against the shot.

    `parts`: the parts it is about; without one, the whole body.
    """

    frames: tuple[int, int]
    who: str
    kind: str
    text: str
    certain: bool
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdicts:
    """A verdict a pose (in the scene's order), the problems by frame, a summary."""

    poses: tuple[PoseVerdict | None, ...] = ()
    problems: tuple[Problem, ...] = ()
    summary: str = ""


NO_VERDICTS = Verdicts()


def judge(shot: Shot, plan: Plan) -> Verdicts:
    """Check the scene's poses."""
    from planner.check.check_poses import check_poses

    return verdicts_of(shot.scene, check_poses(shot, plan=plan))


def verdicts_of(scene: Scene, result: CheckResult) -> Verdicts:
    """Verdicts from a check."""
    checked = result.to_json()
    waiting: dict[tuple[object, ...], list[PoseVerdict]] = {}
    for judged in result.poses:
        pose = judged.pose
        key = (pose.frame, pose.who, pose.part, pose.name)
        waiting.setdefault(key, []).append(_pose_verdict(judged))
    poses = []
    for pose in scene.poses:
        found = waiting.get((pose.frame, pose.who, pose.part, pose.name))
        poses.append(found.pop(0) if found else None)
    problems = [*_off(result.poses)]
    if scene.poses:
        problems += _missed(checked["missed"])
    problems += [_finding(entry) for entry in checked["findings"]]
    problems.sort(key=lambda p: (p.frames, p.who, p.text))
    return Verdicts(tuple(poses), tuple(problems), _summary(checked["summary"]))


def _pose_verdict(judged: Judged) -> PoseVerdict:
    told, stress = verdict_text(judged), judged.stress
    if stress is None:
        return PoseVerdict(judged.verdict, judged.by_frames, "", None, False, told)
    return PoseVerdict(
        judged.verdict, judged.by_frames, stress.text or "", stress.frame, stress.main, told
    )


def _off(poses: Sequence[Judged]) -> list[Problem]:
    found = []
    for judged in poses:
        if judged.verdict in ("early", "late"):
            pose = judged.pose
            text = f"{pose.part}, {pose.name or 'pose'}: {verdict_text(judged)}"
            found.append(
                Problem((pose.frame,) * 2, pose.who, judged.verdict, text, True, (pose.part,))
            )
    return found


def _missed(missed: list[Mapping[str, Any]]) -> list[Problem]:
    return [
        Problem(
            (entry["frame"], entry["frame"]), entry["who"], "missed",
            f'main accent without a pose: "{entry["text"] or "a stress"}"', True,
        )
        for entry in missed
        if entry["main"]
    ]  # fmt: skip


def _finding(entry: Mapping[str, Any]) -> Problem:
    first, last = entry["frames"]
    return Problem(
        (first, last), entry["who"], entry["kind"], entry["text"], entry["certain"],
        tuple(entry["parts"]),
    )  # fmt: skip


def _summary(summary: Mapping[str, int]) -> str:
    return (
        f"{summary['main_landed']} of {summary['main_accents']} main accents landed, "
        f"{summary['landed']} of {summary['stresses']} in all"
    )
