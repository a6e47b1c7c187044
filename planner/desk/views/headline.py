"""The head's own curve under the tone line: how far it is up or down, frame by frame. Pure.

Read off the compiled motion, the same that is exported and drawn as a figure. It is the head of the
character whose plan is shown, else of whoever speaks at the cursor.
"""

from __future__ import annotations

import numpy as np

from planner.desk.edits.beats import speaker_at
from planner.desk.state import Desk
from planner.desk.views.braille import ACROSS, Curve
from planner.desk.views.cells import CURSOR, Canvas, Rows
from planner.desk.views.panel import Panel, Room, Seen, beside, label

LEAST_REACH_DEGREES = 8.0  # a still head is not blown up to a shaking one
ROWS = 3


def whose(desk: Desk) -> str:
    """Whose head is drawn."""
    return desk.who or speaker_at(desk, desk.cursor) or desk.scene.characters[0]


def head_rows(desk: Desk, who: str, height: int) -> tuple[Rows, float]:
    """The curve in so many rows, and the degrees at its top."""
    window = desk.window
    canvas = Canvas(window.columns, height)
    assert desk.performance is not None
    motion = desk.performance.of(who)
    up = motion.channel("head.up", exposed=False)
    dots = window.columns * ACROSS
    frames = window.first + np.arange(dots) * window.per_column / ACROSS
    inside = (frames >= motion.first_frame) & (frames <= motion.last_frame)
    at = np.clip(np.round(frames).astype(int) - motion.first_frame, 0, len(up) - 1)
    values = np.interp(frames, motion.first_frame + np.arange(len(up)), up)
    seen = up[at[0] : at[-1] + 1]
    reach = max(LEAST_REACH_DEGREES, float(np.abs(seen).max(initial=0.0)))
    curve = Curve(window.columns, height)
    curve.draw([
        float((v / reach + 1) / 2) if ok else None for v, ok in zip(values, inside, strict=True)
    ])  # fmt: skip
    for (row, column), char in curve.cells().items():
        canvas.put(row, column, char, "head line")
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows(), reach


def draw(desk: Desk, room: Room) -> Seen:
    """The curve with its scale at the left."""
    who = whose(desk)
    rows, reach = head_rows(desk, who, room.height)
    names = [label("", room.gutter)] * room.height
    names[0] = label(f"head up {reach:.0f}°", room.gutter)
    if room.height > 1:
        names[-1] = label(f"down {reach:.0f}°", room.gutter)
    return Seen(beside(tuple(names), rows))


def _wants(desk: Desk, room: Room) -> int:
    return ROWS if desk.performance is not None and room.screen_rows >= 34 else 0


HEADLINE = Panel("headline", ("move",), draw, _wants, least=0, keep=3)
