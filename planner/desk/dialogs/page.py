"""Page: a text to read, scrolled with the arrows; any closing key leaves it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from audio.shown import shown, shown_line
from planner.desk.dialogs.dialog import Dialog


class Page(Dialog[None]):
    """Shows a text."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q,space", "leave", "close"),
    ]

    def __init__(self, title: str, text: str) -> None:
        super().__init__()
        self._title = shown_line(title)
        self._text = shown(text)

    def compose(self) -> ComposeResult:
        """The title and the text."""
        with Vertical(classes="box tall"):
            yield Static(self._title, classes="question", markup=False)
            with VerticalScroll():
                yield Static(self._text, markup=False)
            yield Static("arrows scroll; enter or esc closes", classes="hint")

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.query_one(VerticalScroll).focus()
