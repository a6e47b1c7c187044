"""Pick: a long list, filtered while typing, with a sentence beside each entry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from audio.shown import shown, shown_line
from planner.desk.dialogs.dialog import Dialog
from planner.desk.picking import Entry, matching

NAME_CELLS = 16


class Pick(Dialog[str]):
    """Gives back the id of an entry, or None. `none` is shown where nothing matches."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "step(1)", "next", priority=True),
        Binding("up", "step(-1)", "previous", priority=True),
        Binding("pagedown", "step(8)", "on", priority=True),
        Binding("pageup", "step(-8)", "back", priority=True),
    ]

    def __init__(
        self, question: str, entries: Sequence[Entry], *, chosen: str = "",
        none: str = "nothing like that; esc",
    ) -> None:  # fmt: skip
        super().__init__()
        self._question = shown(question)
        self._entries = tuple(entries)
        self._chosen = chosen
        self._none = none

    def compose(self) -> ComposeResult:
        """The question, the filter, the list."""
        with Vertical(classes="box tall"):
            yield Static(self._question, classes="question", markup=False)
            yield self.small_line()
            yield Input(placeholder="type to filter")
            options = OptionList()
            options.can_focus = False
            yield options
            yield Static("", classes="hint", id="reason", markup=False)

    def on_mount(self) -> None:
        """Show all entries, the chosen one lit."""
        self._fill("")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Show what matches."""
        self._fill(event.value)

    def _fill(self, text: str) -> None:
        found = matching(self._entries, text)
        listed = self.query_one(OptionList)
        listed.clear_options()
        if not found:
            listed.add_option(Option(Text(self._none, "italic"), disabled=True))
            self.query_one("#reason", Static).update("")
            return
        listed.add_options(Option(_line(entry), id=entry.id) for entry in found)
        ids = [entry.id for entry in found]
        listed.highlighted = ids.index(self._chosen) if self._chosen in ids and not text else 0

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """The lit entry's reason in full."""
        lit = next((e for e in self._entries if e.id == event.option_id), None)
        self.query_one("#reason", Static).update(shown(lit.reason) if lit else "")

    def action_step(self, by: int) -> None:
        """Light another entry."""
        listed = self.query_one(OptionList)
        if listed.highlighted is not None:
            at = listed.highlighted + by
            listed.highlighted = min(max(at, 0), listed.option_count - 1)

    def on_input_submitted(self) -> None:
        """Give back the entry that is lit."""
        listed = self.query_one(OptionList)
        if listed.highlighted is not None:
            self.answer(listed.get_option_at_index(listed.highlighted).id)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """The entry that was clicked."""
        self.answer(event.option_id)


def _line(entry: Entry) -> Text:
    return Text.assemble(
        (f"{shown_line(entry.name):<{NAME_CELLS}} ", "bold"),
        (f"{entry.key:<10} " if entry.key else ""), shown_line(entry.reason),
    )  # fmt: skip
