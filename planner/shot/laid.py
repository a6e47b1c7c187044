"""Readings laid on frames: syllables, words, pitch by frame, glides, pauses of every line.

Made once for a shot; the views only look up what is visible. Frames are the scene's own numbers,
ranges inclusive; words and phrases count from 1 within their line; pitch is in semitones from the
speaker's median, NaN where no voice is. How seconds become frames is the Shot's matter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audio.reading import Degree, GlideShape, VoiceReading
from planner.frames import EDGE_FRAMES, Clock, FrameRange
from planner.scene import Line
from planner.shot.shot import Shot
from planner.shot.stresses import main_accents

NARROWEST_RANGE_ST = 8.0  # a flat voice is not blown up to the height of a lively one
MOST_SPEAKER_ROWS = 3
EXAMPLE = "da"  # stands for a syllable without text


@dataclass(frozen=True, slots=True)
class LaidSyllable:
    """A syllable on frames; `hit` is the frame of its vowel's onset."""

    text: str
    frames: FrameRange
    hit: int
    semitones: float
    degree: Degree
    main: bool
    word: int | None


@dataclass(frozen=True, slots=True)
class LaidWord:
    """A word on frames, counted from 1."""

    number: int
    text: str
    frames: FrameRange


@dataclass(frozen=True, slots=True)
class LaidPhrase:
    """A phrase on frames. `words` first and last, from 1; None without a transcript."""

    number: int
    text: str
    frames: FrameRange
    words: tuple[int, int] | None
    ending: str
    ending_semitones: float


@dataclass(frozen=True, slots=True)
class LaidGlide:
    """A movement of the pitch on frames."""

    frames: FrameRange
    semitones: float
    shape: GlideShape
    audible: bool


@dataclass(frozen=True, slots=True)
class LaidSpan:
    """A pause or a sound that is no word ("pause", "breath", "laugh", "sigh")."""

    kind: str
    frames: FrameRange


@dataclass(frozen=True, slots=True)
class LaidLine:
    """A line on frames. `heights`: semitones of each frame from `frames[0]` on."""

    number: int
    who: str
    frames: FrameRange
    heights: tuple[float, ...]
    syllables: tuple[LaidSyllable, ...]
    words: tuple[LaidWord, ...]
    phrases: tuple[LaidPhrase, ...]
    glides: tuple[LaidGlide, ...]
    spans: tuple[LaidSpan, ...]

    def height_at(self, frame: int) -> float:
        """Semitones at a frame, NaN where there is none."""
        index = frame - self.frames[0]
        return self.heights[index] if 0 <= index < len(self.heights) else float("nan")


@dataclass(frozen=True, slots=True)
class Laid:
    """All lines of a scene, in order of their first frames, and the range of their pitch.

    `speakers`: who can share a row of words, as few rows as keep those apart who talk together.
    """

    lines: tuple[LaidLine, ...]
    low_st: float
    high_st: float
    shot: FrameRange
    speakers: tuple[tuple[str, ...], ...] = ()

    def line(self, number: int) -> LaidLine | None:
        """The line of that number."""
        return next((line for line in self.lines if line.number == number), None)

    def word_at(self, frame: int) -> tuple[LaidLine, LaidWord] | None:
        """The word said at a frame, with its line; of several, the one that begins last."""
        found = [
            (line, word)
            for line in self.between(frame, frame)
            for word in line.words
            if word.frames[0] <= frame <= word.frames[1]
        ]
        return max(found, key=lambda entry: entry[1].frames[0], default=None)

    def between(self, first: int, last: int) -> tuple[LaidLine, ...]:
        """The lines that have a frame in first..last."""
        return tuple(x for x in self.lines if x.frames[0] <= last and x.frames[1] >= first)


def lay_shot(shot: Shot) -> Laid:
    """Lay every line that has a reading."""
    lines = [_lay_line(shot, line) for line in shot.lines]
    lines.sort(key=lambda line: (line.frames[0], line.number))
    voiced = np.array([h for line in lines for h in line.heights if not math.isnan(h)])
    low, high = (-4.0, 4.0) if not len(voiced) else np.percentile(voiced, [2.0, 98.0])
    spare = max(0.0, NARROWEST_RANGE_ST - (high - low)) / 2
    return Laid(
        tuple(lines), float(low - spare), float(high + spare), shot.frames, _speakers(lines)
    )


