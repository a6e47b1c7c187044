"""Choose: a question with a few answers, each a key and a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

Answer = tuple[str, str, str]  # id, key, sentence


class Choose(ModalScreen[str | None]):
    """Gives back the id of an answer, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave it")]

    def __init__(self, question: str, answers: Sequence[Answer]) -> None:
        super().__init__()
        self._question = question
        self._answers = tuple(answers)

    def compose(self) -> ComposeResult:
        """The question and its answers."""
        with Vertical(classes="box"):
            yield Static(self._question, classes="question", markup=False)
            yield OptionList(
                *(
                    Option(Text.assemble((f" {key} ", "bold reverse"), f"  {sentence}"), id=name)
                    for name, key, sentence in self._answers
                )
            )
            yield Static("a key, or the arrows and enter; esc leaves it", classes="hint")

    def on_key(self, event: events.Key) -> None:
        """An answer by its key."""
        for name, key, _ in self._answers:
            if event.key == key:
                event.stop()
                self.dismiss(name)
                return

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """The answer that was picked."""
        self.dismiss(event.option_id)

    def action_leave(self) -> None:
        """No answer."""
        self.dismiss(None)
