"""Small plans for tests of rules: one line of one character, or a cue between two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType

from made_voices import scene, voice

from audio.reading import VoiceReading
from planner.plan.make import make_plan
from planner.plan.suggestion import Plan, Suggestion
from planner.scene import Beat, Planted
from planner.shot import shot_of

STAGE = MappingProxyType({"clerk": "left", "visitor": "right"})


def beat(intent: str, first: int, last: int, *, strength: float = 1.0, **more: object) -> Beat:
    """A beat of the clerk over words of line 1."""
    return Beat(intent, "clerk", 1, (first, last), strength=strength, **more)  # type: ignore[arg-type]


def plan_of(
    said: str | VoiceReading,
    *beats: Beat,
    planted: Sequence[Planted] = (),
    intents: dict[str, dict[str, object]] | None = None,
    handles: int = 0,
    at_s: float = 0.0,
    shot: tuple[int, int] | None = None,
    stage: object = STAGE,
    step: int = 1,
    **voice_options: object,
) -> Plan:
    """The plan of one line said by the clerk, with the visitor there."""
    reading = voice(said, **voice_options) if isinstance(said, str) else said  # type: ignore[arg-type]
    made = scene(
        [("clerk", at_s)], beats=beats, planted=tuple(planted), handles=handles, shot=shot,
        stage=stage, step=step, intents=MappingProxyType(intents or {}),
    )  # fmt: skip
    return make_plan(shot_of(made, {1: reading}))


def of_kind(plan: Plan, kind: str, part: str | None = None, who: str = "clerk") -> list[Suggestion]:
    """Suggestions of a kind (and part) of a character."""
    return [
        s for s in plan.suggestions if s.kind == kind and part in (None, s.part) and s.who == who
    ]


def stress_frame(plan: Plan, word: str, line: int = 1) -> int:
    """The frame of a word's stress."""
    stresses = next(p.stresses for p in plan.lines if p.line == line)
    return next(s.frame for s in stresses if s.text == word)


def with_glides(
    reading: VoiceReading, *glides: object, events: Sequence[object] = ()
) -> VoiceReading:
    """The reading with other glides and events."""
    return replace(reading, glides=tuple(glides), events=tuple(events))  # type: ignore[arg-type]