def _speakers(lines: Sequence[LaidLine]) -> tuple[tuple[str, ...], ...]:
    """Speakers by row; those beyond the last row share it."""
    together: dict[str, set[str]] = {line.who: set() for line in lines}
    latest: dict[str, int] = {}
    spoken = sorted((x.words[0].frames[0], x.words[-1].frames[1], x.who) for x in lines if x.words)
    for first, last, speaker in spoken:
        for who, until in latest.items():
            if who != speaker and until >= first:
                together[who].add(speaker)
                together[speaker].add(who)
        latest[speaker] = max(latest.get(speaker, last), last)
    rows: list[list[str]] = []
    for who, others in together.items():
        free = [row for row in rows if not others & set(row)]
        if free:
            free[0].append(who)
        elif len(rows) < MOST_SPEAKER_ROWS:
            rows.append([who])
        else:
            rows[-1].append(who)
    return tuple(tuple(row) for row in rows)


def _lay_line(shot: Shot, line: Line) -> LaidLine:
    reading, clock = shot.heard[line.number], shot.clock
    frames = shot.line_frames(line)
    heights = _heights(clock, line, reading, frames)
    words = tuple(
        LaidWord(number, word.text, own)
        for number, (word, own) in enumerate(
            zip(reading.words, shot.words[line.number], strict=True), start=1
        )
    )
    pauses = [LaidSpan("pause", shot.frames_of(line, p.start_s, p.end_s)) for p in reading.pauses]
    events = [LaidSpan(e.kind, shot.frames_of(line, e.start_s, e.end_s)) for e in reading.events]
    syllables = _syllables(shot, line, heights, frames.first)
    return LaidLine(
        line.number,
        line.who,
        frames,
        heights,
        syllables,
        words,
        _phrases(shot, line, words, syllables),
        tuple(
            LaidGlide(shot.frames_of(line, g.start_s, g.end_s), g.semitones, g.shape, g.audible)
            for g in reading.glides
        ),
        (*pauses, *events),
    )


def _syllables(
    shot: Shot, line: Line, heights: tuple[float, ...], first_frame: int
) -> tuple[LaidSyllable, ...]:
    reading = shot.heard[line.number]
    mains = main_accents(reading)
    found = []
    for index, syllable in enumerate(reading.syllables):
        own = shot.frames_of(line, syllable.start_s, syllable.end_s)
        hit = shot.clock.frame_at(line.at_s + syllable.nucleus_s)
        text = syllable.text if syllable.text is not None else EXAMPLE
        height = _height_of(heights, first_frame, hit, own.last)
        word = None if syllable.word is None else syllable.word + 1
        found.append(LaidSyllable(text, own, hit, height, syllable.degree, index in mains, word))
    return tuple(found)


def _phrases(
    shot: Shot, line: Line, words: Sequence[LaidWord], syllables: Sequence[LaidSyllable]
) -> tuple[LaidPhrase, ...]:
    reading = shot.heard[line.number]
    found = []
    for number, (phrase, frames) in enumerate(
        zip(reading.phrases, shot.phrase_frames(line), strict=True), start=1
    ):
        counted: tuple[int, int] | None = None
        if phrase.words is not None:
            first, last = phrase.words
            text, counted = " ".join(w.text for w in words[first : last + 1]), (first + 1, last + 1)
        else:
            first, last = phrase.syllables
            text = " ".join(s.text for s in syllables[first : last + 1])
        found.append(
            LaidPhrase(number, text, frames, counted, phrase.ending, phrase.ending_semitones)
        )
    return tuple(found)


def _heights(
    clock: Clock, line: Line, reading: VoiceReading, frames: FrameRange
) -> tuple[float, ...]:
    """Mean semitones of the voiced samples of each frame."""
    count = frames.count
    hz = reading.pitch.hz
    voiced = np.isfinite(hz) & (hz > 0)
    median = reading.speaker.pitch_median_hz
    if not voiced.any() or median <= 0:
        return (float("nan"),) * count
    rate = float(clock.rate.frames_per_s)
    times = line.at_s + reading.pitch.times_s()[voiced]
    index = np.floor(times * rate + EDGE_FRAMES).astype(int) - (frames.first - clock.first_frame)
    inside = (index >= 0) & (index < count)
    semitones = 12 * np.log2(hz[voiced][inside] / median)
    sums = np.bincount(index[inside], weights=semitones, minlength=count)
    found = np.bincount(index[inside], minlength=count)
    with np.errstate(invalid="ignore", divide="ignore"):
        means = np.where(found > 0, sums / np.maximum(found, 1), np.nan)
    return tuple(float(value) for value in means)


def _height_of(heights: tuple[float, ...], first: int, hit: int, last: int) -> float:
    """The height to print a syllable at: the mean of its rhyme, else the nearest voice, else 0."""
    own = [h for h in heights[max(0, hit - first) : max(0, last - first + 1)] if not math.isnan(h)]
    if own:
        return sum(own) / len(own)
    near = (
        h
        for distance in range(1, 12)
        for index in (hit - first - distance, last - first + distance)
        if 0 <= index < len(heights) and not math.isnan(h := heights[index])
    )
    return next(near, 0.0)
