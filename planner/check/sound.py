"""What the voice gives a key pose to stand on: stresses, and the other reasons to move.

Conventions: frames are the scene's own, ranges inclusive; a stress stands on the frame on screen
at its vowel's onset (`nucleus_s`). The user's ear (`heard:`) is already laid over the readings
that come in here. A phrase's main accent is its strongest syllable, where that bears a stress.
Reasons: the shot's opening and close, a change of beat, a pause, a breath, the voice that starts
or stops, a cue. A cue cannot be answered before its word is understood: 200 ms after its onset
(Marslen-Wilson & Tyler 1980, a word in context) and a simple reaction to sound, 160 ms (review of
Galton 1899 to Welford 1980).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from audio.reading import VoiceReading
from planner.check.tolerance import REACH_MS
from planner.frames import Clock
from planner.plan.context import bare, main_accents
from planner.plan.cues import REACTION_S, WORD_KNOWN_S
from planner.scene import Beat, Cue, Line, Scene
from planner.shot.heard import apply_heard
from planner.shot.timeline import last_frame_before, line_time, shot_time

ANSWER_S = 1.0  # common practice: a later move no longer reads as the answer to the cue

Readings = Mapping[int, VoiceReading]


@dataclass(frozen=True, slots=True)
class SpokenStress:
    """A stressed syllable on its frame; `syllable` counts from 0 in its line."""

    who: str
    line: int
    syllable: int
    text: str | None
    frame: int
    main: bool
    strong: bool
    weight: float

    @property
    def word(self) -> str:
        """As people call it: `"third"`, or "the stress on 1016" without a transcript."""
        return f'"{self.text}"' if self.text else f"the stress on {self.frame}"

    def to_json(self) -> dict[str, Any]:
        """The contract's JSON of the stress a pose stands on."""
        return {"line": self.line, "syllable": self.syllable, "text": self.text,
                "frame": self.frame, "main": self.main}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a character may move between these frames without a stress."""

    who: str
    kind: str
    frames: tuple[int, int]
    text: str


@dataclass(frozen=True, slots=True)
class CueTime:
    """A cue on frames: its word's first, and the first on which it can be answered."""

    cue: Cue
    word: str
    word_frame: int
    earliest: int


def heard_readings(scene: Scene, readings: Readings) -> dict[int, VoiceReading]:
    """The readings of the scene's lines as the user hears them."""
    return {
        line.number: apply_heard(
            readings[line.number], line.heard, where=scene.where(f"lines/{line.number}/heard")
        )
        for line in scene.lines
        if line.number in readings
    }


def spoken_stresses(scene: Scene, heard: Readings) -> tuple[SpokenStress, ...]:
    """All stresses of the scene in order of time."""
    found = []
    for line in scene.lines:
        if line.number in heard:
            found += _stresses_of(scene.clock, line, heard[line.number])
    return tuple(sorted(found, key=lambda s: (s.frame, s.line, s.syllable)))


def _stresses_of(clock: Clock, line: Line, reading: VoiceReading) -> list[SpokenStress]:
    mains = main_accents(reading)
    return [
        SpokenStress(
            line.who, line.number, index, _text(reading, index),
            clock.frame_at(line.at_s + syllable.nucleus_s), index in mains,
            syllable.degree == "strong",
            2.0 * (index in mains) + (syllable.degree == "strong") + 0.99 * syllable.prominence,
        )
        for index, syllable in enumerate(reading.syllables)
        if syllable.degree != "none"
    ]  # fmt: skip


def _text(reading: VoiceReading, syllable: int) -> str | None:
    word = reading.syllables[syllable].word
    if word is None or not 0 <= word < len(reading.words):
        return reading.syllables[syllable].text
    return bare(reading.words[word].text)


def shot_frames(scene: Scene, heard: Readings) -> tuple[int, int]:
    """The shot with its handles."""
    times = [line_time(line, heard[line.number]) for line in scene.lines if line.number in heard]
    shot = shot_time(scene, times)
    return shot.low_frame, shot.high_frame


