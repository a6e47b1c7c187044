"""The words under the tone line: a row, or a row a speaker where they speak at the same time.

Pure: from a Desk to rows of cells. Words stand at the frames where they begin, whole phrases where
there is no room for words. A word is never written over another: it comes a little late, is cut,
or is left away.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from planner.desk.choice import frames_of
from planner.desk.choices import Frames, Phrases, Words
from planner.desk.state import Desk
from planner.desk.views.cells import (
    CURSOR,
    PICKED,
    SAID,
    Canvas,
    Row,
    Rows,
    Run,
    fitted,
    joined,
    padded,
)
from planner.shot.laid import LaidLine

MOST_LATE = 3  # columns that a word may stand after its own frame
SHORT_ROOM = 4  # in less than this, a cut word needs its letters more than a mark of the cut


@dataclass(frozen=True, slots=True)
class Piece:
    """A word or a phrase: the column where it is said, and how many columns late it may stand."""

    column: int
    text: str
    late: int
    role: str = "said"
    marks: int = 0


def said_row_count(desk: Desk) -> int:
    """How many rows the words take."""
    return max(1, len(desk.laid.speakers))


def said_rows(desk: Desk, gutter: int) -> Rows:
    """The words of what is visible, gutter included."""
    lanes = desk.laid.speakers or ((),)
    on = desk.panel == "words"
    rows = []
    for place, lane in enumerate(lanes):
        name = _label(lane, gutter - 3) if len(lanes) > 1 else "said"
        label = padded(name + (" ›" if on and not place else ""), gutter - 1, right=True) + " "
        rows.append(joined((Run(label, "gutter on" if on else "gutter"),), said_row(desk, lane)))
    return tuple(rows)


def _label(speakers: tuple[str, ...], room: int) -> str:
    """Whose words stand in a row."""
    if len(speakers) > 1:
        return "others say"
    says = f"{speakers[0]} says"
    return says if len(says) <= room else speakers[0]


def said_row(desk: Desk, speakers: tuple[str, ...]) -> Row:
    """The words of some speakers."""
    window = desk.window
    canvas = Canvas(window.columns, 1)
    seen = [x for x in desk.laid.between(window.first, window.last) if x.who in speakers]
    pieces = sorted((p for line in seen for p in _pieces(desk, line)), key=lambda p: p.column)
    limits = [*(piece.column + piece.late for piece in pieces[1:]), canvas.width + MOST_LATE]
    free = -canvas.width
    for piece, limit in zip(pieces, limits, strict=False):
        at = max(piece.column, free)
        if at < 0 < at + len(piece.text):  # it goes on into the window
            at = 0
        if at > piece.column + MOST_LATE and at > 0:
            continue
        room = max(1, limit - at - 1)
        text = piece.text[:room] if room < SHORT_ROOM else fitted(piece.text, room)
        canvas.put(0, at, text, piece.role, piece.marks)
        free = at + len(text) + 1
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    if isinstance(desk.choice, Words | Frames | Phrases):
        frames = frames_of(desk, desk.choice)
        if frames is not None:
            canvas.mark(0, window.column(frames[0]), window.column(frames[1]), PICKED)
    return canvas.rows()[0]


def _pieces(desk: Desk, line: LaidLine) -> list[Piece]:
    """A line's words, or from afar its phrases where the words have no room.

    Stressed words are heavy; the one under the cursor is lit.
    """
    window = desk.window
    strong = {s.word: "said main" if s.main else "said strong"
              for s in line.syllables if s.degree == "strong"}  # fmt: skip
    words = [
        Piece(window.column(w.frames[0]), w.text, MOST_LATE, strong.get(w.number, "said"),
              SAID if w.frames[0] <= desk.cursor <= w.frames[1] else 0)
        for w in line.words
        if w.frames[1] >= window.first - 1 and w.frames[0] <= window.last
    ]  # fmt: skip
    tight = any(b.column - a.column < min(len(a.text), 6) + 1 for a, b in pairwise(words))
    if window.per_column > 1 and tight:
        return [Piece(window.column(p.frames[0]), p.text, 0) for p in line.phrases]
    return words
