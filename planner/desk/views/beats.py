"""The beats: a row a character, each beat as words between brackets at its frames. Pure."""

from __future__ import annotations

from planner.desk import choice, cursor
from planner.desk.choices import BeatAt, Edge
from planner.desk.edits.beats import beat_of, snap_edge, speaker_at
from planner.desk.state import Desk, Top
from planner.desk.views.cells import CHOSEN, CURSOR, UNDER, Canvas, Row, Rows, fitted
from planner.desk.views.looks import HUES, depth_of
from planner.desk.views.more import with_more
from planner.desk.views.panel import Panel, Room, Seen, Spot, beside, label
from planner.scene import Beat

GRAB_COLUMNS = 1  # how far beside an edge still takes hold of it


def beat_rows(desk: Desk) -> Rows:
    """A row a character."""
    window = desk.window
    who_rows = {who: row for row, who in enumerate(desk.scene.characters)}
    canvas = Canvas(window.columns, len(who_rows))
    meant = beat_of(desk)
    for index in desk.facts.beats_between(window.first, window.last):
        beat, frames = desk.scene.beats[index], desk.facts.beat_frames[index]
        assert frames is not None
        chosen = isinstance(desk.choice, BeatAt) and index == meant
        edge = desk.choice.edge if isinstance(desk.choice, BeatAt) and chosen else ""
        columns = window.column(frames[0]), window.column(frames[1])
        look = (tint(desk, beat), CHOSEN if chosen else 0, edge)
        _draw_beat(canvas, who_rows[beat.who], beat, columns, look)
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()


def tint(desk: Desk, beat: Beat) -> str:
    """The role of a beat's words: a hue for the intent, deeper the stronger."""
    return f"tint {desk.facts.hue_of.get(beat.intent, 0) % HUES} {depth_of(beat.strength)}"


def _draw_beat(
    canvas: Canvas, row: int, beat: Beat, columns: tuple[int, int], look: tuple[str, int, str]
) -> None:
    """Brackets at the first and last column, words between; `look`: role, marks, chosen edge."""
    first, last = columns
    role, marks, edge = look
    if last - first < 2:
        canvas.put(row, first, beat.intent[: last - first + 1], role, marks)
        return
    inner_first = max(first + 1, 0)
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
    if beat.play:
        strength += f", {beat.play}"
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
    on = desk.panel == "beats"
    rows: list[Row] = [
        label(who, width, on=on, role="gutter name") for who in desk.scene.characters
    ]
    return tuple(rows)


def draw(desk: Desk, room: Room) -> Seen:
    """As many characters as there is room for."""
    top = first_beat_row(desk, room.height)
    every = beside(beat_gutter(desk, room.gutter), beat_rows(desk))
    seen = every[top : top + room.height]
    return Seen(with_more(seen, top, len(every) - top - len(seen)), Top(top))


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press chooses the beat; near an edge it takes hold of that edge, and a drag moves it."""
    if spot.drag:
        return drag(desk, spot)
    if spot.in_gutter:
        return desk
    row = spot.row + (seen.top.row if seen.top else 0)
    characters = desk.scene.characters
    if row >= len(characters):
        return desk
    return _take(desk, characters[row], spot.frame)


def _take(desk: Desk, who: str, frame: int) -> Desk:
    grab = GRAB_COLUMNS * desk.window.per_column
    near = [
        (i, f)
        for i in desk.facts.beats_between(frame - grab, frame + grab)
        if desk.scene.beats[i].who == who and (f := desk.facts.beat_frames[i]) is not None
    ]
    if not near:
        return choice.let_go_of(desk)
    index, frames = max(near, key=lambda one: one[1][0] <= frame <= one[1][1])
    edge: Edge = "start" if abs(frame - frames[0]) < abs(frame - frames[1]) else "end"
    at = frames[0] if edge == "start" else frames[1]
    chosen = cursor.go_to(choice.chosen(desk, BeatAt(index, edge)), frame)
    return (
        cursor.with_grip(chosen, BeatAt(index, edge), frame) if abs(frame - at) <= grab else chosen
    )


def drag(desk: Desk, spot: Spot) -> Desk:
    """The edge that is held, to the word or the frame under the mouse; one change in all."""
    taken = cursor.as_taken(desk, spot.drag)
    if taken is None:
        return cursor.released(desk)
    assert isinstance(taken.choice, BeatAt)
    return snap_edge(taken, taken.choice, spot.frame)


def _wants(desk: Desk, room: Room) -> int:
    return min(len(desk.scene.characters), max(2, room.screen_rows // 9))


BEATS = Panel("beats", ("move",), draw, _wants, press, keys=True, least=1, keep=3)
