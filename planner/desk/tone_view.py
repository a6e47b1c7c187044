"""The tone line: each syllable as text at the height of its pitch, over the columns of the ruler.

Pure: from a Desk to rows of cells. Heavier where stressed, and a mark above, after the accents of
musical notation: `>` a stress, `^` the strongest of its phrase. From a strong syllable a stem goes
down to the frame of its vowel's onset. Where a listener hears the pitch move, it is drawn with
slanted strokes, and level where it stays; other voice is dotted. Pauses and breaths are words.
Heights are semitones from each speaker's own median, one scale for the whole scene.
"""

from __future__ import annotations

from dataclasses import replace

from planner.desk.cells import CURSOR, PICKED, Canvas, Row, Rows, Run, fitted, padded
from planner.desk.state import Desk, Frames, Window, Words
from planner.shot.laid import LaidLine, LaidSpan, LaidSyllable

STROKES = {1: "╱", -1: "╲", 0: "─"}
WEIGHT = {"strong": 2, "light": 1, "none": 0}  # and 3 where the phrase is strongest
LEAST_WEIGHT = {1: 0, 2: 0, 4: 1, 8: 2, 16: 3}  # of what is printed, by frames a column
FAR = 4  # frames a column from which words are printed instead of syllables
SPAN_WORDS = {
    "pause": ("pause {n}", "p{n}"), "breath": ("breath in", "breath", "br"),
    "laugh": ("laughs", "ha"), "sigh": ("sighs", "sigh"),
}  # fmt: skip


class _Scale:
    """Which row a height has: row 0 is kept for the marks above."""

    def __init__(self, desk: Desk, height: int) -> None:
        self.top = 1 if height > 3 else 0
        self.rows = max(1, height - self.top)
        self.low, self.high = desk.laid.low_st, desk.laid.high_st

    def row(self, semitones: float) -> int:
        share = (self.high - semitones) / (self.high - self.low)
        return self.top + round(min(1.0, max(0.0, share)) * (self.rows - 1))

    def semitones(self, row: int) -> float:
        share = (row - self.top) / max(1, self.rows - 1)
        return self.high - share * (self.high - self.low)


def tone_rows(desk: Desk, height: int) -> Rows:
    """The tone line of what is visible, in so many rows."""
    window = desk.window
    canvas = Canvas(window.columns, height)
    scale = _Scale(desk, height)
    seen = desk.laid.between(window.first, window.last)
    for line in seen:
        _draw_voice(canvas, window, scale, line)
    for line in seen:
        _draw_stems(canvas, window, scale, line)
        for span in line.spans:
            _draw_span(canvas, window, span, scale.row(0.0))
    for line in seen:
        for syllable in _printed(line, window):
            _draw_syllable(canvas, window, scale, syllable)
    mark_picked(canvas, desk)
    return canvas.rows()


def _printed(line: LaidLine, window: Window) -> list[LaidSyllable]:
    """The syllables in sight that are printed, heaviest first; from afar, stressed words only."""
    least = LEAST_WEIGHT[window.per_column]
    found = [
        s
        for s in line.syllables
        if s.frames[0] <= window.last and s.frames[1] >= window.first and _weight(s) >= least
    ]
    if window.per_column >= FAR:
        found = [replace(s, text=line.words[s.word - 1].text) if s.word else s for s in found]
    return sorted(found, key=lambda s: (-_weight(s), s.frames[0]))


def _weight(syllable: LaidSyllable) -> int:
    return 3 if syllable.main else WEIGHT[syllable.degree]


def tone_gutter(desk: Desk, height: int, width: int) -> Rows:
    """The scale beside the tone line: semitones from the speaker's median."""
    scale = _Scale(desk, height)
    labels: dict[int, str] = {}
    step = next(s for s in (2, 3, 4, 6, 12, 24) if s * scale.rows >= (scale.high - scale.low) * 2)
    for semitones in range(-48, 49, step):
        if scale.low <= semitones <= scale.high:
            labels[scale.row(semitones)] = f"{semitones:+d}" if semitones else "0 st"
    return tuple(
        (Run(padded(labels.get(row, ""), width - 1, right=True) + " ", "gutter"),)
        for row in range(height)
    )


def _draw_voice(canvas: Canvas, window: Window, scale: _Scale, line: LaidLine) -> None:
    """Strokes where the pitch is heard to move, dots elsewhere."""
    audible = [g.frames for g in line.glides if g.audible and g.shape != "level"]
    level = [g.frames for g in line.glides if g.shape == "level"]
    rows = [_column_row(window, scale, line, column) for column in range(-1, window.columns + 1)]
    for column in range(window.columns):
        row, following = rows[column + 1], rows[column + 2]
        if row is None:
            continue
        first = window.frame(column)
        last = first + window.per_column - 1
        if any(a <= last and b >= first for a, b in audible):
            _stroke(canvas, column, row, following)
        elif any(a <= last and b >= first for a, b in level):
            canvas.put(row, column, STROKES[0], "glide")
        else:
            canvas.put(row, column, "·", "contour")