def speech_frames(scene: Scene, heard: Readings, who: str) -> tuple[tuple[int, int], ...]:
    """Where a character's voice is: first and last frame of each line's speech, in order."""
    found = []
    for line in scene.lines:
        if line.who == who and line.number in heard:
            time = line_time(line, heard[line.number])
            found.append(
                (
                    scene.clock.frame_at(time.speech_start_s),
                    last_frame_before(scene.clock, time.speech_end_s),
                )
            )
    return tuple(sorted(found))


def beat_frames(scene: Scene, heard: Readings, beat: Beat) -> tuple[int, int] | None:
    """The frames a beat is played on; None if its line was not read or lacks its words."""
    if beat.frames:
        return beat.frames
    reading = heard.get(beat.line or 0)
    if beat.line is None or reading is None:
        return None
    line = scene.lines[beat.line - 1]
    if beat.words is None:
        time = line_time(line, reading)
        start_s, end_s = time.speech_start_s, time.speech_end_s
    elif beat.words[1] <= len(reading.words):
        start_s = line.at_s + reading.words[beat.words[0] - 1].start_s
        end_s = line.at_s + reading.words[beat.words[1] - 1].end_s
    else:
        return None
    return scene.clock.frame_at(start_s), last_frame_before(scene.clock, end_s)


def cue_times(scene: Scene, heard: Readings) -> tuple[CueTime, ...]:
    """Each cue whose word was read, on frames."""
    found = []
    for cue in scene.cues:
        reading = heard.get(cue.line)
        if reading is None or not 1 <= cue.word <= len(reading.words):
            continue
        word = reading.words[cue.word - 1]
        start_s = scene.lines[cue.line - 1].at_s + word.start_s
        found.append(
            CueTime(
                cue,
                bare(word.text),
                scene.clock.frame_at(start_s),
                scene.clock.frame_at(start_s + WORD_KNOWN_S + REACTION_S),
            )
        )
    return tuple(found)


def reasons_to_move(scene: Scene, heard: Readings) -> tuple[Reason, ...]:
    """Every reason but a stress, with the frames on which it explains a pose."""
    near = scene.rate.frames_of_ms(REACH_MS)
    first_frame, last_frame = shot_frames(scene, heard)
    found = []
    for who in scene.characters:
        found.append(Reason(who, "opening", (first_frame, first_frame + near), "opens the shot"))
        found.append(Reason(who, "closing", (last_frame - near, last_frame), "closes the shot"))
    for beat in scene.beats:
        frames = beat_frames(scene, heard, beat)
        if frames:
            span = (frames[0] - near, frames[0] + near)
            found.append(Reason(beat.who, "beat", span, f"turns {beat.intent}"))
    last = scene.rate.frames(ANSWER_S)
    for cue in cue_times(scene, heard):
        span = (cue.earliest, cue.earliest + last)
        found.append(Reason(cue.cue.who, "cue", span, f'answers "{cue.word}"'))
    for line in scene.lines:
        if line.number in heard:
            found += _voice_reasons(scene.clock, line, heard[line.number], near)
    return tuple(found)


def _voice_reasons(clock: Clock, line: Line, reading: VoiceReading, near: int) -> list[Reason]:
    def frame(time_s: float) -> int:
        return clock.frame_at(line.at_s + time_s)

    found = [
        Reason(line.who, "pause", (frame(p.start_s), frame(p.end_s)), "in a pause")
        for p in reading.pauses
    ]
    found += [
        Reason(line.who, e.kind, (frame(e.start_s) - near, frame(e.end_s)), f"with a {e.kind}")
        for e in reading.events
    ]
    if reading.syllables:
        first, last = frame(reading.syllables[0].start_s), frame(reading.syllables[-1].end_s)
        found.append(Reason(line.who, "start", (first - 2 * near, first), "before the voice"))
        found.append(Reason(line.who, "stop", (last, last + 2 * near), "after the voice"))
    return found
