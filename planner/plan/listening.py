"""What a rule sees while a character listens: who speaks, and which cues it answers.

Conventions: seconds since the shot's start (handles included). A stretch lies between two of the
character's own lines; when a cue can be answered at all is found in `planner.plan.cues`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Unpack

from planner.intents import Intent
from planner.plan.context import Before, anchors
from planner.plan.cues import Reaction
from planner.plan.drafts import Draft, DraftMore
from planner.plan.sides import Sides
from planner.plan.suggestion import Kind, Why
from planner.scene import Beat, Scene
from planner.scene.words import bare
from planner.shot.cue_times import REACTION_S, WORD_KNOWN_S, audible_from_s
from planner.shot.stresses import main_accents
from planner.shot.timeline import LineTime, Stretch, Timeline, since


@dataclass(frozen=True, slots=True)
class HeardStress:
    """A phrase's main stress as heard. `known_s`: its word can be understood and answered."""

    anchor: str
    word: str
    beat_s: float
    known_s: float
    prominence: float
    rises: bool


@dataclass(frozen=True, slots=True)
class HeardLine:
    """A line of someone else, as it sounds to a listener; a main stress a phrase at most."""

    line: int
    line_id: str
    who: str
    start_s: float
    end_s: float
    phrase_ends_s: tuple[float, ...]
    stresses: tuple[HeardStress, ...] = ()


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
    heard: tuple[HeardLine, ...]
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
    listens_in: Intent | None = None

    @property
    def attitude(self) -> Intent | None:
        """The intent in which it listens: of its last own beat, or the one taken in silence."""
        return self.beats[-1].intent if self.beats else self.listens_in

    def rides_on(self) -> str | None:
        """Id of the attitude that layers ride on: the one of the own line before."""
        return self.before.pose_id if self.before else None

    def draft(
        self, kind: Kind, part: str, anchor: str, *, of: HeardLine | None, text: str,
        at_s: tuple[float, float | None, float], size: float, direction: str, path: str,
        because: Why, **more: Unpack[DraftMore],
    ) -> Draft:  # fmt: skip
        """A draft of this stretch; `of` is the line it answers, else the own line next to it."""
        own = self.line_before or self.line_after or (None, self.who)
        line, line_id = (of.line, f"{of.line_id}@{self.who}") if of else own
        return Draft(
            kind, part, self.who, line, line_id, anchor, text, at_s[0], at_s[1], at_s[2],
            size, direction, path, because, step=self.step, **more,
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
    hear: Callable[[LineTime], HeardLine],
    origin_s: float,
    facing: str | None,
    opens_shot: bool,
    listens_in: Intent | None = None,
) -> Listening:
    """A listening stretch from the scene. `hear` is `heard_line`, or a memory of it."""
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
        tuple(hear(t) for t in timeline.heard(stretch)),
        tuple(r for r in reactions
              if not r.speaking and stretch.start_s - 0.01 <= r.start_s < stretch.end_s),
        tuple(b for b in inside if stretch.start_s - 0.01 <= b.start_s < stretch.end_s),
        before, _named(timeline, stretch.before), _named(timeline, stretch.after),
        Sides.of(stretch.who, scene.stage), planted, neutral, facing, opens_shot,
        listens_in,
    )  # fmt: skip


def heard_line(time: LineTime) -> HeardLine:
    """A line as a listener hears it."""
    ends = tuple(time.start_s + p.end_s for p in time.reading.phrases) or (time.speech_end_s,)
    return HeardLine(time.line.number, time.line.id, time.line.who, time.speech_start_s,
                 time.speech_end_s, ends, heard_stresses(time))  # fmt: skip


def heard_stresses(time: LineTime) -> tuple[HeardStress, ...]:
    """The main stress of each phrase of a line, as a listener takes it in."""
    reading = time.reading
    names, mains = anchors(reading), main_accents(reading)
    found: list[HeardStress] = []
    for phrase in reading.phrases:
        i = phrase.strongest_syllable
        if i not in mains:
            continue
        s = reading.syllables[i]
        word = reading.words[s.word] if s.word is not None else None
        start_s, end_s = (word.start_s, word.end_s) if word else (s.start_s, s.end_s)
        known_s = audible_from_s(reading, start_s, end_s) + WORD_KNOWN_S + REACTION_S
        found.append(
            HeardStress(
                names[i], bare(word.text) if word else "", since(0.0, time.start_s + s.nucleus_s),
                since(0.0, time.start_s + known_s), s.prominence, phrase.ending == "rise",
            )
        )  # fmt: skip
    return tuple(found)


def _named(timeline: Timeline, number: int | None) -> tuple[int, str] | None:
    return (number, timeline.by_number[number].line.id) if number is not None else None
