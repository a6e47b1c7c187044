"""Choose: a question with a few answers, each a key and a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from audio.shown import shown, shown_line
from planner.desk.dialogs.dialog import Dialog

Answer = tuple[str, str, str]  # id, key, sentence


class Choose(Dialog[str]):
    """Gives back the id of an answer, or None. `otherwise` says what escape comes to."""

    def __init__(self, question: str, answers: Sequence[Answer], *, otherwise: str) -> None:
        super().__init__()
        self._question = shown(question)
        self._answers = tuple((name, key, shown_line(said)) for name, key, said in answers)
        self._otherwise = otherwise

    def compose(self) -> ComposeResult:
        """The question and its answers."""
        with Vertical(classes="box"):
            yield Static(self._question, classes="question", markup=False)
            yield self.small_line()
            yield OptionList(
                *(
                    Option(Text.assemble((f" {key} ", "bold reverse"), f"  {sentence}"), id=name)
                    for name, key, sentence in self._answers
                )
            )
            yield Static(f"a key, or the arrows and enter; esc {self._otherwise}", classes="hint")

    def small_text(self) -> str:
        """The keys, for those who know them."""
        return f"too small; {' '.join(key for _, key, _ in self._answers)} esc"

    def on_key(self, event: events.Key) -> None:
        """An answer by its key."""
        for name, key, _ in self._answers:
            if event.key == key:
                event.stop()
                self.answer(name)
                return

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """The answer that was picked."""
        self.answer(event.option_id)
