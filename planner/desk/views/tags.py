"""The row of tags in Mean: what the number keys tag with, and how many phrases are tagged. Pure."""

from __future__ import annotations

from planner.desk.edits.beats import tag_favourite
from planner.desk.state import Desk
from planner.desk.views.cells import Run, fitted
from planner.desk.views.looks import DEPTHS, HUES
from planner.desk.views.panel import Panel, Room, Seen, Spot


def draw(desk: Desk, room: Room) -> Seen:
    """The favourites by their keys, as many as fit; at the right how far the tagging is."""
    done, count = desk.facts.tagged
    counted = f" {done} of {count} tagged "
    runs: list[Run] = [Run(" ")]
    spots: list[tuple[int, int, int]] = []
    left = room.width - 1 - len(counted)
    for number, name in enumerate(desk.favourites, start=1):
        text = f"{number} {name}  "
        if len(text) > left:
            break
        column = room.width - len(counted) - left
        spots.append((column, column + len(text) - 3, number))
        hue = desk.facts.hue_of.get(name, 0) % HUES
        runs += [Run(f"{number} ", "gutter on"), Run(f"{name}  ", f"tint {hue} {DEPTHS - 2}")]
        left -= len(text)
    runs += [Run(" " * max(0, left)), Run(fitted(counted, room.width), "gutter on")]
    return Seen((tuple(runs), (Run(" " * room.width),))[: room.height], None, tuple(spots))


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press on a tag tags with it."""
    if spot.drag or spot.row:
        return desk
    number = next((n for first, last, n in seen.spots if first <= spot.column <= last), None)
    return desk if number is None else tag_favourite(desk, number)


def _wants(desk: Desk, room: Room) -> int:
    return 2 if room.screen_rows >= 20 else 1


TAGS = Panel("tags", ("mean",), draw, _wants, press, least=1, keep=3)
