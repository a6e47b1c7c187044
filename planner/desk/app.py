"""DeskApp: wires keys and mouse to the core, and rows of cells to the panels. No computation.

The whole state is one frozen `Desk`. A key becomes an action (`actions`), an action a new Desk
(`doing`) or a question (`questions`); `make_views` turns the Desk into rows, and each panel paints
those of its rows that changed. Planning runs in a thread and hands its plan in by a message.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, ClassVar

from textual import events, work
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.filter import LineFilter
from textual.geometry import Size
from textual.message import Message
from textual.widgets import Input

from audio.reading import VoiceReading
from planner.desk import moving, pointing
from planner.desk.actions import ACTIONS, BY_ID
from planner.desk.doing import DOINGS
from planner.desk.heights import gutter_width
from planner.desk.keeping import Keeper
from planner.desk.key_view import action_at, key_rows
from planner.desk.panels.rows_widget import RowsWidget
from planner.desk.panels.stage import PANEL_CLASSES
from planner.desk.planning import Planned, plan_scene
from planner.desk.questions import Questions
from planner.desk.session import Session
from planner.desk.shown_filter import ShownFilter
from planner.desk.sounding import Sounding
from planner.desk.state import Desk, say, with_plan
from planner.desk.turns import Turns, as_line
from planner.desk.views import Views, make_views
from planner.plan.make import PlanState
from planner.scene import Scene

NO_PASTE = "a paste is text, and needs a line to write on: r, n or g opens one"

ON_FRESH_PLAN = ("lock", "shorter", "longer")  # these keep frames as the plan has them

Planner = Callable[[Scene, Mapping[int, VoiceReading], PlanState | None], Planned]


class DeskApp(App[int]):
    """The desk on a scene. Returns 0."""

    CSS_PATH = "desk.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            ",".join(action.keys), f"do('{action.id}')", action.label, id=action.id,
            tooltip=action.tip, show=action.rank is not None,
            priority=True,  # done when the key comes in, before the next one does
        )
        for action in ACTIONS
    ]  # fmt: skip

    class PlanMade(Message):
        """A plan came out of the thread."""

        def __init__(self, planned: Planned) -> None:
            self.planned = planned
            super().__init__()

    def __init__(
        self, desk: Desk, keeper: Keeper, *, state: PlanState | None = None,
        now_s: Callable[[], float] = time.monotonic, first_run: bool = False,
        planner: Planner = plan_scene,
    ) -> None:  # fmt: skip
        super().__init__()
        self.title = desk.scene.title or "linebeat"
        self.desk = desk
        self.views: Views | None = None
        self.questions = Questions(self)
        self.session = Session(self, keeper)
        self.sounding = Sounding(self, now_s)
        self._turns = Turns(self, self._hand_on)
        self._plan_state = state
        self._planning = False
        self.broke: Exception | None = None
        self._extent = Size(80, 24)
        self._first_run = first_run
        self._planner = planner
        self._shown = ShownFilter()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Textual's own filters, then ours: nothing a file holds steers the terminal."""
        return [*super().get_line_filters(), self._shown]

    def compose(self) -> ComposeResult:
        """All panels, from top to bottom; the way in says which are shown."""
        for panel in PANEL_CLASSES:
            yield panel()

    def on_mount(self) -> None:
        """First picture; then what needs an answer."""
        self._extent = self.size
        self._fit(self.size.width)
        self.session.begin()
        if self._first_run:
            self.questions.welcome()

    def on_resize(self, event: events.Resize) -> None:
        """The window follows the screen."""
        self._extent = event.size
        self._fit(event.size.width)

    def _fit(self, width: int) -> None:
        self.apply(moving.resized(self.desk, width - gutter_width(width)))

    # what comes in

    async def on_event(self, event: events.Event) -> None:
        """Keys and pastes go in turn, all else as it comes."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            await self._turns.take(event)
        else:
            await super().on_event(event)

    async def _hand_on(self, event: events.Event) -> None:
        """A key or a paste whose turn it is; a paste is for a line to write on, never commands."""
        if self.session.left:
            return
        if isinstance(event, events.Paste):
            if not isinstance(self.focused, Input):
                self.apply(say(self.desk, NO_PASTE))
                return
            event = events.Paste(as_line(event.text))
        await super().on_event(event)

    # what is done

    def action_do(self, name: str) -> None:
        """Do an action of the table."""
        if not BY_ID[name].applies(self.desk):
            return
        if name in ON_FRESH_PLAN:
            self._plan_now()
        if name in DOINGS:
            before = self.desk.cursor
            self.apply(DOINGS[name](self.desk))
            if self.desk.cursor != before:
                self.sounding.stepped()
        else:
            self._askers()[name]()

    def _plan_now(self) -> None:
        """Bring the plan up to the scene at once: what comes next stores what the plan says."""
        if self.desk.stale:
            self._take(self._planner(self.desk.scene, self.desk.readings, self._plan_state))

    def _askers(self) -> dict[str, Callable[[], Any]]:
        """Actions that ask something, touch a file or sound."""
        return {**self.questions.doings(), **self.session.doings(), **self.sounding.doings()}

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what applies here is bound, so that the line of keys is always true."""
        if action == "do" and parameters and len(self.screen_stack) > 1:
            return False
        if action == "do" and parameters:
            return BY_ID[str(parameters[0])].applies(self.desk)
        return True

    def apply(self, desk: Desk) -> None:
        """Take a new Desk: show it, and plan if its scene changed."""
        self.desk = desk
        self.paint()
        if desk.stale and not self._planning:
            self._planning = True
            self._plan(desk)

    @work(thread=True, group="plan", description="a plan")  # else Textual prints the whole desk
    def _plan(self, desk: Desk) -> None:
        self.post_message(self.PlanMade(self._planner(desk.scene, desk.readings, self._plan_state)))

    def on_desk_app_plan_made(self, message: PlanMade) -> None:
        """Take a plan in; plan again if the scene has changed meanwhile."""
        self._planning = False
        self._take(message.planned)

    def _take(self, planned: Planned) -> None:
        self._plan_state = planned.state
        if planned.trouble:
            self.apply(say(replace(self.desk, planned=self.desk.scene), planned.trouble))
        elif planned.plan is not None:
            self.apply(with_plan(self.desk, planned.scene, planned.plan, planned.verdicts))

    # what is shown

    def paint(self) -> None:
        """Hand every panel its rows."""
        columns, rows = self._extent
        if not self.is_running or rows < 3:
            return
        top = self.views.plan_top if self.views else 0
        self.views = make_views(
            self.desk, columns, rows, plan_top=top,
            sound=self.sounding.told(), disk=self.session.told(),
        )  # fmt: skip
        stage = self.screen_stack[0]
        for panel in stage.query(RowsWidget):
            made = self.views.rows.get(panel.id or "")
            if panel.id == "keys":
                made = key_rows(ACTIONS, self.desk, columns)
            panel.display = made is not None
            if made is not None:
                panel.show(made)
                if panel.id == self.desk.panel and stage.focused is not panel:
                    stage.set_focus(panel, scroll_visible=False)

    def on_rows_widget_pressed(self, message: RowsWidget.Pressed) -> None:
        """The mouse on a panel."""
        if message.panel == "keys":
            self._press_key(message)
        elif self.views is not None:
            spot = pointing.Spot(message.panel, message.column, message.row, message.drag)
            self.apply(pointing.point(self.desk, self.views, spot))

    def _press_key(self, message: RowsWidget.Pressed) -> None:
        """A key of the line of keys, by the mouse."""
        rows = key_rows(ACTIONS, self.desk, self._extent.width)
        name = action_at(rows[0], ACTIONS, self.desk, message.column)
        if name and message.drag == 2 and message.row == 0:
            self.action_do(name)

    def on_rows_widget_wheeled(self, message: RowsWidget.Wheeled) -> None:
        """The wheel on a panel."""
        if self.views is not None:
            self.apply(
                pointing.wheel(self.desk, self.views, message.column, message.by, zoom=message.zoom)
            )

    # what must not happen

    def _handle_exception(self, error: Exception) -> None:
        """Remember what broke the desk; whoever runs it says so (`opening.run_desk`)."""
        self.broke = self.broke or getattr(error, "error", None) or error
        super()._handle_exception(error)

    def _fatal_error(self) -> None:
        """Just close: Textual would print a page of its own."""
        self._close_messages_no_wait()

    async def action_quit(self) -> None:
        """Leave; changes are asked about."""
        self.session.leave()
