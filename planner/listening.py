"""What a rule sees while a character listens: who speaks, and which cues it answers.

Conventions: seconds since the shot's start (handles included). A stretch lies between two of the
character's own lines; when a cue can be answered at all is found in `planner.cues`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.context import Before
from planner.cues import Reaction
from planner.drafts import Draft
from planner.intents import Intent
from planner.scene import Beat, Scene
from planner.shot import LineTime, Stretch, Timeline, since
from planner.sides import Sides
from planner.suggestion import Kind, Why


@dataclass(frozen=True, slots=True)
class Heard:
    """A line of someone else, as it sounds to a listener. `pauses_s` are its phrases' ends."""

    line: int
    line_id: str
    who: str
    start_s: float
    end_s: float
    phrase_ends_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ListeningBeat:
    """A beat given by frames in which its character says nothing."""

    beat: int
    start_s: float
    end_s: float
    intent: Intent
    toward: str | None


@dataclass(frozen=True, slots=True)
class Listening:
    """A stretch of listening: all that shapes its plan, and the key under which it is kept."""

    who: str
    start_s: float
    end_s: float
    step: int
    heard: tuple[Heard, ...]
    reactions: tuple[Reaction, ...]
    beats: tuple[ListeningBeat, ...]
    before: Before | None
    line_before: tuple[int, str] | None
    line_after: tuple[int, str] | None
    sides: Sides
    planted: tuple[tuple[str, float, float], ...]
    neutral: Intent
    facing: str | None
    opens_shot: bool

    def rides_on(self) -> str | None:
        """Id of the attitude that layers ride on: the one of the own line before."""
        return self.before.pose_id if self.before else None

    def draft(
        self, kind: Kind, part: str, anchor: str, *, of: Heard | None, text: str,
        at_s: tuple[float, float | None, float], size: float, direction: str, path: str,
        because: Why, **more: object,
    ) -> Draft:  # fmt: skip
        """A draft of this stretch; `of` is the line it answers, else the own line next to it."""
        own = self.line_before or self.line_after or (None, self.who)
        line, line_id = (of.line, f"{of.line_id}@{self.who}") if of else own
        return Draft(
            kind, part, self.who, line, line_id, anchor, text, at_s[0], at_s[1], at_s[2],
            size, direction, path, because, step=self.step, **more,  # type: ignore[arg-type]
        )  # fmt: skip


def listening_inputs(
    scene: Scene,
    stretch: Stretch,
    timeline: Timeline,
    reactions: Sequence[Reaction],
    beats: Sequence[tuple[int, Beat, Intent]],
    before: Before | None,
    neutral: Intent,
    planted: tuple[tuple[str, float, float], ...],
    *,
    origin_s: float,
    facing: str | None,
    opens_shot: bool,
) -> Listening:
    """A listening stretch from the scene."""
    clock = scene.clock
    inside = [
        ListeningBeat(k, since(origin_s, clock.scene_s((b.frames or (0, 0))[0])),
                      since(origin_s, clock.scene_s((b.frames or (0, 0))[1] + 1)), intent,
                      b.toward)
        for k, b, intent in beats
        if b.who == stretch.who
    ]  # fmt: skip
    return Listening(
        stretch.who, stretch.start_s, stretch.end_s, clock.step,
        tuple(_heard(t) for t in timeline.heard(stretch)),
        tuple(r for r in reactions
              if not r.speaking and stretch.start_s - 0.01 <= r.start_s < stretch.end_s),
        tuple(b for b in inside if stretch.start_s - 0.01 <= b.start_s < stretch.end_s),
        before, _named(timeline, stretch.before), _named(timeline, stretch.after),
        Sides.of(stretch.who, scene.stage), planted, neutral, facing, opens_shot,
    )  # fmt: skip


def _heard(time: LineTime) -> Heard:
    ends = tuple(time.start_s + p.end_s for p in time.reading.phrases) or (time.speech_end_s,)
    return Heard(time.line.number, time.line.id, time.line.who, time.speech_start_s,
                 time.speech_end_s, ends)  # fmt: skip


def _named(timeline: Timeline, number: int | None) -> tuple[int, str] | None:
    return (number, timeline.by_number[number].line.id) if number is not None else None
