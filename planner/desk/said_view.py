"""The words under the tone line: a row, or a row a speaker where they speak at the same time.

Pure: from a Desk to rows of cells. Words stand at the frames where they begin, whole phrases where
there is no room for words. A word is never written over another: it comes a little late, is cut,
or is left away.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from planner.desk.cells import Canvas, Row, Rows, Run, fitted, joined, padded
from planner.desk.state import Desk, Window
from planner.desk.tone_view import mark_picked
from planner.shot.laid import LaidLine

MOST_LATE = 3  # columns that a word may stand after its own frame
SHORT_ROOM = 4  # in less than this, a cut word needs its letters more than a mark of the cut


@dataclass(frozen=True, slots=True)
class Piece:
    """A word or a phrase: the column where it is said, and how many columns late it may stand."""

    column: int
    text: str
    late: int


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
    pieces = sorted((p for line in seen for p in _pieces(line, window)), key=lambda p: p.column)
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
        canvas.put(0, at, text, "said")
        free = at + len(text) + 1
    mark_picked(canvas, desk)
    return canvas.rows()[0]


def _pieces(line: LaidLine, window: Window) -> list[Piece]:
    """A line's words, or from afar its phrases where the words have no room."""
    words = [Piece(window.column(w.frames[0]), w.text, MOST_LATE) for w in line.words]
    tight = any(b.column - a.column < min(len(a.text), 6) + 1 for a, b in pairwise(words))
    if window.per_column > 1 and tight:
        return [Piece(window.column(p.frames[0]), p.text, 0) for p in line.phrases]
    return words
