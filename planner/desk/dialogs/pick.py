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
from planner.desk.entries import Entry, matching

NAME_CELLS = 16


class Pick(Dialog[str]):
    """Gives back the id of an entry, or None. `none` is shown where nothing matches."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "step(1)", "next", priority=True),
        Binding("up", "step(-1)", "previous", priority=True),
        Binding("pagedown", "step(8)", "on", priority=True),
        Binding("pageup", "step(-8)", "back", priority=True),
        Binding("tab", "take_on", "take, and go on", priority=True),
    ]

    def __init__(
        self, question: str, entries: Sequence[Entry], *, chosen: str = "",
        none: str = "nothing like that; esc", tab: str = "",
    ) -> None:  # fmt: skip
        super().__init__()
        self._question = shown(question)
        self._entries = tuple(entries)
        self._chosen = chosen
        self._none = none
        self._tab = tab

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
        listed.add_options(_options(found, headed=not text))
        ids = [listed.get_option_at_index(i).id for i in range(listed.option_count)]
        chosen = self._chosen if not text and self._chosen in ids else found[0].id
        listed.highlighted = ids.index(chosen)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """The lit entry's reason in full."""
        lit = next((e for e in self._entries if e.id == event.option_id), None)
        self.query_one("#reason", Static).update(shown(lit.reason) if lit else "")

    def action_step(self, by: int) -> None:
        """Light another entry."""
        listed = self.query_one(OptionList)
        if listed.highlighted is not None:
            at = min(max(listed.highlighted + by, 0), listed.option_count - 1)
            way = 1 if by > 0 else -1
            while listed.get_option_at_index(at).disabled and 0 <= at + way < listed.option_count:
                at += way
            if not listed.get_option_at_index(at).disabled:
                listed.highlighted = at

    def action_take_on(self) -> None:
        """Give back the entry that is lit, with the sign that one goes on after it."""
        listed = self.query_one(OptionList)
        if self._tab and listed.highlighted is not None:
            self.answer(f"{self._tab}{listed.get_option_at_index(listed.highlighted).id}")

    def on_input_submitted(self) -> None:
        """Give back the entry that is lit."""
        listed = self.query_one(OptionList)
        if listed.highlighted is not None:
            self.answer(listed.get_option_at_index(listed.highlighted).id)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """The entry that was clicked."""
        self.answer(event.option_id)


def _options(entries: Sequence[Entry], *, headed: bool) -> list[Option]:
    """The entries; where nothing is filtered, each kind under its heading."""
    options: list[Option] = []
    heading = ""
    for entry in entries:
        if headed and entry.heading != heading:
            heading = entry.heading
            options.append(Option(Text(heading, "bold underline"), disabled=True))
        options.append(Option(_line(entry), id=entry.id))
    return options


def _line(entry: Entry) -> Text:
    name = shown_line(entry.name)
    name = name if len(name) <= NAME_CELLS else f"{name[: NAME_CELLS - 3]}..."
    reason = shown_line(entry.reason)
    return Text.assemble((f"{name:<{NAME_CELLS}} ", "bold"), f"{entry.key:<8} ", reason)