def _column_row(window: Window, scale: _Scale, line: LaidLine, column: int) -> int | None:
    first = window.frame(column)
    heights = [
        h for frame in range(first, first + window.per_column)
        if (h := line.height_at(frame)) == h
    ]  # fmt: skip
    return scale.row(sum(heights) / len(heights)) if heights else None


def _stroke(canvas: Canvas, column: int, row: int, following: int | None) -> None:
    """A stroke toward the next column's height, as tall as the step."""
    if following is None or following == row:
        canvas.put(row, column, STROKES[0], "glide")
        return
    way = 1 if following < row else -1
    for between in range(row, following, -way):
        canvas.put(between, column, STROKES[way], "glide")


def _draw_stems(canvas: Canvas, window: Window, scale: _Scale, line: LaidLine) -> None:
    for syllable in line.syllables:
        if syllable.degree != "strong" or (window.per_column >= FAR and not syllable.main):
            continue
        column = window.column(syllable.hit)
        for row in range(scale.row(syllable.semitones) + 1, canvas.height):
            canvas.put(row, column, "┃" if syllable.main else "╎", "stem")


def _draw_span(canvas: Canvas, window: Window, span: LaidSpan, row: int) -> None:
    """A pause or breath, as the longest wording that has room; a breath stands a row higher."""
    first, last = window.column(span.frames[0]), window.column(span.frames[1])
    if last < 0 or first >= canvas.width:
        return
    row = row if span.kind == "pause" else max(0, row - 2)
    count = span.frames[1] - span.frames[0] + 1
    wordings = SPAN_WORDS.get(span.kind, (span.kind,))
    for wording in wordings[:1] if window.per_column >= FAR else wordings:
        text = wording.format(n=count)
        if len(text) <= last - first + 1:
            start = first + (last - first + 1 - len(text)) // 2
            canvas.put(row, start, text, "pause" if span.kind == "pause" else "breath")
            return


def _draw_syllable(canvas: Canvas, window: Window, scale: _Scale, syllable: LaidSyllable) -> None:
    """The text at its height, cut to what is free there; nothing if not even a letter is."""
    column = max(0, window.column(syllable.frames[0]))
    row = scale.row(syllable.semitones)
    role = "main" if syllable.main else str(syllable.degree)
    for at in (row, row - 1, row + 1):
        text = _free_text(canvas, at, column, syllable.text)
        enough = len(syllable.text) if at != row else min(2, len(syllable.text))
        if len(text) >= enough and at >= scale.top:
            canvas.put(at, column, text, role)
            _draw_mark(canvas, window, syllable, at, column, column + len(text) - 1)
            return


def _free_text(canvas: Canvas, row: int, column: int, text: str) -> str:
    room = 0
    while room < len(text) and column + room < canvas.width:
        if not canvas.is_free(row, column + room, column + room):
            break
        room += 1
    after = canvas.is_free(row, column + room, column + room) or column + room >= canvas.width
    return text[:room] if room == len(text) and after else fitted(text, max(0, room - (not after)))


def _draw_mark(
    canvas: Canvas, window: Window, syllable: LaidSyllable, row: int, first: int, last: int
) -> None:
    if syllable.degree == "strong":
        column = min(max(window.column(syllable.hit), first), last)
        if not canvas.is_free(row - 1, column, column):
            return
        canvas.put(row - 1, column, "^" if syllable.main else ">", "stress mark")


def mark_picked(canvas: Canvas, desk: Desk) -> None:
    """The cursor's column, and what is picked."""
    window = desk.window
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    frames = picked_frames(desk)
    if frames:
        for row in range(canvas.height):
            canvas.mark(row, window.column(frames[0]), window.column(frames[1]), PICKED)


def picked_frames(desk: Desk) -> tuple[int, int] | None:
    """The frames of the picked words, or the picked frames."""
    match desk.choice:
        case Frames(first, last):
            return (first, last)
        case Words(number, first, last):
            line = desk.laid.line(number)
            if line is not None and line.words:
                return (line.words[first - 1].frames[0], line.words[last - 1].frames[1])
    return None


def stress_row(desk: Desk) -> Row:
    """Under the tone line: the frame of each strong stress, at its column, the main ones first."""
    window = desk.window
    canvas = Canvas(window.columns, 1)
    stressed = [
        (not s.main, s.hit, s.main)
        for line in desk.laid.between(window.first, window.last)
        for s in line.syllables
        if s.degree == "strong" and window.first <= s.hit <= window.last
    ]
    for _, hit, main in sorted(stressed):
        column = window.column(hit)
        text = str(hit)
        fits = column + len(text) <= canvas.width
        if fits and canvas.is_free(0, column - 1, column + len(text)):
            canvas.put(0, column, text, "main frame" if main else "stress frame")
        elif canvas.is_blank(0, column):
            canvas.put(0, column, "'", "stress frame")
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()[0]
