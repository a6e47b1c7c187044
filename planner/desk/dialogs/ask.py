"""Ask: one line of text, with what it is for above it. Escape takes it back."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static


class Ask(ModalScreen[str | None]):
    """Asks for a line of text; gives it back, or None. `wrong` says what is wrong with a text."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave it")]

    def __init__(
        self, question: str, *, value: str = "", hint: str = "",
        wrong: Callable[[str], str] = lambda _: "",
    ) -> None:  # fmt: skip
        super().__init__()
        self._question = question
        self._value = value
        self._hint = hint
        self._wrong = wrong

    def compose(self) -> ComposeResult:
        """The question, the line, a hint."""
        with Vertical(classes="box"):
            yield Static(self._question, classes="question", markup=False)
            yield Input(self._value, select_on_focus=False)
            yield Static(self._hint, classes="hint", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give the text back unless something is wrong with it."""
        problem = self._wrong(event.value)
        if problem:
            self.query_one(".hint", Static).update(problem)
        else:
            self.dismiss(event.value)

    def action_leave(self) -> None:
        """Give nothing back."""
        self.dismiss(None)
