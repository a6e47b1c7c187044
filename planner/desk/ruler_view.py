"""The ruler: frames, timecode, seconds or feet+frames over the columns, and the notes above it.

Pure: from a Desk to rows of cells. The notes stand at their frames; an open one reads as it is
written, a done one is struck through by its role.
"""

from __future__ import annotations

from planner.desk.cells import CHOSEN, CURSOR, PICKED, UNDER, Canvas, Rows, fitted
from planner.desk.choosing import notes_now
from planner.desk.state import Desk, Frames, NoteAt, Unit
from planner.frames import Clock, feet_and_frames, timecode
from planner.scene import Note

LABEL_GAP = 2  # columns between two labels
NOTE_ROOM = 12  # columns; notes nearer than this share a place, the others are counted
FRAME_STEPS = (1, 2, 4, 8, 12, 16, 24, 48, 96, 192, 384, 768, 1536)


def shown(frame: int, unit: Unit, clock: Clock) -> str:
    """A frame in the ruler's unit."""
    index = frame - clock.first_frame
    if unit == "timecode":
        return timecode(index, clock.rate)
    if unit == "seconds":
        return f"{clock.scene_s(frame):.2f}s"
    if unit == "feet":
        return feet_and_frames(index)
    return str(frame)


def ruler_rows(desk: Desk) -> Rows:
    """Two rows: the labels, and below each label a tick, with finer ticks between."""
    window, clock = desk.window, desk.scene.clock
    canvas = Canvas(window.columns, 2)
    step = label_step(desk)
    fine = max(window.per_column, step // 4)
    low, high = desk.laid.shot
    here, taken = _cursor_label(desk)
    for column in range(window.columns):
        frame = window.frame(column)
        if frame + window.per_column <= low or frame > high:
            continue
        labelled = _multiple_in(frame - clock.first_frame, window.per_column, step)
        if labelled is not None:
            label = shown(labelled + clock.first_frame, desk.unit, clock)
            if column > taken.stop or column + len(label) < taken.start:
                canvas.put(0, column, label, "label")
            canvas.put(1, column, "╵", "label")
        elif _multiple_in(frame - clock.first_frame, window.per_column, fine) is not None:
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
    text = shown(desk.cursor, desk.unit, desk.scene.clock)
    if not 0 <= column < desk.window.columns:
        return text, range(0)
    start = max(0, min(column, desk.window.columns - len(text)))
    return text, range(start, start + len(text))


def label_step(desk: Desk) -> int:
    """Frames between two labels, so that they never touch."""
    width = len(shown(desk.laid.shot[1], desk.unit, desk.scene.clock)) + LABEL_GAP
    needed = width * desk.window.per_column
    nominal = desk.scene.rate.nominal
    steps: tuple[int, ...] = FRAME_STEPS
    if desk.unit in ("timecode", "seconds"):
        seconds = (1, 2, 5, 10, 20, 30, 60, 120, 300)
        steps = (*(s for s in (nominal // 4, nominal // 2) if s), *(nominal * s for s in seconds))
    return next((step for step in steps if step >= needed), needed)


def note_rows(desk: Desk, height: int) -> Rows:
    """The notes at their frames; what has no room beside an earlier one goes a row down."""
    window = desk.window
    canvas = Canvas(window.columns, height)
    ends = [-1] * height
    for place, members in enumerate(groups := _note_groups(desk)):
        index, note = members[0]
        column = max(0, window.column(note.frames[0]))
        row = next((r for r in range(height) if ends[r] < column), height - 1)
        following = groups[place + height : place + height + 1]
        limit = window.column(following[0][0][1].frames[0]) - 1 if following else window.columns
        more = f" +{len(members) - 1}" if len(members) > 1 else ""
        text = fitted(_note_text(note.text, note.by, note.done), limit - column - len(more)) + more
        marks = CHOSEN if desk.choice == NoteAt(index) else 0
        canvas.put(row, column, text, "note done" if note.done else "note", marks)
        canvas.mark(row, column, max(column, window.column(note.frames[1])), UNDER)
        ends[row] = column + len(text)
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()


def _note_groups(desk: Desk) -> list[list[tuple[int, Note]]]:
    """The notes in sight, those too near each other together: first the chosen, then the open."""
    window = desk.window
    groups: list[list[tuple[int, Note]]] = []
    begin = 0
    ordered = sorted(enumerate(notes_now(desk)), key=lambda entry: entry[1].frames)
    for index, note in ordered:
        if note.frames[0] > window.last or note.frames[1] < window.first:
            continue
        column = max(0, window.column(note.frames[0]))
        if groups and column - begin < NOTE_ROOM:
            groups[-1].append((index, note))
        else:
            groups.append([(index, note)])
            begin = column
    for members in groups:
        members.sort(key=lambda entry: (desk.choice != NoteAt(entry[0]), entry[1].done))
    return groups


def _note_text(text: str, by: str, done: bool) -> str:
    signed = f"{by}: {text}" if by else text
    return f"done: {signed}" if done else f"“{signed}”"
