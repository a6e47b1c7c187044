"""What a lead would point at in key poses: one file a finding. A file put here is found by itself.

A finding is a function `(seen, found) -> list[Finding]`, registered by its decorator; it sees one
character's poses as judged, and what the findings before it found of that character:

    @finding("rushed-settle", order=20)
    def rushed_settles(seen: Seen, found: Sequence[Finding]) -> list[Finding]: ...

Each is measured, with what is usual beside it. Conventions: frames are the scene's own, inclusive.
Key poses are whole frames, so they are exact; the error of a measure is one exposure step for what
lies between poses, plus what the voice's reading may be off (`_words.READING_ERROR_MS`) where a
word is involved. `certain` is beyond the usual range by more than that. What is usual is common
practice, as lengths at 24 turned to the scene's rate; what a listener can know of a word, see
`planner.check.sound`. A choice can overrule any finding: every text says so by being a measure.
Files whose name starts with _ hold no finding.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from planner.check.played import Played
from planner.check.result import Finding, PoseVerdict
from planner.frames import FrameRange
from planner.scene import Scene
from planner.shot import Shot
from planner.shot.cue_times import CueTime
from planner.shot.stresses import SpokenStress


@dataclass(frozen=True, slots=True)
class Seen:
    """One character as the findings see it: its poses as judged, its stresses, speech and cues."""

    shot: Shot
    who: str
    poses: tuple[PoseVerdict, ...]
    stresses: tuple[SpokenStress, ...]
    speech: tuple[FrameRange, ...]
    cues: tuple[CueTime, ...]
    played: Played

    @property
    def scene(self) -> Scene:
        """The scene."""
        return self.shot.scene


Find = Callable[[Seen, Sequence[Finding]], list[Finding]]


@dataclass(frozen=True, slots=True)
class FindingRule:
    """A registered finding. A lower `order` looks first."""

    kind: str
    order: int
    find: Find


_REGISTERED: dict[str, FindingRule] = {}


def finding(kind: str, *, order: int) -> Callable[[Find], Find]:
    """Registers a finding under its kind, at its place."""

    def register(find: Find) -> Find:
        _REGISTERED[kind] = FindingRule(kind, order, find)
        return find

    return register


@lru_cache(maxsize=1)
def finding_rules() -> tuple[FindingRule, ...]:
    """All findings, in their order. Finds every file of this folder once."""
    for module in pkgutil.iter_modules(__path__):
        if not module.name.startswith("_"):
            importlib.import_module(f"{__name__}.{module.name}")
    return tuple(sorted(_REGISTERED.values(), key=lambda r: (r.order, r.kind)))


def find_problems(
    shot: Shot, judged: Sequence[PoseVerdict], stresses: Sequence[SpokenStress], played: Played,
    *, who: str | None = None,
) -> tuple[Finding, ...]:  # fmt: skip
    """All findings, in order of frames."""
    every: list[Finding] = []
    for name in shot.scene.characters:
        if who not in (None, name):
            continue
        seen = Seen(
            shot, name, tuple(p for p in judged if p.pose.who == name),
            tuple(s for s in stresses if s.who == name), shot.spoken_by(name),
            tuple(c for c in shot.cues if c.cue.who == name), played,
        )  # fmt: skip
        own: list[Finding] = []
        for rule in finding_rules():
            own += rule.find(seen, own)
        every += own
    return tuple(sorted(every, key=lambda f: (f.frames, f.who, f.kind, f.parts)))
