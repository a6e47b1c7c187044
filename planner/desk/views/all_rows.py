"""All rows of the desk at once: for each panel that is shown, what stands in it.

Pure: from a Desk and the size of the screen to rows of cells. The app hands each panel its rows; a
test reads them as text. Lists scroll as little as shows what is chosen (`Views.tops` goes back into
the Desk with the next key), so that nothing moves between a press of the mouse and its release.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.desk.cursor import attend
from planner.desk.state import Desk, Top
from planner.desk.views.cells import Row, Rows, Run
from planner.desk.views.head import is_told_in_full, told
from planner.desk.views.layout import gutter_width, lay_out, of_height, rail_width
from planner.desk.views.panel import Room, Seen, Spot
from planner.desk.views.panels import BY_NAME, PANELS_OF, of_way
from planner.desk.views.rail import rail_rows

KEY_ROWS = 1
OUTSIDE_THE_RAIL = ("head", "why")  # these take the whole width


@dataclass(frozen=True, slots=True)
class Views:
    """What every shown panel holds, the rail ("rail") among them if there is one."""

    seen: Mapping[str, Seen]
    gutter: int
    hidden: tuple[str, ...]

    @property
    def rows(self) -> Mapping[str, Rows]:
        """The rows of each panel."""
        return {name: seen.rows for name, seen in self.seen.items()}

    @property
    def tops(self) -> Mapping[str, Top]:
        """How far each list is scrolled."""
        return {name: seen.top for name, seen in self.seen.items() if seen.top is not None}


def make_views(desk: Desk, columns: int, rows: int, *, sound: str = "", disk: str = "") -> Views:
    """The rows of each panel, by its name, for a screen of this size."""
    gutter, rail = gutter_width(columns), rail_width(columns, desk.way)
    said = {"sound": sound, "disk": disk}
    room = Room(columns, rows - KEY_ROWS, gutter, rows, said)
    panels = of_way(desk.way)
    layout = lay_out(desk, panels, room)
    said["hidden"] = ", ".join(layout.hidden)
    head = BY_NAME["head"].draw(desk, of_height(room, 2))
    if len(head.rows) > 1 and not is_told_in_full(head.rows[1], desk):
        said["message"] = told(desk)
        layout = lay_out(desk, panels, room)
    seen: dict[str, Seen] = {}
    for panel in panels:
        if panel.name not in layout.heights:
            continue
        width = columns if panel.name in OUTSIDE_THE_RAIL else columns - rail
        own = Room(width, layout.heights[panel.name], gutter, rows, said)
        seen[panel.name] = head if panel.name == "head" else _filled(panel.draw(desk, own), own)
    if rail:
        beside = sum(len(s.rows) for n, s in seen.items() if n not in OUTSIDE_THE_RAIL)
        seen["rail"] = Seen(rail_rows(desk, rail, beside))
    return Views(seen, gutter, layout.hidden)


def _filled(seen: Seen, room: Room) -> Seen:
    """Blank rows where a panel has more room than it has to show."""
    missing = room.height - len(seen.rows)
    blank: Row = (Run(" " * room.width),)
    return replace(seen, rows=(*seen.rows, *[blank] * missing)) if missing > 0 else seen


def point(desk: Desk, views: Views, name: str, at: tuple[int, int, int]) -> Desk:
    """The desk after the mouse did something on a panel: column, row, drag.

    Keys act on a panel from the first press on it.
    """
    column, row, drag = at
    if name not in views.seen or name not in BY_NAME:
        return desk
    if drag == 0 and name in PANELS_OF[desk.way]:
        desk = attend(desk, name)
    inside = column - views.gutter
    frame = desk.window.frame(max(0, min(inside, desk.window.columns - 1)))
    spot = Spot(column, row, drag, frame, inside < 0 and drag == 0)
    return BY_NAME[name].press(desk, views.seen[name], spot)
