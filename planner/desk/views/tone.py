"""The tone line: pitch as one unbroken curve over the columns of the ruler, and the words below.

Pure. The curve is drawn in braille dots, two a frame; where no voice is, a short gap is bridged by
a thin line. Syllables that bear a stress stand above it, after a mark of musical notation: `>` a
stress, `^` the strongest of its phrase; from there a stem goes down to the frame of the vowel's
onset. Pauses and breaths are words. Heights are semitones from each speaker's own median, one scale
for the whole scene, which stray octaves do not stretch (`facts.scale_st`).
"""

from __future__ import annotations

from planner.desk import choice as choices
from planner.desk import cursor
from planner.desk.choice import frames_of
from planner.desk.choices import Frames, Phrases, Words
from planner.desk.state import Desk, Window
from planner.desk.views.braille import ACROSS, Curve, bridged
from planner.desk.views.cells import CURSOR, Canvas, Row, Rows, Run, padded
from planner.desk.views.panel import Panel, Room, Seen, Spot, beside, label
from planner.desk.views.said import said_row_count, said_rows
from planner.shot.laid import LaidLine, LaidSpan, LaidSyllable, LaidWord

FAR = 4  # frames a column from which only main accents are named
LONGEST_BRIDGE_S = 0.15  # a stop or a hiss; a longer gap is a pause and stays open
HOLE = 2  # dots without a sample that are no gap
LEAST_TONE, MOST_TONE = 5, 14  # rows of the curve
NEAR_WORD = 2  # frames beside a word that still mean it
SPAN_WORDS = {
    "pause": ("pause {n}", "p{n}"), "breath": ("breath in", "breath", "br"),
    "laugh": ("laughs", "ha"), "sigh": ("sighs", "sigh"),
}  # fmt: skip


class _Scale:
    """Heights as shares of the field, 1.0 at the top; the topmost row is kept for names."""

    def __init__(self, desk: Desk, height: int) -> None:
        self.low, self.high = desk.facts.scale_st
        self.top = 1 if height > 3 else 0
        self.rows = max(1, height - self.top)

    def share(self, semitones: float) -> float:
        return min(1.0, max(0.0, (semitones - self.low) / (self.high - self.low)))

    def row(self, semitones: float) -> int:
        return self.top + round((1.0 - self.share(semitones)) * (self.rows - 1))


def tone_rows(desk: Desk, height: int) -> Rows:
    """The tone line of what is visible, in so many rows."""
    window = desk.window
    canvas = Canvas(window.columns, height)
    scale = _Scale(desk, height)
    seen = desk.laid.between(window.first, window.last)
    for line in seen:
        for syllable in _named(line, window):
            _draw_stem(canvas, window, scale, syllable)
    for line in seen:
        _draw_curve(canvas, desk, scale, line)
        for span in line.spans:
            _draw_span(canvas, window, span, canvas.height - 1)
    for line in seen:
        for syllable in _named(line, window):
            _draw_name(canvas, window, scale, syllable)
    mark_picked(canvas, desk)
    return canvas.rows()


def _named(line: LaidLine, window: Window) -> list[LaidSyllable]:
    """The stressed syllables in sight, the main ones first; from afar those alone."""
    found = [
        s for s in line.syllables
        if s.degree == "strong" and window.first <= s.hit <= window.last
        and (s.main or window.per_column < FAR)
    ]  # fmt: skip
    return sorted(found, key=lambda s: (not s.main, s.hit))


def _draw_curve(canvas: Canvas, desk: Desk, scale: _Scale, line: LaidLine) -> None:
    """The pitch, joined; bright where a listener hears it move."""
    window = desk.window
    heights = desk.facts.tone(line.number, window.first, window.per_column, window.columns * ACROSS)
    shares = [None if h is None else scale.share(h) for h in heights]
    dots_a_second = desk.scene.rate.nominal * ACROSS / window.per_column
    thin = Curve(window.columns, scale.rows)
    thin.draw(bridged(shares, max(HOLE, round(LONGEST_BRIDGE_S * dots_a_second))))
    curve = Curve(window.columns, scale.rows)
    small = bridged(shares, HOLE)
    curve.draw([b if a is None else a for a, b in zip(shares, small, strict=True)])
    audible = [g.frames for g in line.glides if g.audible and g.shape != "level"]
    for cells, bridge in ((thin.cells(), True), (curve.cells(), False)):
        for (row, column), char in cells.items():
            first = window.frame(column)
            last = first + window.per_column - 1
            moving = any(a <= last and b >= first for a, b in audible)
            role = "bridge" if bridge else "glide" if moving else "contour"
            canvas.put(scale.top + row, column, char, role)


