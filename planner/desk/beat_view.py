"""The beats: a row a character, each beat as words between brackets at its frames.

Pure: from a Desk to rows of cells.
"""

from __future__ import annotations

from planner.desk.beat_frames import beat_frames
from planner.desk.cells import CHOSEN, CURSOR, UNDER, Canvas, Rows, Run, fitted, padded
from planner.desk.state import BeatAt, Desk
from planner.desk.tagging import beat_of, speaker_at
from planner.scene import Beat


def beat_rows(desk: Desk) -> Rows:
    """A row a character."""
    window = desk.window
    who_rows = {who: row for row, who in enumerate(desk.scene.characters)}
    canvas = Canvas(window.columns, len(who_rows))
    meant = beat_of(desk)
    for index, beat in enumerate(desk.scene.beats):
        frames = beat_frames(desk.laid, beat)
        if frames is None or frames[1] < window.first or frames[0] > window.last:
            continue
        chosen = isinstance(desk.choice, BeatAt) and index == meant
        marks = CHOSEN if chosen else 0
        edge = desk.choice.edge if isinstance(desk.choice, BeatAt) and marks else ""
        columns = window.column(frames[0]), window.column(frames[1])
        role = "beat on" if index == meant else "beat"
        _draw(canvas, who_rows[beat.who], beat, columns, (role, marks, edge))
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()


def _draw(
    canvas: Canvas, row: int, beat: Beat, columns: tuple[int, int], look: tuple[str, int, str]
) -> None:
    """Brackets at the first and last column, words between; `look`: role, marks, chosen edge."""
    first, last = columns
    role, marks, edge = look
    if last - first < 2:
        canvas.put(row, first, beat.intent[: last - first + 1], role, marks)
        return
    inner_first = max(first + 1, 1 if first < 0 else first + 1)
    room = min(last, canvas.width) - inner_first
    text = next((t for t in wordings(beat) if len(t) <= room), None)
    if text is None:
        text = fitted(beat.intent, room)
    canvas.put(row, first, "[", "beat edge" if edge == "start" else role, marks)
    canvas.put(row, inner_first, text.ljust(max(0, last - inner_first)), role, marks)
    canvas.put(row, last, "]", "beat edge" if edge == "end" else role, marks)
    canvas.mark(row, first, last, UNDER)


def wordings(beat: Beat) -> tuple[str, ...]:
    """A beat in words, longest first."""
    strength = f"{beat.intent} {beat.strength:g}"
    toward = f"{strength} toward {beat.toward}" if beat.toward else strength
    noted = f"{toward}: {beat.note}" if beat.note else toward
    return (noted, toward, strength, beat.intent)


def first_beat_row(desk: Desk, height: int) -> int:
    """The first row shown, so that the chosen beat is in sight, or whoever speaks at the cursor."""
    characters = desk.scene.characters
    meant = beat_of(desk)
    who = speaker_at(desk, desk.cursor) if meant is None else desk.scene.beats[meant].who
    place = characters.index(who) if who in characters else 0
    return max(0, min(place - height // 2, len(characters) - height))


def beat_gutter(desk: Desk, width: int) -> Rows:
    """The characters' names."""
    mark, role = ("›", "gutter on") if desk.panel == "beats" else (" ", "gutter name")
    return tuple(
        (Run(padded(who, width - 1, right=True) + mark, role),) for who in desk.scene.characters
    )
