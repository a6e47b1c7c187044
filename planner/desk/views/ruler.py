"""The ruler: frames, timecode, seconds or feet+frames over the columns. Pure."""

from __future__ import annotations

from planner.desk import cursor
from planner.desk.choices import Frames
from planner.desk.state import Desk
from planner.desk.units import shown_here
from planner.desk.views.cells import PICKED, Canvas, Rows
from planner.desk.views.panel import Panel, Room, Seen, Spot, beside, label

LABEL_GAP = 2  # columns between two labels
FRAME_STEPS = (1, 2, 4, 8, 12, 16, 24, 48, 96, 192, 384, 768, 1536)
UNIT_NAMES = {
    "frames": "frame", "timecode": "timecode", "seconds": "seconds", "feet": "feet+frames",
}  # fmt: skip


def ruler_rows(desk: Desk) -> Rows:
    """Two rows: the labels, and below each label a tick, with finer ticks between."""
    window, first = desk.window, desk.scene.clock.first_frame
    canvas = Canvas(window.columns, 2)
    step = label_step(desk)
    fine = max(window.per_column, step // 4)
    low, high = desk.laid.shot
    here, taken = _cursor_label(desk)
    for column in range(window.columns):
        frame = window.frame(column)
        if frame + window.per_column <= low or frame > high:
            continue
        labelled = _multiple_in(frame - first, window.per_column, step)
        if labelled is not None:
            text = shown_here(desk, labelled + first)
            clear = column > taken.stop or column + len(text) < taken.start
            if clear and column + len(text) <= window.columns:
                canvas.put(0, column, text, "label")
            canvas.put(1, column, "╵", "label")
        elif _multiple_in(frame - first, window.per_column, fine) is not None:
            canvas.put(1, column, "·", "tick")
    if (after := window.column(high) + 1) < window.columns and high >= window.first:
        canvas.put(1, after, "▏end of the shot", "tick")
    if isinstance(desk.choice, Frames):
        canvas.mark(1, window.column(desk.choice.first), window.column(desk.choice.last), PICKED)
    if taken:
        canvas.put(0, taken.start, here, "cursor label")
        canvas.put(1, window.column(desk.cursor), "┃", "cursor label")
    return canvas.rows()


def _multiple_in(index: int, count: int, step: int) -> int | None:
    """The first multiple of `step` among `count` indexes from `index` on."""
    first = -(-index // step) * step
    return first if first < index + count else None


def _cursor_label(desk: Desk) -> tuple[str, range]:
    """The cursor's own label and the columns it takes (none if the cursor is not seen)."""
    column = desk.window.column(desk.cursor)
    text = shown_here(desk, desk.cursor)
    if not 0 <= column < desk.window.columns:
        return text, range(0)
    start = max(0, min(column, desk.window.columns - len(text)))
    return text, range(start, start + len(text))


def label_step(desk: Desk) -> int:
    """Frames between two labels, so that they never touch."""
    width = len(shown_here(desk, desk.laid.shot[1])) + LABEL_GAP
    needed = width * desk.window.per_column
    nominal = desk.scene.rate.nominal
    steps: tuple[int, ...] = FRAME_STEPS
    if desk.unit in ("timecode", "seconds"):
        seconds = (1, 2, 5, 10, 20, 30, 60, 120, 300)
        steps = (*(s for s in (nominal // 4, nominal // 2) if s), *(nominal * s for s in seconds))
    return next((step for step in steps if step >= needed), needed)


def draw(desk: Desk, room: Room) -> Seen:
    """The ruler with its unit at the left."""
    names = (label(UNIT_NAMES[desk.unit], room.gutter), label("", room.gutter))
    return Seen(beside(names, ruler_rows(desk)))


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press puts the cursor there, a drag picks frames."""
    if spot.drag == 0:
        return cursor.go_to(desk, spot.frame)
    if spot.drag == 1 and (spot.frame != desk.cursor or isinstance(desk.choice, Frames)):
        anchor = desk.choice.anchor if isinstance(desk.choice, Frames) else desk.cursor
        return cursor.pick_frames(desk, anchor, spot.frame)
    return desk


def _wants(desk: Desk, room: Room) -> int:
    return 2


RULER = Panel("ruler", ("move", "mend"), draw, _wants, press, least=2, keep=1)
