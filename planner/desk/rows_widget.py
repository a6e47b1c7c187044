"""RowsWidget: shows rows of cells through the Line API; every panel is one.

Only the cells that differ from those shown before are painted again, so that what a key costs
depends on what it changes on screen: never on the length of the scene, nor on the terminal's width.
"""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING, cast

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from planner.desk.views.cells import Row, Rows

if TYPE_CHECKING:
    from planner.desk.app import DeskApp


class RowsWidget(Widget):
    """Rows of cells. With `keys`, keys can act on the panel, and it is lit while they do.

    `whole`: a row that changed is sent whole, so that what it says can be read off what is sent.
    """

    DEFAULT_CSS = """
    RowsWidget { height: 1; width: 1fr; }
    """

    class Pressed(Message):
        """The mouse went down (`drag` 0), moves with the button down (1), or went up (2)."""

        def __init__(self, panel: str, column: int, row: int, drag: int) -> None:
            self.panel = panel
            self.column = column
            self.row = row
            self.drag = drag
            super().__init__()

    class Wheeled(Message):
        """The wheel turned by `by` notches; `zoom` with ctrl, `across` with shift."""

        def __init__(self, panel: str, column: int, by: int, zoom: bool, across: bool) -> None:
            self.panel = panel
            self.column = column
            self.by = by
            self.zoom = zoom
            self.across = across
            super().__init__()

    def __init__(self, id: str, *, keys: bool = False, whole: bool = False) -> None:
        super().__init__(id=id)
        self._whole = whole
        self.rows: Rows = ()
        self.can_focus = keys
        self._lit = False
        self._held = False

    def show(self, rows: Rows, *, lit: bool = False) -> None:
        """Show these rows; paint only the cells that differ."""
        before, self.rows = self.rows, rows
        relit, self._lit = self._lit != lit, lit
        if len(before) != len(rows):
            self.styles.height = len(rows)
        if len(before) != len(rows) or relit:
            self.refresh()
            return
        spots = [
            Region(span[0], y, span[1] - span[0], 1)
            for y, (old, new) in enumerate(zip(before, rows, strict=True))
            for span in (
                [(0, self.size.width)] if self._whole and old != new else differing(old, new)
            )
        ]
        if spots:
            self.refresh(*spots)

    def render_line(self, y: int) -> Strip:
        """One row of the panel."""
        look = cast("DeskApp", self.app).look
        row: Row = self.rows[y] if y < len(self.rows) else ()
        segments = [Segment(r.text, look.style(r.role, r.marks, self._lit)) for r in row]
        blank = look.style("plain", 0, self._lit)
        return Strip(segments).adjust_cell_length(self.size.width, blank)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Begin a click or a drag."""
        if event.button != 1:
            return
        self._held = True
        self.capture_mouse()
        self._tell(event, 0)

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Go on dragging."""
        if self._held:
            self._tell(event, 1)

    def on_mouse_up(self, event: events.MouseUp) -> None:
        """End a click or a drag."""
        if self._held:
            self._held = False
            self.release_mouse()
            self._tell(event, 2)

    def _tell(self, event: events.MouseEvent, drag: int) -> None:
        self.post_message(self.Pressed(self.id or "", int(event.x), int(event.y), drag))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel, toward the end."""
        self._wheel(event, 1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel, toward the start."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, by: int) -> None:
        event.stop()
        self.post_message(self.Wheeled(self.id or "", int(event.x), by, event.ctrl, event.shift))


def differing(old: Row, new: Row) -> list[tuple[int, int]]:
    """The stretches of cells in which two rows differ: first, and one after the last.

    Stretches nearer to each other than a move of the terminal's cursor costs are one.
    """
    if old == new:
        return []
    found: list[tuple[int, int]] = []
    for column, (a, b) in enumerate(zip_longest(_cells(old), _cells(new))):
        if a == b:
            continue
        if found and column - found[-1][1] <= NEAR:
            found[-1] = (found[-1][0], column + 1)
        else:
            found.append((column, column + 1))
    return found


NEAR = 4  # cells


def _cells(row: Row) -> list[tuple[str, str, int]]:
    """Every cell of a row; the second of a wide character is empty."""
    cells: list[tuple[str, str, int]] = []
    for run in row:
        if run.text.isascii():
            cells += [(char, run.role, run.marks) for char in run.text]
            continue
        for char in run.text:
            size = cell_len(char)
            if size == 0 and cells:
                last = cells[-1]
                cells[-1] = (last[0] + char, last[1], last[2])
            cells += [(char, run.role, run.marks), ("", run.role, run.marks)][:size]
    return cells
