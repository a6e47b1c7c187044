"""Suggestion and Plan: what the planner says, frozen, and its JSON (the contract's keys).

Frames are the scene's own numbers, ranges inclusive. `line` counts from 1, `beat` from 0,
`syllable` from 0 within its line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

Kind = Literal[
    "pose", "accent", "anticipation", "head-move", "settle", "hold", "follow", "gesture",
    "weight-shift", "reaction", "laugh", "breath", "blink", "look", "brow",
]  # fmt: skip
Mark = Literal["key", "breakdown", "inbetween"]


@dataclass(frozen=True, slots=True)
class Why:
    """Why here: what the sound does (with numbers), the intent's part, the rule, its source."""

    sound: str
    intent: str
    rule: str
    source: str


@dataclass(frozen=True, slots=True)
class ChartMark:
    """A drawing of a move: the frame, the share of the way (0..1), and what it is."""

    frame: int
    at: float
    mark: Mark


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One suggestion, on frames. `hit` is what `kind` says it is in the README's table.

    `carrier` is what an accent lives in (`planner.plan.carriers`), None for other kinds; `must`
    tells what the plan stands on from what is nice to have; `via` is the path in words.
    The lengths are read off the final frames (`planner.plan.worded`), None where there are none.
    """

    id: str
    kind: Kind
    who: str
    line: int | None
    part: str
    frames: tuple[int, int]
    hit: int | None
    text: str
    size: float
    direction: str
    path: str
    because: Why
    rides_on: str | None = None
    beat: int | None = None
    timing_chart: tuple[ChartMark, ...] = ()
    certainty: float = 1.0
    decision: str | None = None
    carrier: str | None = None
    must: bool = False
    via: str = ""
    in_frames: int | None = None
    stay_frames: int | None = None
    back_frames: int | None = None
    trails_frames: int | None = None

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a suggestion."""
        return {
            "id": self.id, "text": self.text, "kind": self.kind, "who": self.who,
            "line": self.line, "part": self.part, "frames": list(self.frames), "hit": self.hit,
            "size": round(self.size, 3), "direction": self.direction, "path": self.path,
            "rides_on": self.rides_on, "beat": self.beat,
            "because": {
                "sound": self.because.sound, "intent": self.because.intent,
                "rule": self.because.rule, "source": self.because.source,
            },
            "timing_chart": [
                {"frame": m.frame, "at": round(m.at, 4), "mark": m.mark} for m in self.timing_chart
            ],
            "certainty": round(self.certainty, 3), "decision": self.decision,
            "carrier": self.carrier, "must": self.must, "via": self.via,
            "in_frames": self.in_frames, "stay_frames": self.stay_frames,
            "back_frames": self.back_frames, "trails_frames": self.trails_frames,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Gaze:
    """Where somebody's eyes are over some frames: a person, or where to in words."""

    who: str
    frames: tuple[int, int]
    toward: str
    because: str


@dataclass(frozen=True, slots=True)
class PlannedPose:
    """A drawing that a line stands on: its frame, the word it is on, what it says."""

    frame: int
    who: str
    line: int
    word: str
    text: str


@dataclass(frozen=True, slots=True)
class Play:
    """Another way to play a phrase (counted from 1); `taken` where the beat says so."""

    phrase: int
    name: str
    idea: str
    taken: bool = False


@dataclass(frozen=True, slots=True)
class Stress:
    """A stressed syllable on its frame. `main`: the phrase's strongest."""

    syllable: int
    text: str | None
    frame: int
    degree: Literal["light", "strong"]
    main: bool


@dataclass(frozen=True, slots=True)
class LinePlan:
    """Where a line stands on the shot, and its stresses."""

    line: int
    id: str
    who: str
    frames: tuple[int, int]
    stresses: tuple[Stress, ...]
    idea: str = ""
    peak: int | None = None
    plays: tuple[Play, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole plan of a shot."""

    rate: str
    first_frame: int
    step: int
    shot: tuple[int, int]
    lines: tuple[LinePlan, ...]
    suggestions: tuple[Suggestion, ...]
    dropped: tuple[Suggestion, ...] = ()
    unplaced_decisions: tuple[dict[str, Any], ...] = ()
    warnings: tuple[str, ...] = ()
    gaze: tuple[Gaze, ...] = ()
    key_poses: tuple[PlannedPose, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a plan."""
        return {
            "linebeat": 1, "rate": self.rate, "first_frame": self.first_frame, "step": self.step,
            "shot": list(self.shot),
            "lines": [
                {
                    "line": p.line, "id": p.id, "who": p.who, "frames": list(p.frames),
                    "stresses": [
                        {"syllable": s.syllable, "text": s.text, "frame": s.frame,
                         "degree": s.degree, "main": s.main}
                        for s in p.stresses
                    ],
                    "idea": p.idea, "peak": p.peak,
                    "plays": [
                        {"phrase": y.phrase, "name": y.name, "idea": y.idea, "taken": y.taken}
                        for y in p.plays
                    ],
                }
                for p in self.lines
            ],
            "suggestions": [s.to_json() for s in self.suggestions],
            "dropped": [s.to_json() for s in self.dropped],
            "unplaced_decisions": list(self.unplaced_decisions),
            "warnings": list(self.warnings),
            "gaze": [
                {"who": g.who, "frames": list(g.frames), "toward": g.toward, "because": g.because}
                for g in self.gaze
            ],
            "key_poses": [
                {"frame": k.frame, "who": k.who, "line": k.line, "word": k.word, "text": k.text}
                for k in self.key_poses
            ],
        }  # fmt: skip
