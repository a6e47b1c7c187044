"""RowsWidget: shows rows of cells through the Line API; the ground of every panel.

Only rows that differ from those shown before are painted again, so what a key costs depends on
what it changes on screen, never on the length of the scene.
"""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from planner.desk.cells import Row, Rows
from planner.desk.looks import style_of
from planner.desk.state import Panel


class RowsWidget(Widget):
    """Rows of cells. `panel` names the panel to the core, if keys can act on it."""

    DEFAULT_CSS = """
    RowsWidget { height: 1; width: 1fr; }
    """

    panel: ClassVar[Panel | None] = None

    class Pressed(Message):
        """The mouse went down (`drag` 0), moves with the button down (1), or went up (2)."""

        def __init__(self, panel: str, column: int, row: int, drag: int, shift: bool) -> None:
            self.panel = panel
            self.column = column
            self.row = row
            self.drag = drag
            self.shift = shift
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

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.rows: Rows = ()
        self.can_focus = self.panel is not None
        self._held = False

    def show(self, rows: Rows) -> None:
        """Show these rows; paint only what differs."""
        before, self.rows = self.rows, rows
        if len(before) != len(rows):
            self.styles.height = len(rows)
            self.refresh()
            return
        changed = [y for y, (old, new) in enumerate(zip(before, rows, strict=True)) if old != new]
        if changed:
            self.refresh(*(Region(0, y, self.size.width, 1) for y in changed))

    def render_line(self, y: int) -> Strip:
        """One row of the panel."""
        row: Row = self.rows[y] if y < len(self.rows) else ()
        segments = [Segment(run.text, style_of(run.role, run.marks)) for run in row]
        return Strip(segments).adjust_cell_length(self.size.width, style_of("plain", 0))

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
        self.post_message(
            self.Pressed(self.id or "", int(event.x), int(event.y), drag, event.shift)
        )

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel, toward the end."""
        self._wheel(event, 1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel, toward the start."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, by: int) -> None:
        event.stop()
        self.post_message(self.Wheeled(self.id or "", int(event.x), by, event.ctrl, event.shift))
