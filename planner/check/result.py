"""CheckResult: what a check says, frozen, and its JSON (the contract's keys).

Frames are the scene's own, ranges inclusive; `by_frames` is pose minus stress; `line` counts from
1, `syllable` from 0 within its line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from planner.scene import KeyPose
from planner.shot.stresses import SpokenStress

VerdictWord = Literal["lands", "early", "late", "free"]


@dataclass(frozen=True, slots=True)
class PoseVerdict:
    """How a key pose stands to the voice. `reason` says why a free one may be there, or ""."""

    pose: KeyPose
    verdict: VerdictWord
    by_frames: int | None = None
    stress: SpokenStress | None = None
    reason: str = ""

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a pose."""
        return {
            "frame": self.pose.frame, "who": self.pose.who, "part": self.pose.part,
            "name": self.pose.name, "verdict": self.verdict, "by_frames": self.by_frames,
            "stress": self.stress.to_json() if self.stress else None,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to look at: what was measured, what is usual, and whether it is beyond doubt.

    `certain`: beyond the usual by more than the measurement's own error.
    """

    kind: str
    who: str
    frames: tuple[int, int]
    parts: tuple[str, ...]
    measured: Mapping[str, object]
    usual: Mapping[str, object]
    certain: bool
    text: str

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a finding."""
        return {
            "kind": self.kind, "who": self.who, "frames": list(self.frames),
            "parts": list(self.parts), "measured": dict(self.measured), "usual": dict(self.usual),
            "certain": self.certain, "text": self.text,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class CheckSummary:
    """How many stresses there are and how many have a pose that lands; main ones apart."""

    main_accents: int
    main_landed: int
    stresses: int
    landed: int

    def to_json(self) -> dict[str, int]:
        """The contract's JSON of the summary."""
        return {"main_accents": self.main_accents, "main_landed": self.main_landed,
                "stresses": self.stresses, "landed": self.landed}  # fmt: skip


@dataclass(frozen=True, slots=True)
class CheckResult:
    """A check: a verdict a pose in order of time, the stresses without one, the findings."""

    poses: tuple[PoseVerdict, ...]
    missed: tuple[SpokenStress, ...]
    findings: tuple[Finding, ...]
    summary: CheckSummary

    @property
    def ok(self) -> bool:
        """False for an early or late pose, a missed main accent, or a certain finding."""
        return not (
            any(p.verdict in ("early", "late") for p in self.poses)
            or any(s.main for s in self.missed)
            or any(f.certain for f in self.findings)
        )

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of a check."""
        return {
            "linebeat": 1, "ok": self.ok,
            "poses": [p.to_json() for p in self.poses],
            "missed": [{"who": s.who, **s.to_json()} for s in self.missed],
            "findings": [f.to_json() for f in self.findings],
            "summary": self.summary.to_json(),
        }  # fmt: skip
