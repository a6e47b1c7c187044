"""Where the eye is: cursor, window, zoom, picked frames. Pure functions from Desk to Desk.

The cursor is a frame of the shot; the window follows it.
"""

from __future__ import annotations

from dataclasses import replace

from planner.desk.choices import BeatAt, Frames, PoseAt, SuggestionOf
from planner.desk.state import UNITS, ZOOMS, Desk, Grip, Panel, on_scene, say

SPARE_COLUMNS = 4  # kept between the cursor and the window's edge
ROOM_AHEAD = 0.7  # of the window, ahead of the cursor where the window moves on


def go_to(desk: Desk, frame: int) -> Desk:
    """The cursor on a frame of the shot; the window follows."""
    first, last = desk.laid.shot
    frame = min(max(frame, first), last)
    return _seen(replace(desk, cursor=frame))


def step_cursor(desk: Desk, by: int) -> Desk:
    """The cursor by so many frames."""
    return go_to(replace(desk, said=""), desk.cursor + by)


def page(desk: Desk, pages: float) -> Desk:
    """The window and the cursor by a part of a screen."""
    return pan(go_to(desk, desk.cursor + _frames_of(desk, pages)), 0)


def pan(desk: Desk, columns: int) -> Desk:
    """The window by so many columns; the cursor stays where it is in the shot."""
    window = desk.window
    first = window.first + columns * window.per_column
    return replace(desk, window=replace(window, first=_kept_in_shot(desk, first)))


def _frames_of(desk: Desk, pages: float) -> int:
    return round(desk.window.columns * desk.window.per_column * pages)


def _kept_in_shot(desk: Desk, first: int) -> int:
    low, high = desk.laid.shot
    seen = desk.window.columns * desk.window.per_column
    return max(low, min(first, high - seen + 1 + desk.window.per_column * SPARE_COLUMNS))


def _seen(desk: Desk) -> Desk:
    """Show the cursor: past an edge the window moves on by a good part of itself, not by a column.

    So most steps change two columns of the picture, and there is room ahead of the cursor.
    """
    window = desk.window
    spare = min(SPARE_COLUMNS, window.columns // 4) * window.per_column
    seen = window.columns * window.per_column
    first = window.first
    if desk.cursor < first + spare and first > desk.laid.shot[0]:
        first = desk.cursor - round(seen * ROOM_AHEAD)
    elif desk.cursor > window.last - spare:
        first = desk.cursor - round(seen * (1 - ROOM_AHEAD))
        if desk.cursor < window.first or desk.cursor - window.first > 2 * seen:
            first = desk.cursor - seen // 2
    else:
        return desk
    start = desk.laid.shot[0]
    first = start + -(-(first - start) // window.per_column) * window.per_column
    return replace(desk, window=replace(window, first=_kept_in_shot(desk, first)))


def zoom(desk: Desk, by: int, *, about: int | None = None) -> Desk:
    """Nearer (-1) or farther (1); the frame `about` (or the cursor) keeps its column."""
    place = ZOOMS.index(desk.window.per_column) + by
    if not 0 <= place < len(ZOOMS):
        return say(desk, "nearer than a frame a column is not to be seen" if by < 0 else
                   "16 frames a column is the farthest")  # fmt: skip
    at_cursor = about is None
    about = desk.cursor if about is None else about
    column = desk.window.column(about)
    per_column = ZOOMS[place]
    window = replace(desk.window, per_column=per_column, first=about - column * per_column)
    plural = "a frame a column" if per_column == 1 else f"{per_column} frames a column"
    zoomed = replace(desk, window=window, said=plural)
    return _seen(zoomed) if at_cursor else pan(zoomed, 0)


def whole_shot(desk: Desk) -> Desk:
    """The zoom at which the whole shot is seen, or the farthest."""
    first, last = desk.laid.shot
    count = last - first + 1
    per_column = next((z for z in ZOOMS if z * desk.window.columns >= count), ZOOMS[-1])
    window = replace(desk.window, first=first, per_column=per_column)
    return say(_seen(replace(desk, window=window)), _said_of_whole(desk, count, per_column))


def _said_of_whole(desk: Desk, count: int, per_column: int) -> str:
    """How much of the shot is seen, and what would show it larger."""
    columns = -(-count // per_column)
    if columns > desk.window.columns:
        return f"{desk.window.columns * per_column} of {count} frames; nothing shows more"
    if per_column == 1:
        return f"whole shot: {count} frames"
    missing = -(-count // (per_column // 2)) - desk.window.columns
    return f"whole shot; {per_column // 2} a column takes {missing} columns more"


def resized(desk: Desk, columns: int) -> Desk:
    """The window after the screen was resized."""
    return _seen(replace(desk, window=replace(desk.window, columns=max(8, columns))))


def to_end(desk: Desk, end: int) -> Desk:
    """The cursor on the first (-1) or last (1) frame of the shot."""
    return go_to(desk, desk.laid.shot[0] if end < 0 else desk.laid.shot[1])


def next_unit(desk: Desk) -> Desk:
    """The ruler in the next unit."""
    unit = UNITS[(UNITS.index(desk.unit) + 1) % len(UNITS)]
    return replace(desk, unit=unit, said=f"ruler in {unit}")


def next_who(desk: Desk) -> Desk:
    """The plan of the next character, or of all."""
    options = (None, *desk.scene.characters)
    who = options[(options.index(desk.who) + 1) % len(options)]
    return replace(desk, who=who, said=f"the plan of {who or 'everyone'}")


def attend(desk: Desk, panel: Panel) -> Desk:
    """Keys now act on this panel."""
    return replace(desk, panel=panel)


def toggle_dropped(desk: Desk) -> Desk:
    """Show what was dropped, or no longer."""
    shown = not desk.show_dropped
    count = len(desk.index.dropped_ids)
    return replace(
        desk, show_dropped=shown, said=f"{count} dropped {'shown' if shown else 'hidden'}"
    )


def grow_frames(desk: Desk, by: int) -> Desk:
    """Pick frames: from where the cursor was, to where it goes."""
    anchor = desk.choice.anchor if isinstance(desk.choice, Frames) else desk.cursor
    moved = go_to(desk, desk.cursor + by)
    return pick_frames(moved, anchor, moved.cursor)


def pick_frames(desk: Desk, anchor: int, to: int) -> Desk:
    """Pick the frames between two, and put the cursor on the second."""
    low, high = desk.laid.shot
    anchor, to = min(max(anchor, low), high), min(max(to, low), high)
    first, last = min(anchor, to), max(anchor, to)
    desk = go_to(replace(desk, choice=Frames(first, last, anchor)), to)
    return say(desk, f"frames {first}-{last} picked")


# what the mouse holds


def with_grip(desk: Desk, thing: BeatAt | SuggestionOf | PoseAt, frame: int) -> Desk:
    """The mouse has hold of a thing from now on."""
    return replace(desk, grip=Grip(thing, frame, desk.scene, desk.past, desk.future))


def as_taken(desk: Desk, drag: int) -> Desk | None:
    """The desk as it was when the mouse took hold; None if it holds nothing, or lets go.

    A drag begins there each time: all of it is one change, and neighbours come back.
    """
    grip = desk.grip
    if grip is None or drag == 2:
        return None
    taken = on_scene(desk, grip.scene)
    return replace(taken, past=grip.past, future=grip.future, choice=grip.thing)


def released(desk: Desk) -> Desk:
    """The mouse holds nothing any more."""
    return desk if desk.grip is None else replace(desk, grip=None)
