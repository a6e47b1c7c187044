"""Notes over the frames they are about: an open one as written, a done one struck. Pure."""

from __future__ import annotations

from planner.desk.choice import choose
from planner.desk.choices import NoteAt
from planner.desk.state import Desk
from planner.desk.views.cells import CHOSEN, CURSOR, UNDER, Canvas, Rows, fitted
from planner.desk.views.panel import Panel, Room, Seen, Spot, beside, label
from planner.scene import Note

NOTE_ROOM = 12  # columns; notes nearer than this share a place, the others are counted


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
        text = fitted(note_text(note), limit - column - len(more)) + more
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
    ordered = sorted(enumerate(desk.facts.notes), key=lambda entry: entry[1].frames)
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


def note_text(note: Note) -> str:
    """A note as it is shown: by whom, and whether it is answered."""
    signed = f"{note.by}: {note.text}" if note.by else note.text
    return f"done: {signed}" if note.done else f"“{signed}”"


def draw(desk: Desk, room: Room) -> Seen:
    """The notes, with their name at the left."""
    names = [label("notes", room.gutter, on=desk.panel == "notes")]
    names += [label("", room.gutter)] * (room.height - 1)
    return Seen(beside(tuple(names), note_rows(desk, room.height)))


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """Choose the note that begins last before the spot."""
    if spot.drag or spot.in_gutter:
        return desk
    before = [(n.frames[0], i) for i, n in enumerate(desk.facts.notes) if n.frames[0] <= spot.frame]
    return choose(desk, NoteAt(max(before)[1])) if before else desk


def _wants(desk: Desk, room: Room) -> int:
    if not desk.scene.notes and desk.panel != "notes":
        return 1 if room.screen_rows >= 30 else 0
    return 2 if room.screen_rows >= 40 else 1


NOTES = Panel("notes", ("move", "mend"), draw, _wants, press, keys=True, least=0, keep=3)
