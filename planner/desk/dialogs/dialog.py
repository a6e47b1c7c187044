"""Dialog: what all questions share: one answer only, and a line instead of a box without room."""

from __future__ import annotations

from typing import ClassVar, Generic, TypeVar

from textual import events
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.widgets import Static

Answered = TypeVar("Answered")
LEAST_ROWS, LEAST_COLUMNS = 12, 30  # in less a box with its frame shows nothing of what is asked


class Dialog(ModalScreen[Answered | None], Generic[Answered]):
    """A question. It is answered once, whatever comes before it is gone (keys wait: `turns`)."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "go back")]

    def __init__(self) -> None:
        super().__init__()
        self._answered = False

    def answer(self, given: Answered | None) -> None:
        """Give an answer back and close; the first answer counts."""
        if not self._answered:
            self._answered = True
            self.dismiss(given)

    def action_leave(self) -> None:
        """Give nothing back."""
        self.answer(None)

    def small_text(self) -> str:
        """What a screen without room for the box shows instead, in a line."""
        return "too small; esc"

    def small_line(self) -> Static:
        """The line for a screen without room."""
        return Static(self.small_text(), classes="little", markup=False)

    def on_resize(self, event: events.Resize) -> None:
        """Leave the frame and all but the line away where there is no room for them."""
        small = event.size.height < LEAST_ROWS or event.size.width < LEAST_COLUMNS
        self.set_class(small, "small")
