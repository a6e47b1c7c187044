"""The band of the tone line in which the voice is drawn: pitch, syllables, stems, pauses.

Pure. `tone` says what stands above and below it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.export.drawing import (
    COOL,
    FAINT,
    INK,
    SOFT,
    WARM,
    Label,
    Pen,
    Weight,
    text_width,
)
from planner.export.facts import ShotFacts, said
from planner.shot.laid import LaidLine, LaidSyllable

RIGHT = 24.0  # px free at the right of a row
TONE_HEIGHT = 230.0
SMALL = 13.5  # px; on paper 277 mm wide these are 6.6 points
SIZES = {"main": 25.0, "strong": 21.0, "light": 18.0, "none": 16.0}
SPANS = {"pause": "pause {n}", "breath": "breath", "laugh": "laugh", "sigh": "sigh"}

Box = tuple[float, float, float, float]  # left, top, right, bottom


@dataclass(frozen=True, slots=True)
class Scale:
    """Where frames lie across a row: `left` px is the start of frame `first`."""

    first: int
    last: int
    left: float
    step: float

    def x(self, frame: float) -> float:
        """The start of a frame, kept inside the row."""
        inside = min(max(frame, self.first), self.last + 1)
        return self.left + (inside - self.first) * self.step

    def middle(self, frame: int) -> float:
        """The middle of a frame."""
        return self.left + (frame - self.first + 0.5) * self.step

    @property
    def right(self) -> float:
        """Where the last frame ends."""
        return self.left + (self.last - self.first + 1) * self.step

    def has(self, frame: int) -> bool:
        """True if the frame lies in the row."""
        return self.first <= frame <= self.last


class VoiceBand:
    """The voice of one row. `name` writes a name into the gutter at a height."""

    def __init__(
        self, facts: ShotFacts, scale: Scale, pen: Pen, lines: Sequence[LaidLine],
        name: Callable[[float, str], None],
    ) -> None:  # fmt: skip
        self.facts, self.scale, self.pen, self.lines = facts, scale, pen, lines
        self._name = name

    def draw(self, top: float) -> float:
        """Draw from `top` down; returns where the next thing may stand."""
        low, high = self.facts.laid.low_st, self.facts.laid.high_st
        body = TONE_HEIGHT - 34

        def y_of(semitones: float) -> float:
            share = (high - semitones) / (high - low)
            return top + 22 + min(1.0, max(0.0, share)) * body

        self._grid(y_of, low, high)
        foot = top + TONE_HEIGHT + 4
        for line in self.lines:
            self._contour(line, y_of)
        syllables = [
            (line, s) for line in self.lines for s in line.syllables if self._begins_here(s)
        ]
        for _, s in syllables:
            if s.degree == "strong":
                x = self.scale.middle(s.hit)
                ink = WARM if s.main else SOFT
                self.pen.line(x, y_of(s.semitones) + 6, x, foot + 3, 2.2 if s.main else 1.2, ink,
                              () if s.main else (5, 3))  # fmt: skip
        taken: list[Box] = []
        for _, s in sorted(syllables, key=lambda e: (-SIZES[_rank(e[1])], e[1].frames)):
            self.pen.add(self._syllable(s, y_of(s.semitones), top, foot, taken))
        for line in self.lines:
            self._spans(line, y_of(0.0), taken)
        self._stress_frames([s for _, s in syllables], foot + 16)
        return foot + 22

    def _begins_here(self, syllable: LaidSyllable) -> bool:
        return self.scale.has(syllable.hit)

    def _grid(self, y_of: Callable[[float], float], low: float, high: float) -> None:
        gap = 4 if high - low > 10 else 2
        for semitones in range(-48, 49, gap):
            if low <= semitones <= high:
                y = y_of(semitones)
                self.pen.line(self.scale.left, y, self.scale.right, y, 1.0, FAINT,
                              () if semitones == 0 else (2, 4))  # fmt: skip
                self._name(y + 5, f"{semitones:+d}" if semitones else "0 semitones")

    def _contour(self, line: LaidLine, y_of: Callable[[float], float]) -> None:
        """Pitch by frame; thicker where a listener hears it move."""
        heard = [g.frames for g in line.glides if g.audible and g.shape != "level"]
        runs: list[tuple[bool, list[tuple[float, float]]]] = []
        before: int | None = None
        for frame in range(max(line.frames[0], self.scale.first), self.scale.last + 1):
            height = line.height_at(frame)
            if math.isnan(height):
                continue
            moving = any(a <= frame <= b for a, b in heard)
            point = (self.scale.middle(frame), y_of(height))
            if before != frame - 1 or not runs:
                runs.append((moving, [point]))
            elif runs[-1][0] != moving:
                runs.append((moving, [runs[-1][1][-1], point]))
            else:
                runs[-1][1].append(point)
            before = frame
        for moving, points in runs:
            x, y = points[0]
            drawn = points if len(points) > 1 else [(x - 3, y), (x + 3, y)]
            self.pen.path(drawn, 3.6 if moving else 1.4, COOL if moving else SOFT)

    def _syllable(
        self, s: LaidSyllable, y: float, top: float, foot: float,
        taken: list[Box],
    ) -> list[Label]:  # fmt: skip
        """A syllable at its height, or as near to it as there is room; none if there is none."""
        rank = _rank(s)
        size = SIZES[rank]
        weight: Weight = "bold" if s.degree == "strong" else "normal"
        text = said(s)
        width = text_width(text, size, weight)
        x = min(max(self.scale.x(s.frames[0]), self.scale.left), self.scale.right - width + RIGHT)
        for shift in (0.0, -0.6, 0.6, -1.0, 1.0, -1.5, 1.5, -2.0, 2.0, -2.6, 2.6, -3.2, 3.2):
            base = y + size * 0.35 + shift * size
            box = (x, base - size * 0.78, x + width, base + size * 0.22)
            if top - 4 <= box[1] and box[3] <= foot and not any(_touch(box, t) for t in taken):
                taken.append(box)
                return [Label(x, base, text, size, weight, ink=WARM if s.main else INK,
                              halo=True)]  # fmt: skip
        return []

    def _spans(self, line: LaidLine, y: float, taken: list[Box]) -> None:
        """Pauses, breaths, laughs and sighs as words where there is room."""
        for span in line.spans:
            first, last = (
                max(span.frames[0], self.scale.first),
                min(span.frames[1], self.scale.last),
            )
            if last < first:
                continue
            text = SPANS.get(span.kind, span.kind).format(n=span.frames[1] - span.frames[0] + 1)
            width = text_width(text, SMALL)
            middle = (self.scale.x(first) + self.scale.x(last + 1)) / 2
            if span.kind == "pause" and width > self.scale.x(last + 1) - self.scale.x(first):
                continue
            for base in (y + 4, y - 14, y + 22, y - 32):
                box = (middle - width / 2, base - 12, middle + width / 2, base + 3)
                if not any(_touch(box, t) for t in taken):
                    taken.append(box)
                    self.pen.add([Label(middle, base, text, SMALL, italic=True, ink=SOFT,
                                        anchor="middle", halo=True)])  # fmt: skip
                    break

    def _stress_frames(self, syllables: Sequence[LaidSyllable], y: float) -> None:
        """The frames of strong stresses, the main ones first where they would touch."""
        taken: list[tuple[float, float]] = []
        for s in sorted(syllables, key=lambda s: (not s.main, s.hit)):
            if s.degree != "strong":
                continue
            x, half = self.scale.middle(s.hit), text_width(str(s.hit), SMALL, "bold") / 2 + 3
            if all(x + half <= a or x - half >= b for a, b in taken):
                taken.append((x - half, x + half))
                self.pen.add([Label(x, y, str(s.hit), SMALL, "bold" if s.main else "normal",
                                    ink=WARM if s.main else INK, anchor="middle")])  # fmt: skip
        self._name(y, "stress on")


def _rank(syllable: LaidSyllable) -> str:
    return "main" if syllable.main else str(syllable.degree)


def _touch(a: Box, b: Box) -> bool:
    """True if two boxes share more than an edge."""
    return a[0] < b[2] + 2 and b[0] < a[2] + 2 and a[1] < b[3] and b[1] < a[3]
