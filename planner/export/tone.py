"""The tone line as a drawing: syllables at the height of their pitch, over frames, with the plan.

A shot is drawn in rows like a page of music, each as many frames wide as leaves the words legible;
rows break in silences where there are any near. From top to bottom a row has: who speaks, beats,
the tone line, frames, the plan part by part, key poses, notes. Words stand at the frames they are
about, over a thin line from a move's first frame to its last, with an upright at the frame it hits.
Syllables are larger and heavier the heavier their stress; a strong one has a stem down to the
frame of its vowel's onset. A thick line is pitch that a listener hears moving, a thin one the rest.
Heights are semitones from each speaker's own median. Pure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from planner.export.drawing import (
    FAINT,
    INK,
    SOFT,
    Drawing,
    Label,
    Pen,
    Rows,
    Stroke,
    Weight,
    cut_to,
    text_width,
)
from planner.export.exposure import move_words
from planner.export.facts import ShotFacts, shown_frame
from planner.export.figures import draw_strip
from planner.export.head_curve import CURVE_HEIGHT, draw_head_curve
from planner.export.plain import one_line
from planner.export.tone_voice import RIGHT, SMALL, Scale, VoiceBand
from planner.scene import PARTS

WIDTH = 1600.0  # px, the picture's own width
GUTTER = 104.0  # px, names of rows at the left
STEP_MIN = 14.5  # px a frame, under which words of a lively line no longer fit
STEP_MAX = 40.0
ROW = 21.0  # px, a row of words


def tone_drawings(facts: ShotFacts) -> tuple[Drawing, ...]:
    """A drawing a row of the shot, each 1600 wide with its own head."""
    most = int((WIDTH - GUTTER - RIGHT) / STEP_MIN)
    breaks = row_breaks(facts, most)
    longest = max(b - a + 1 for a, b in breaks)
    step = min(STEP_MAX, (WIDTH - GUTTER - RIGHT) / longest)
    return tuple(_page(facts, frames, step, i, len(breaks)) for i, frames in enumerate(breaks))


def tone_strip(facts: ShotFacts, step: float = 16.0) -> tuple[Drawing, Drawing]:
    """The whole shot in one row for a screen: the names at the left, and the row itself."""
    gutter, pen = Pen(), Pen()
    scale = Scale(*facts.frames, 0.0, step)
    bottom = _Row(facts, scale, pen, gutter).draw(4.0)
    about = f"tone line, frames {facts.frames[0]} to {facts.frames[1]}"
    return gutter.drawing(GUTTER, bottom), pen.drawing(scale.right, bottom, about)


def row_breaks(facts: ShotFacts, most: int) -> tuple[tuple[int, int], ...]:
    """First and last frame of each row, at most `most` long, broken where nobody speaks if that
    is near, else between words."""
    first, last = facts.frames
    count = math.ceil((last - first + 1) / most)
    busy = {f for line in facts.laid.lines for w in line.syllables
            for f in range(w.frames[0], w.frames[1] + 1)}  # fmt: skip
    rows = []
    while last - first + 1 > most:
        even = first + math.ceil((last - first + 1) / max(count, 1))
        latest = first + most
        options = range(first + 6 * most // 10, latest + 1)
        cut = min(options, key=lambda f: (f in busy, f - 1 in busy, abs(f - even)))
        rows.append((first, cut - 1))
        first, count = cut, count - 1
    return (*rows, (first, last))


def _page(
    facts: ShotFacts, frames: tuple[int, int], step: float, index: int, count: int
) -> Drawing:
    pen = Pen()
    of = f", row {index + 1} of {count}" if count > 1 else ""
    title = f"{one_line(facts.title)}: frames {frames[0]}-{frames[1]} at {facts.clock.rate}{of}"
    if not index:
        pen.add([Label(GUTTER, 26, cut_to(title, WIDTH - GUTTER, 19, "bold"), 19, "bold")])
    else:
        pen.add([Label(GUTTER, 26, cut_to(title, WIDTH - GUTTER, 15), 15, ink=SOFT)])
    scale = Scale(*frames, GUTTER, step)
    bottom = _Row(facts, scale, pen, pen).draw(40.0)
    return pen.drawing(WIDTH, bottom + 14, title)


class _Row:
    """One row of the picture."""

    def __init__(self, facts: ShotFacts, scale: Scale, pen: Pen, gutter: Pen) -> None:
        self.facts, self.scale, self.pen, self.gutter = facts, scale, pen, gutter
        frames = (scale.first, scale.last)
        self.lines = [
            x for x in facts.laid.between(*frames) if x.who in facts.characters
        ]  # fmt: skip

    def draw(self, top: float) -> float:
        """Draw all bands from `top` down; returns where the next thing may stand."""
        y = self._speakers(top)
        y = self._beats(y)
        y = self._strip(y)
        tone_top = y
        y = VoiceBand(self.facts, scale=self.scale, pen=self.pen, lines=self.lines,
                      name=self._name).draw(y)  # fmt: skip
        y = self._heads(y)
        y = self._ruler(y)
        for who in self.facts.characters:
            y = self._plan(y, who)
        y = self._poses(y)
        y = self._notes(y)
        self._seconds(tone_top, y)
        return y

    def _name(self, y: float, text: str, bold: bool = False, ink: str = SOFT) -> None:
        size = SMALL + bold
        fitted = cut_to(one_line(text), GUTTER - 14, size, "bold" if bold else "normal")
        self.gutter.add([Label(GUTTER - 10, y, fitted, size, "bold" if bold else "normal",
                               ink=INK if bold else ink, anchor="end")])  # fmt: skip

    def _worded(
        self, top: float, entries: Iterable[tuple[tuple[int, int], str, int | None, bool]]
    ) -> float:
        """Words over their spans, on as many rows as it takes. (frames, text, hit, heavy)."""
        rows, drawn = Rows(), 0
        for frames, text, hit, heavy in sorted(entries, key=lambda e: (e[0], e[1])):
            if frames[1] < self.scale.first or frames[0] > self.scale.last:
                continue
            weight: Weight = "bold" if heavy else "normal"
            left, right = self.scale.x(frames[0]), self.scale.x(frames[1] + 1)
            room = self.scale.right - left + 0.5 * RIGHT
            said = text if frames[0] >= self.scale.first else f"… {text}"
            width = text_width(said, SMALL, weight)
            at = left if width <= room else max(self.scale.left, self.scale.right - width)
            said = cut_to(said, self.scale.right - at + RIGHT, SMALL, weight)
            row = rows.row(at, max(right, at + width))
            drawn = max(drawn, row + 1)
            y = top + row * ROW
            self.pen.add([Label(at + 1, y + 13, said, SMALL, weight)])
            if frames[0] < frames[1]:
                self.pen.line(left, y + 17.5, right - 1, y + 17.5, 1.2, SOFT)
            if hit is not None and self.scale.has(hit):
                x = self.scale.middle(hit)
                self.pen.line(x, y + 14, x, y + 20.5, 3.0, INK)
        return top + drawn * ROW

    def _speakers(self, top: float) -> float:
        entries = [
            (line.frames, f"{one_line(line.who)}, line {line.number}", None, True)
            for line in self.lines
        ]
        self._name(top + 13, "speaks")
        return max(self._worded(top, entries), top + ROW)

    def _beats(self, top: float) -> float:
        several = len(self.facts.characters) > 1
        entries = [
            (b.frames, one_line(f"{b.beat.who}: {b.text}" if several else b.text), None, False)
            for b in self.facts.beats
        ]
        bottom = self._worded(top, entries)
        if bottom > top:
            self._name(top + 13, "beats")
        return bottom

    def _strip(self, top: float) -> float:
        """The key poses, a row of small figures for each character that has one here."""
        rate = float(self.facts.clock.rate.frames_per_s)
        frames = (self.scale.first, self.scale.last)
        y = top
        for figure in self.facts.figures:
            if any(frames[0] <= k.frame <= frames[1] for k in figure.motion.keys):
                self._name(y + 40, figure.motion.who, bold=True)
                y = draw_strip(self.pen, figure, frames, self.scale.middle, y, rate,
                               step_px=self.scale.step)  # fmt: skip
        return y + 4

    def _heads(self, top: float) -> float:
        """Each speaker's head height (heavy) and pitch (thin) over the same frames."""
        y = top
        speakers = {line.who for line in self.lines}
        for figure in self.facts.figures:
            if figure.motion.who in speakers:
                self._name(y + 26, f"{figure.motion.who}: head,")
                self._name(y + 42, "pitch (thin)")
                draw_head_curve(self.pen, figure, self.lines, self.scale, y)
                y += CURVE_HEIGHT + 8
        return y

    def _ruler(self, top: float) -> float:
        """A tick a frame, numbers as often as there is room."""
        scale, clock = self.scale, self.facts.clock
        every = _every(clock.rate.nominal, scale.step)
        self.pen.line(scale.left, top + 8, scale.right, top + 8, 1.2, INK)
        for frame in range(scale.first, scale.last + 2):
            index = frame - clock.first_frame
            x = scale.left + (frame - scale.first) * scale.step
            numbered = index % every == 0 and scale.has(frame)
            self.pen.line(x, top + 8, x, top + (17 if numbered else 12), 1.2 if numbered else 0.8)
            if numbered:
                self.pen.add([Label(x + 3, top + 23, str(frame), SMALL)])
        self._name(top + 14, "frames")
        return top + 32

    def _seconds(self, top: float, bottom: float) -> None:
        """A faint upright at every whole second, from the tone line down through the plan."""
        clock = self.facts.clock
        for frame in range(self.scale.first, self.scale.last + 1):
            if (frame - clock.first_frame) % clock.rate.nominal == 0:
                x = self.scale.x(frame)
                self.pen.items.insert(0, Stroke(((x, top), (x, bottom)), 1.0, FAINT))
                label = shown_frame(clock, frame, "seconds")
                self.pen.items.insert(0, Label(x + 4, top + 12, label, 13.0, ink=SOFT, halo=True))

    def _plan(self, top: float, who: str) -> float:
        own = [s for s in self.facts.suggestions_of(who)
               if s.frames[0] <= self.scale.last and s.frames[1] >= self.scale.first]  # fmt: skip
        y = top
        indent = len(self.facts.characters) > 1
        if own:
            if indent:
                self._name(y + 13, who, bold=True)
            self.pen.line(self.scale.left, y, self.scale.right, y, 0.8, FAINT)
        y += 16 if own and indent else 0
        for part in ("whole", *PARTS[:-1]):
            entries = [
                (s.frames, one_line(short_words(move_words(s))), s.hit, s.kind == "accent")
                for s in own
                if s.part == part
            ]
            if entries:
                self._name(y + 14, part)
                y = self._worded(y + 1, entries)
        return y + (8 if own else 0)

    def _poses(self, top: float) -> float:
        several = len(self.facts.characters) > 1
        entries = [
            ((p.frame, p.frame), one_line(
                (f"{who}'s " if several else "") + f"{p.part}: {p.name or 'key pose'}"
            ), p.frame, False)
            for who in self.facts.characters
            for p in self.facts.poses_of(who)
        ]  # fmt: skip
        bottom = self._worded(top, entries)
        if bottom > top:
            self._name(top + 13, "key poses")
        return bottom

    def _notes(self, top: float) -> float:
        entries = [
            (note.frames, one_line(f"{number}{' (done)' if note.done else ''}: {note.text}"),
             None, False)
            for number, note in self.facts.notes
        ]  # fmt: skip
        bottom = self._worded(top + 4, entries)
        if bottom > top + 4:
            self._name(top + 17, "notes")
        return bottom


def _every(nominal: int, step: float) -> int:
    """How many frames apart numbers stand: a divisor of the second, or whole seconds."""
    divisors = [n for n in range(1, nominal + 1) if nominal % n == 0 and n != 3]
    options = [*divisors, *(nominal * n for n in (2, 5, 10, 30, 60, 600))]
    return next((n for n in options if n * step >= 56), options[-1])


def short_words(text: str) -> str:
    """A move's words without its size and what stands in brackets: the picture shows its place."""
    words = text.rsplit(", ", 1)[0] if text[-3:].replace(".", "").isdigit() else text
    return " ".join(words.split())