def _draw_stem(canvas: Canvas, window: Window, scale: _Scale, syllable: LaidSyllable) -> None:
    column = window.column(syllable.hit)
    for row in range(scale.row(syllable.semitones) + 1, canvas.height):
        canvas.put(row, column, "┃" if syllable.main else "╎", "stem")


def _draw_name(canvas: Canvas, window: Window, scale: _Scale, syllable: LaidSyllable) -> None:
    """Mark and syllable above the curve, where there is room; the mark stands on the frame."""
    column = window.column(syllable.hit)
    text = ("^" if syllable.main else ">") + syllable.text
    row = scale.row(syllable.semitones) - 1
    start = min(column, max(0, canvas.width - len(text)))
    over = range(row, -1, -1)  # above the curve if it can be, else over it
    clear = (at for at in over if all(canvas.is_blank(at, start + i) for i in range(len(text))))
    free = (at for at in over[:3] if canvas.is_free(at, start, start + len(text)))
    at = next(clear, next(free, None))
    if at is not None:
        canvas.put(at, start, text, "main" if syllable.main else "strong")
        return
    if row >= 0 and canvas.is_free(row, column, column):
        canvas.put(row, column, text[0], "main" if syllable.main else "strong")


def _draw_span(canvas: Canvas, window: Window, span: LaidSpan, row: int) -> None:
    """A pause or breath, as the longest wording that has room; a breath stands a row higher."""
    first, last = window.column(span.frames[0]), window.column(span.frames[1])
    if last < 0 or first >= canvas.width:
        return
    row = row if span.kind == "pause" else max(0, row - 1)
    count = span.frames[1] - span.frames[0] + 1
    wordings = SPAN_WORDS.get(span.kind, (span.kind,))
    for wording in wordings[:1] if window.per_column >= FAR else wordings:
        text = wording.format(n=count)
        start = first + (last - first + 1 - len(text)) // 2
        if len(text) <= last - first + 1 and canvas.is_free(row, start, start + len(text) - 1):
            canvas.put(row, start, text, "pause" if span.kind == "pause" else "breath")
            return


def tone_gutter(desk: Desk, height: int, width: int) -> Rows:
    """The scale beside the tone line: semitones from the speaker's median."""
    scale = _Scale(desk, height)
    reach = scale.high - scale.low
    step = next((s for s in (2, 3, 4, 6, 12) if s * scale.rows >= reach * 2), 24)
    labels = {
        scale.row(semitones): f"{semitones:+d}" if semitones else "0 st"
        for semitones in range(-48, 49, step)
        if scale.low <= semitones <= scale.high
    }
    return tuple(
        (Run(padded(labels.get(row, ""), width - 1, right=True) + " ", "gutter"),)
        for row in range(height)
    )


def mark_picked(canvas: Canvas, desk: Desk) -> None:
    """The cursor's column."""
    canvas.mark_column(desk.window.column(desk.cursor), CURSOR)


def picked_frames(desk: Desk) -> tuple[int, int] | None:
    """The frames of the picked words, phrases or frames."""
    picked = isinstance(desk.choice, Words | Frames | Phrases)
    return frames_of(desk, desk.choice) if picked else None


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


def draw(desk: Desk, room: Room) -> Seen:
    """The curve, the frames of its stresses, the words."""
    said = said_rows(desk, room.gutter)
    tone = max(1, room.height - 1 - len(said))
    stresses = (*label("stressed at", room.gutter), *stress_row(desk))
    curve = beside(tone_gutter(desk, tone, room.gutter), tone_rows(desk, tone))
    return Seen((*curve, stresses, *said)[: room.height])


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press chooses the word there, or puts the cursor; a drag picks words."""
    if spot.in_gutter:
        return desk
    found = _word_at(desk, spot.frame)
    if spot.drag == 0:
        if found is None:
            return choices.let_go_of(cursor.go_to(desk, spot.frame))
        return choices.choose(desk, Words(found[0], found[1].number, found[1].number))
    return desk if found is None else choices.stretch_words(desk, found[0], found[1].number)


def _word_at(desk: Desk, frame: int) -> tuple[int, LaidWord] | None:
    """The word at a frame; just before or after a word counts when nothing else is there."""
    at = desk.laid.word_at(frame)
    if at is not None:
        return at[0].number, at[1]
    for line in desk.laid.between(frame - NEAR_WORD, frame + NEAR_WORD):
        for word in line.words:
            if word.frames[0] - NEAR_WORD <= frame <= word.frames[1] + NEAR_WORD:
                return line.number, word
    return None


def _wants(desk: Desk, room: Room) -> int:
    rows = min(MOST_TONE, max(LEAST_TONE, round(room.screen_rows * 0.24)))
    return rows + 1 + said_row_count(desk)


TONE = Panel("words", ("move", "mend"), draw, _wants, press, keys=True, least=4, keep=2)
