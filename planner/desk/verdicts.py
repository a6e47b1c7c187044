"""What the check says, in the desk's words: a verdict for each pose, and the list of problems.

An adapter over `planner.check`, by its JSON contract. Frames are the scene's own, inclusive.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from audio.reading import VoiceReading
from planner.scene import Scene
from planner.suggestion import Plan


@dataclass(frozen=True, slots=True)
class PoseVerdict:
    """How a key pose stands to the voice: "lands", "early", "late" or "free"."""

    verdict: str
    by_frames: int | None
    word: str
    stress_frame: int | None
    main: bool

    def text(self) -> str:
        """In a few words: `lands on "third"`, `3 late for "third"`."""
        on = f' "{self.word}"' if self.word else ""
        if self.verdict == "lands":
            return f"lands on{on}" if on else "lands"
        if self.verdict in ("early", "late") and self.by_frames is not None:
            return f"{abs(self.by_frames)} {self.verdict} for{on}" if on else self.verdict
        return self.verdict


@dataclass(frozen=True, slots=True)
class Problem:
    """Something for the lead to look at. `certain`: counts against the shot."""

    frames: tuple[int, int]
    who: str
    kind: str
    text: str
    certain: bool


@dataclass(frozen=True, slots=True)
class Verdicts:
    """A verdict a pose (in the scene's order), the problems by frame, a summary."""

    poses: tuple[PoseVerdict | None, ...] = ()
    problems: tuple[Problem, ...] = ()
    summary: str = ""


NO_VERDICTS = Verdicts()


def judge(scene: Scene, readings: Mapping[int, VoiceReading], plan: Plan) -> Verdicts:
    """Check the scene's poses."""
    from planner.check import check_poses

    return verdicts_of(scene, check_poses(scene, readings, plan=plan).to_json())


def verdicts_of(scene: Scene, checked: Mapping[str, Any]) -> Verdicts:
    """Verdicts from the JSON of a check."""
    waiting: dict[tuple[object, ...], list[PoseVerdict]] = {}
    for entry in checked["poses"]:
        key = (entry["frame"], entry["who"], entry["part"], entry["name"])
        waiting.setdefault(key, []).append(_pose_verdict(entry))
    poses = []
    for pose in scene.poses:
        found = waiting.get((pose.frame, pose.who, pose.part, pose.name))
        poses.append(found.pop(0) if found else None)
    problems = [*_off(checked["poses"])]
    if scene.poses:
        problems += _missed(checked["missed"])
    problems += [_finding(entry) for entry in checked["findings"]]
    problems.sort(key=lambda p: (p.frames, p.who, p.text))
    return Verdicts(tuple(poses), tuple(problems), _summary(checked["summary"]))


def _pose_verdict(entry: Mapping[str, Any]) -> PoseVerdict:
    stress = entry.get("stress") or {}
    return PoseVerdict(
        entry["verdict"], entry.get("by_frames"), stress.get("text") or "",
        stress.get("frame"), bool(stress.get("main")),
    )  # fmt: skip


def _off(poses: list[Mapping[str, Any]]) -> list[Problem]:
    found = []
    for entry in poses:
        if entry["verdict"] in ("early", "late"):
            name = entry["name"] or "pose"
            text = f"{entry['part']}, {name}: {_pose_verdict(entry).text()}"
            found.append(Problem((entry["frame"],) * 2, entry["who"], entry["verdict"], text, True))
    return found


def _missed(missed: list[Mapping[str, Any]]) -> list[Problem]:
    return [
        Problem(
            (entry["frame"], entry["frame"]), entry["who"], "missed",
            f'no pose on "{entry["text"] or "a stress"}", the phrase\'s main stress', True,
        )
        for entry in missed
        if entry["main"]
    ]  # fmt: skip


def _finding(entry: Mapping[str, Any]) -> Problem:
    first, last = entry["frames"]
    return Problem((first, last), entry["who"], entry["kind"], entry["text"], entry["certain"])


def _summary(summary: Mapping[str, int]) -> str:
    return (
        f"{summary['main_landed']} of {summary['main_accents']} main stresses landed, "
        f"{summary['landed']} of {summary['stresses']} in all"
    )
