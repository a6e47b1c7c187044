"""A Shot: a scene, its sounds as the user hears them, and every one of their frames.

    shot = shot_of(scene, readings)      # `heard:` is laid over the readings here and nowhere else
    shot = shot.changed(scene)           # the scene was edited, the sounds are the same: cheap
    shot.word_frames(1, (3, 4)), shot.beat_frames(beat), shot.stresses, shot.cues, shot.phrases

Whatever plans, checks, draws or prints takes a Shot, so that a second of sound falls on one frame
for all. Conventions: frames are the scene's own, inclusive; lines, words and phrases count from 1.
A thing is on the frames from the one on screen when it begins to the last one that begins before
it ends. Where two words share a frame, it is the later one's; a beat, a phrase or a note on words
lies on the frames of its words. A beat that names neither words nor frames is its whole line's.
Lines without a reading have no frames.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise

from audio.reading import VoiceReading
from planner.frames import Clock, FrameRange
from planner.scene import Beat, Heard, Line, Scene
from planner.scene.words import bare
from planner.shot.cue_times import CueTime, cue_times
from planner.shot.heard import apply_heard
from planner.shot.stresses import SpokenStress, spoken_stresses
from planner.shot.timeline import LineTime, ShotTime, line_time, shot_time

Readings = Mapping[int, VoiceReading]


@dataclass(frozen=True, slots=True)
class PhraseAt:
    """A phrase of the shot: its number, whose it is, its frames, its words ("" without text)."""

    number: int
    line: int
    who: str
    frames: FrameRange
    words: str


@dataclass(frozen=True)
class Shot:
    """A scene and its readings as heard, by line number. Made by `shot_of`."""

    scene: Scene
    heard: Readings
    _read: Readings = field(repr=False, compare=False)

    def changed(self, scene: Scene, readings: Readings | None = None) -> Shot:
        """The shot after an edit of the scene; readings that are heard alike are the same ones.

        readings : where other sounds are read, those of all lines.
        Raises SceneError if the user's ear names a word that a line lacks.
        """
        if readings is None:
            return self if scene is self.scene else _shot(scene, self._read, self)
        return _shot(scene, readings, self)

    def with_reading(self, line: int, reading: VoiceReading, heard: Heard | None = None) -> Shot:
        """The shot with another sound in a line, and what the user hears in it, if that differs."""
        lines = [
            replace(x, heard=heard) if heard and x.number == line else x for x in self.scene.lines
        ]
        scene = replace(self.scene, lines=tuple(lines))
        return _shot(scene, {**self._read, line: reading}, self)

    @property
    def clock(self) -> Clock:
        """The scene's clock."""
        return self.scene.clock

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The lines that have a reading."""
        return tuple(line for line in self.scene.lines if line.number in self.heard)

    @cached_property
    def times(self) -> Mapping[int, LineTime]:
        """Each line in seconds of the scene."""
        return {line.number: line_time(line, self.heard[line.number]) for line in self.lines}

    @cached_property
    def time(self) -> ShotTime:
        """The shot in seconds and frames."""
        return shot_time(self.scene, tuple(self.times.values()))

    @property
    def frames(self) -> FrameRange:
        """The shot without its handles."""
        return FrameRange(*self.time.frames)

    @property
    def frames_with_handles(self) -> FrameRange:
        """The shot and its handles: all frames on which something may move."""
        return FrameRange(self.time.low_frame, self.time.high_frame)

    def frames_of(self, line: Line, start_s: float, end_s: float) -> FrameRange:
        """The frames of something in a line's clip, from its seconds."""
        return self.clock.frames_between(line.at_s + start_s, line.at_s + end_s)

    def line_frames(self, line: Line) -> FrameRange:
        """The frames of a line's whole clip."""
        return self.frames_of(line, 0.0, self.heard[line.number].clip.duration_s)

    def speech_frames(self, line: Line) -> FrameRange:
        """The frames on which a line is spoken: its first syllable to its last."""
        time = self.times[line.number]
        return self.clock.frames_between(time.speech_start_s, time.speech_end_s)

    def spoken_by(self, who: str) -> tuple[FrameRange, ...]:
        """Where a character's voice is: the speech of each of its lines, in order of time."""
        return tuple(sorted(self.speech_frames(line) for line in self.lines if line.who == who))

    @cached_property
    def words(self) -> Mapping[int, tuple[FrameRange, ...]]:
        """The frames of every word, by line."""
        return {line.number: self._words_of(line) for line in self.lines}

    def _words_of(self, line: Line) -> tuple[FrameRange, ...]:
        own = [self.frames_of(line, w.start_s, w.end_s) for w in self.heard[line.number].words]
        until = [*(b.first - 1 for _, b in pairwise(own)), *(w.last for w in own[-1:])]
        return tuple(
            FrameRange(w.first, max(w.first, min(w.last, end)))
            for w, end in zip(own, until, strict=True)
        )

    def word_frames(self, line: int, words: Sequence[int]) -> FrameRange | None:
        """The frames of some words, first and last; None if the line has no such words."""
        own = self.words.get(line, ())
        first, last = words
        if not 1 <= first <= last <= len(own):
            return None
        return FrameRange(own[first - 1].first, max(w.last for w in own[first - 1 : last]))

    def beat_frames(self, beat: Beat) -> FrameRange | None:
        """The frames a beat is played on; None if its line has no such words or no reading."""
        if beat.frames:
            return FrameRange(*beat.frames)
        if beat.line is None or beat.line not in self.heard:
            return None
        if beat.words:
            return self.word_frames(beat.line, beat.words)
        return self.speech_frames(self.scene.lines[beat.line - 1])

    @cached_property
    def stresses(self) -> tuple[SpokenStress, ...]:
        """All stresses, in order of time."""
        return spoken_stresses(self.scene, self.heard)

    @cached_property
    def cues(self) -> tuple[CueTime, ...]:
        """Each cue whose word was read."""
        return cue_times(self.scene, self.heard)

    @cached_property
    def phrases(self) -> tuple[PhraseAt, ...]:
        """Every phrase of the shot, numbered in order of time."""
        found = [p for line in self.lines for p in self._phrases_of(line)]
        found.sort(key=lambda p: (p.frames, p.line))
        return tuple(
            PhraseAt(n, p.line, p.who, p.frames, p.words) for n, p in enumerate(found, start=1)
        )

    def phrase_frames(self, line: Line) -> tuple[FrameRange, ...]:
        """The frames of each phrase of a line: those of its words, if it has any."""
        return tuple(
            (p.words and self.word_frames(line.number, (p.words[0] + 1, p.words[1] + 1)))
            or self.frames_of(line, p.start_s, p.end_s)
            for p in self.heard[line.number].phrases
        )

    def _phrases_of(self, line: Line) -> list[PhraseAt]:
        reading = self.heard[line.number]
        found = []
        for phrase, frames in zip(reading.phrases, self.phrase_frames(line), strict=True):
            first, last = phrase.words or (0, -1)
            text = " ".join(bare(w.text) for w in reading.words[first : last + 1])
            found.append(PhraseAt(0, line.number, line.who, frames, text))
        return found


def shot_of(scene: Scene, readings: Readings) -> Shot:
    """The shot of a scene and what was read of its sounds, by line number (from 1).

    Raises SceneError if the user's ear names a word that a line lacks.
    """
    return _shot(scene, readings, None)


def _shot(scene: Scene, read: Readings, before: Shot | None) -> Shot:
    """The shot; what was heard alike `before` is taken over, so that it is the same object."""
    earlier = {line.number: line.heard for line in before.scene.lines} if before else {}
    heard: dict[int, VoiceReading] = {}
    for line in scene.lines:
        number = line.number
        if number not in read:
            continue
        same = (
            before is not None
            and before._read.get(number) is read[number]
            and earlier.get(number) == line.heard
        )
        if before is not None and same:
            heard[number] = before.heard[number]
        else:
            where = scene.where_of(f"lines/{number}/heard")
            heard[number] = apply_heard(read[number], line.heard, where=where)
    return Shot(scene, heard, read)
