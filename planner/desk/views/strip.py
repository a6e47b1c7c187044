"""A strip of the shot under the script: who speaks when, what is tagged, where one is. Pure."""

from __future__ import annotations

from planner.desk import cursor
from planner.desk.choice import frames_of, let_go_of
from planner.desk.state import Desk
from planner.desk.units import shown_here
from planner.desk.views.beats import tint
from planner.desk.views.cells import CURSOR, PICKED, Canvas
from planner.desk.views.panel import Panel, Room, Seen, Spot

EDGE = 8  # cells at each side, for the first and the last frame


def draw(desk: Desk, room: Room) -> Seen:
    """Speech as a bar, tinted where it is tagged, thin where it is not."""
    first, last = desk.laid.shot
    canvas = Canvas(room.width, 1)
    columns = max(1, room.width - 2 * EDGE)
    per_column = max(1, last - first + 1) / columns

    def column(frame: int) -> int:
        return EDGE + min(columns - 1, max(0, int((frame - first) / per_column)))

    canvas.put(0, 0, f"{shown_here(desk, first):>{EDGE - 1}}", "gutter")
    canvas.put(0, EDGE + columns + 1, shown_here(desk, last)[: EDGE - 1], "gutter")
    for place, phrase in enumerate(desk.facts.phrases):
        beats = desk.facts.beats_of_phrase[place]
        role = tint(desk, desk.scene.beats[beats[0]]) if beats else "untagged"
        a, b = column(phrase.frames[0]), column(phrase.frames[1])
        canvas.put(0, a, ("▬" if beats else "─") * (b - a + 1), role)
    for index in desk.facts.wordless:
        frames = desk.facts.beat_frames[index]
        if frames is not None:
            a, b = column(frames[0]), column(frames[1])
            canvas.put(0, a, "·" * (b - a + 1), tint(desk, desk.scene.beats[index]))
    span = frames_of(desk, desk.choice) if desk.choice is not None else None
    if span is not None:
        canvas.mark(0, column(span[0]), column(span[1]), PICKED)
    canvas.mark_column(column(desk.cursor), CURSOR)
    at = tuple(round(first + (c - EDGE + 0.5) * per_column) for c in range(room.width))
    return Seen(canvas.rows(), None, at)


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press or a drag goes there."""
    if spot.drag == 2 or spot.column >= len(seen.spots):
        return desk
    return let_go_of(cursor.go_to(desk, seen.spots[spot.column]))


def _wants(desk: Desk, room: Room) -> int:
    return 1 if room.screen_rows >= 16 else 0


STRIP = Panel("strip", ("mean",), draw, _wants, press, least=0, keep=4)
