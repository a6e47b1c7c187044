"""How many rows each panel gets, and which are left away where there is no room. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.desk.state import Desk
from planner.desk.views.panel import Panel, Room

RAIL_FROM_COLUMNS = 110
RAIL_WIDTHS = ((150, 40), (RAIL_FROM_COLUMNS, 30))  # from so many columns on, so wide
MOST_MORE_TONE = 8  # rows; taller still, a step of pitch is many rows and the line falls apart


@dataclass(frozen=True, slots=True)
class Layout:
    """Rows by panel, and the names of those left away."""

    heights: Mapping[str, int]
    hidden: tuple[str, ...]


def gutter_width(columns: int) -> int:
    """Cells for the names at the left."""
    return 12 if columns < 100 else 16


def rail_width(columns: int, way: str) -> int:
    """Cells for the figures at the right; 0 without room, and in the script."""
    if way == "mean":
        return 0
    return next((width for least, width in RAIL_WIDTHS if columns >= least), 0)


def frame_columns(columns: int, way: str) -> int:
    """Columns for frames."""
    return max(8, columns - gutter_width(columns) - rail_width(columns, way))


def lay_out(desk: Desk, panels: Sequence[Panel], room: Room) -> Layout:
    """Rows for each of the panels, from top to bottom of a room."""
    kept = list(panels)
    while len(kept) > 1 and sum(p.least for p in kept) > room.height:
        kept.remove(max(reversed(kept), key=lambda p: p.keep))
    heights = {p.name: p.least for p in kept}
    spare = room.height - sum(heights.values())
    for panel in sorted(kept, key=lambda p: p.keep):
        if panel.fills:
            continue
        more = min(spare, max(0, panel.wants(desk, room) - panel.least))
        heights[panel.name] += more
        spare -= more
    last = next((p for p in kept if p.fills), kept[-1])
    more = min(spare, max(0, last.wants(desk, room) - last.least))
    heights[last.name] += more
    spare -= more
    if "words" in heights:  # what nothing else needs makes the curve taller
        more = min(spare, MOST_MORE_TONE)
        heights["words"] += more
        spare -= more
    heights[last.name] += max(0, spare)
    hidden = tuple(p.name for p in panels if p not in kept and p.wants(desk, room))
    return Layout({name: rows for name, rows in heights.items() if rows}, hidden)


def of_height(room: Room, height: int) -> Room:
    """The room with another height."""
    return replace(room, height=height)
