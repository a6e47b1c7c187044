"""Ask: one line of text, with what it is for above it. Escape takes it back."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Input, Static

from audio.shown import shown, shown_line
from planner.desk.dialogs.dialog import Dialog


class Ask(Dialog[str]):
    """Asks for a line of text; gives it back, or None. `wrong` says what is wrong with a text."""

    def __init__(
        self, question: str, *, value: str = "", hint: str = "",
        wrong: Callable[[str], str] = lambda _: "",
    ) -> None:  # fmt: skip
        super().__init__()
        self._question = shown(question)
        self._value = shown_line(value)
        self._hint = shown(hint)
        self._wrong = wrong

    def compose(self) -> ComposeResult:
        """The question, the line, a hint."""
        with Vertical(classes="box"):
            yield Static(self._question, classes="question", markup=False)
            yield self.small_line()
            yield Input(self._value, select_on_focus=False)
            yield Static(self._hint, classes="hint", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give the text back unless something is wrong with it."""
        problem = self._wrong(event.value)
        if problem:
            self.query_one(".hint", Static).update(shown(problem))
        else:
            self.answer(event.value)
