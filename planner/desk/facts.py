"""What a desk looks up again and again about its scene, found once for a scene: lazily, and shared.

Pure. Lines, words and phrases count from 1; places in the scene (beats, notes) from 0; frames are
inclusive. A new `Facts` is made with every edit and costs nothing until it is asked.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from planner.intents import scene_intents
from planner.lead.notes import placed_notes
from planner.scene import Note, Scene
from planner.shot import Shot
from planner.shot.laid import Laid, LaidLine, LaidWord

NARROWEST_RANGE_ST = 8.0  # a flat voice is not blown up to the height of a lively one
Series = NDArray[np.float64]


@dataclass(frozen=True)
class PhraseOf:
    """A phrase that has words: its line, its words, its frames."""

    line: int
    first: int
    last: int
    frames: tuple[int, int]


@dataclass(frozen=True, eq=False)
class Facts:
    """Of a scene as heard and laid out."""

    shot: Shot
    laid: Laid

    @property
    def scene(self) -> Scene:
        """The scene."""
        return self.shot.scene

    @cached_property
    def line(self) -> Mapping[int, LaidLine]:
        """The laid lines by number."""
        return {line.number: line for line in self.laid.lines}

    @cached_property
    def words(self) -> tuple[tuple[int, LaidWord], ...]:
        """Every word with its line's number, in order of lines."""
        return tuple((line.number, word) for line in self.laid.lines for word in line.words)

    @cached_property
    def word_place(self) -> Mapping[tuple[int, int], int]:
        """The place of a word (line, number) among all words."""
        return {(line, word.number): place for place, (line, word) in enumerate(self.words)}

    @cached_property
    def phrases(self) -> tuple[PhraseOf, ...]:
        """Every phrase that has words, in order of lines."""
        return tuple(
            PhraseOf(line.number, *phrase.words, phrase.frames)
            for line in self.laid.lines
            for phrase in line.phrases
            if phrase.words is not None
        )

    @cached_property
    def phrase_of(self) -> Mapping[tuple[int, int], int]:
        """The place of the phrase that holds a word (line, number)."""
        return {
            (phrase.line, word): place
            for place, phrase in enumerate(self.phrases)
            for word in range(phrase.first, phrase.last + 1)
        }

    @cached_property
    def beat_frames(self) -> tuple[tuple[int, int] | None, ...]:
        """First and last frame of each beat, by the one rule of the shot."""
        return tuple(map(self.shot.beat_frames, self.scene.beats))

    @cached_property
    def hue_of(self) -> Mapping[str, int]:
        """A number for each intent, the scene's own first, in order of use: its hue."""
        used = [beat.intent for beat in self.scene.beats]
        return {
            name: n for n, name in enumerate(dict.fromkeys([*used, *scene_intents(self.scene)]))
        }

    @cached_property
    def _beats_in_order(self) -> tuple[list[int], list[int], int]:
        """First frames in order, the beats they are of, and the longest beat."""
        placed = sorted((f[0], i, f[1]) for i, f in enumerate(self.beat_frames) if f is not None)
        longest = max((last - first for first, _, last in placed), default=0)
        return [first for first, _, _ in placed], [i for _, i, _ in placed], longest

    def beats_between(self, first: int, last: int) -> list[int]:
        """The beats that have a frame in first..last, in order of frames."""
        starts, order, longest = self._beats_in_order
        near = order[bisect_left(starts, first - longest) : bisect_right(starts, last)]
        return [i for i in near if (f := self.beat_frames[i]) is not None and f[1] >= first]

    @cached_property
    def notes(self) -> tuple[Note, ...]:
        """The notes on their present frames: those tied to words stand where the words are."""
        return placed_notes(self.shot)

    @cached_property
    def wordless(self) -> tuple[int, ...]:
        """The beats of frames over which their character says nothing, by place in the scene."""
        spoken: dict[str, list[tuple[int, int]]] = {}
        for phrase in self.phrases:
            spoken.setdefault(self.line[phrase.line].who, []).append(phrase.frames)
        return tuple(
            index
            for index, beat in enumerate(self.scene.beats)
            if beat.frames is not None
            and not any(
                a <= beat.frames[1] and b >= beat.frames[0] for a, b in spoken.get(beat.who, ())
            )
        )

    @cached_property
    def script(self) -> tuple[tuple[str, int], ...]:
        """The script from top to bottom: ("phrase", place) and ("beat", place), by first frame.

        A line's phrases stay together; a wordless beat stands where it begins.
        """
        rows = [
            ((self.line[p.line].frames[0], p.line, i), ("phrase", i))
            for i, p in enumerate(self.phrases)
        ]
        rows += [((b[0], 0, i), ("beat", i)) for i in self.wordless if (b := self.beat_frames[i])]
        return tuple(row for _, row in sorted(rows))

    @cached_property
    def scale_st(self) -> tuple[float, float]:
        """Lowest and highest pitch drawn, in semitones: what lies inside Tukey's fences.

        Values farther than 1.5 times the middle half's spread beyond it are strays (an octave
        misread, a creak) and are drawn at the edge (Tukey 1977). A flat voice is given at least
        NARROWEST_RANGE_ST.
        """
        voiced = np.array([h for line in self.laid.lines for h in line.heights])
        voiced = voiced[np.isfinite(voiced)]
        if not len(voiced):
            return -NARROWEST_RANGE_ST / 2, NARROWEST_RANGE_ST / 2
        low, high = np.percentile(voiced, [25.0, 75.0])
        reach = 1.5 * max(high - low, 1.0)
        inside = voiced[(voiced >= low - reach) & (voiced <= high + reach)]
        spare = max(0.0, NARROWEST_RANGE_ST - (inside.max() - inside.min())) / 2
        return float(inside.min() - spare), float(inside.max() + spare)

    def tone(self, number: int, first: int, per_column: int, dots: int) -> list[float | None]:
        """Semitones at each half column from a frame on; None where there is no voice."""
        times_s, semitones = self._pitch(number)
        clock = self.scene.clock
        step_s = clock.rate.start_s(1) * per_column / 2
        place = np.floor((times_s - clock.scene_s(first)) / step_s + 1e-6).astype(int)
        inside = (place >= 0) & (place < dots)
        sums = np.bincount(place[inside], weights=semitones[inside], minlength=dots)
        counts = np.bincount(place[inside], minlength=dots)
        return [
            float(total / count) if count else None
            for total, count in zip(sums, counts, strict=True)
        ]

    def _pitch(self, number: int) -> tuple[Series, Series]:
        """Times in scene seconds, and semitones from the speaker's median, of a line's voice."""
        if number not in self._pitches:
            line, reading = self.scene.lines[number - 1], self.shot.heard[number]
            hz, median = reading.pitch.hz, reading.speaker.pitch_median_hz
            voiced = np.isfinite(hz) & (hz > 0) & (median > 0)
            times_s = line.at_s + reading.pitch.times_s()[voiced]
            self._pitches[number] = (times_s, 12 * np.log2(hz[voiced] / max(median, 1e-9)))
        return self._pitches[number]

    @cached_property
    def _pitches(self) -> dict[int, tuple[Series, Series]]:
        return {}

    @cached_property
    def beats_of_phrase(self) -> tuple[tuple[int, ...], ...]:
        """For each phrase the beats that lie over it, in the order of the scene."""
        by_line: dict[int, list[int]] = {}
        by_who: dict[str, list[int]] = {}
        for index, beat in enumerate(self.scene.beats):
            if beat.frames is not None:
                by_who.setdefault(beat.who, []).append(index)
            elif beat.line is not None:
                by_line.setdefault(beat.line, []).append(index)
        return tuple(self._over(p, by_line.get(p.line, []), by_who) for p in self.phrases)

    def _over(
        self, phrase: PhraseOf, of_line: list[int], by_who: Mapping[str, list[int]]
    ) -> tuple[int, ...]:
        beats = self.scene.beats
        found = [
            i for i in of_line
            if (words := beats[i].words) is None
            or (words[0] <= phrase.last and words[1] >= phrase.first)
        ]  # fmt: skip
        first, last = phrase.frames
        found += [
            i for i in by_who.get(self.line[phrase.line].who, [])
            if (frames := beats[i].frames) and frames[0] <= last and frames[1] >= first
        ]  # fmt: skip
        return tuple(sorted(found))

    @property
    def tagged(self) -> tuple[int, int]:
        """How many phrases have a beat, and how many there are."""
        return sum(map(bool, self.beats_of_phrase)), len(self.phrases)
