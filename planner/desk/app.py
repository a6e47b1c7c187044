"""DeskApp: wires keys and mouse to the core, and rows of cells to the panels. No computation.

The whole state is one frozen `Desk`. A key becomes an action (`actions`): a new Desk, or a question
(`questions`); `make_views` turns the Desk into rows, and each panel paints those cells that
changed. Planning and listening run in a thread and hand in what they made by a message.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, ClassVar

from textual import events, work
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.filter import LineFilter
from textual.geometry import Size
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from planner.desk import cursor
from planner.desk.actions import ACTIONS, BY_ID, Action, action_of_key, key_name, to_way
from planner.desk.background import Background
from planner.desk.choice import choose, is_in_sight
from planner.desk.on_disk import Keeper
from planner.desk.planned import Planned, plan_scene
from planner.desk.questions import Questions
from planner.desk.rows_widget import RowsWidget
from planner.desk.session import Session
from planner.desk.shown_filter import ShownFilter
from planner.desk.sound.player import Player
from planner.desk.state import Desk, Top, say, with_plan
from planner.desk.tight_update import tight
from planner.desk.turns import Turns, as_line
from planner.desk.views.all_rows import OUTSIDE_THE_RAIL, Views, make_views, point
from planner.desk.views.head import way_at
from planner.desk.views.keys import action_at, key_rows
from planner.desk.views.layout import frame_columns
from planner.desk.views.looks import NAMES, Look, look_for
from planner.desk.views.panel import Spot
from planner.desk.views.panels import PANELS
from planner.plan.make import PlanState
from planner.scene import Scene
from planner.shot import Shot

NO_PASTE = "a paste is text, and needs a line to write on: r, n or g opens one"
WHEEL_COLUMNS, WHEEL_ROWS = 6, 2  # a notch of the wheel

Planner = Callable[[Scene, Shot, PlanState | None], Planned]


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
        planner: Planner = plan_scene, look: str = "",
    ) -> None:  # fmt: skip
        self.look = Look("dark")
        environment = dict(os.environ)  # Textual takes NO_COLOR out of it
        super().__init__()
        self._wear(look_for(environment, self.console.color_system, look))
        self.title = desk.scene.title or "linebeat"
        self.desk = desk
        self.views: Views | None = None
        self.questions = Questions(self)
        self.session = Session(self, keeper)
        self.player = Player(self, now_s)
        self._turns = Turns(self, self._hand_on)
        self._plan_state = state
        self._planning = False
        self.broke: Exception | None = None
        self._extent = Size(80, 24)
        self._first_run = first_run
        self.planner = planner
        self.background = Background(self)
        self._shown = ShownFilter()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Textual's own filters, then ours: nothing a file holds steers the terminal."""
        return [*super().get_line_filters(), self._shown]

    def compose(self) -> ComposeResult:
        """All panels, from top to bottom, and the rail; the way in says which are shown."""
        outside = {n: RowsWidget(n, whole=True) for n in OUTSIDE_THE_RAIL}
        yield outside["head"]
        with Horizontal(id="middle"):
            with Vertical(id="stack"):
                for panel in PANELS:
                    if panel.name not in outside:
                        yield RowsWidget(panel.name, keys=panel.keys)
            yield RowsWidget("rail")
        yield outside["why"]
        yield RowsWidget("keys")

    def on_mount(self) -> None:
        """First picture; then what needs an answer."""
        self._extent = self.size
        self._fit()
        self.session.begin()
        if self._first_run:
            self.questions.welcome()

    def on_resize(self, event: events.Resize) -> None:
        """The window follows the screen."""
        self._extent = event.size
        self._fit()

    def _fit(self) -> None:
        self.apply(self.desk)

    # what it looks like

    def get_css_variables(self) -> dict[str, str]:
        """The look's colours for the boxes of questions."""
        return {**super().get_css_variables(), **self.look.variables()}

    def _wear(self, name: str) -> None:
        self.look = Look(name)
        self.ansi_color = name in ("plain", "sixteen")

    def next_look(self) -> None:
        """The next set of colours."""
        name = NAMES[(NAMES.index(self.look.name) + 1) % len(NAMES)]
        self._wear(name)
        self.refresh_css(animate=False)
        for panel in self.screen_stack[0].query(RowsWidget):
            panel.refresh()
        self.apply(say(self.desk, f"colours: {name}"))

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

    def on_key(self, event: events.Key) -> None:
        """A key that did nothing says so."""
        if len(self.screen_stack) > 1:
            return
        action = action_of_key(self.desk, event.key)
        if action is not None and not action.applies(self.desk):
            self.apply(say(self.desk, f"{action.label} works in {action.where()}"))
        elif action is None and (event.is_printable or event.key.startswith("f")):
            self.apply(say(self.desk, f"{key_name(event.key)} does nothing: ? lists every key"))

    # what is done

    def action_do(self, name: str) -> None:
        """Do an action of the table."""
        action = BY_ID[name]
        if not action.applies(self.desk) or not self._may_touch(action):
            return
        if action.fresh:
            self._plan_now()
        if action.do is None:
            self._askers()[name]()
            return
        before = self.desk.cursor
        self.apply(action.do(self.desk))
        if self.desk.cursor != before:
            self.player.stepped()

    def _may_touch(self, action: Action) -> bool:
        """What is out of sight is brought into sight first, and not touched before."""
        choice = self.desk.choice
        if not action.touches or choice is None or is_in_sight(self.desk, choice):
            return True
        shown = choose(self.desk, choice)
        self.apply(say(shown, f"it was out of sight: here it is; again to {action.label}"))
        return False

    def _plan_now(self) -> None:
        """Bring the plan up to the scene at once: what comes next stores what the plan says."""
        if self.desk.stale:
            self._take(self.planner(self.desk.scene, self.desk.shot, self._plan_state))

    def _askers(self) -> dict[str, Callable[[], Any]]:
        """Actions that ask something, touch a file or sound."""
        own = {"light": self.next_look}
        doings = (self.questions.doings(), self.session.doings(), self.player.doings())
        return {**own, **{name: do for table in doings for name, do in table.items()}}

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what applies here is bound, so that the line of keys is always true."""
        if action == "do" and parameters and len(self.screen_stack) > 1:
            return False
        if action == "do" and parameters:
            return BY_ID[str(parameters[0])].applies(self.desk)
        return True

    def apply(self, desk: Desk) -> None:
        """Take a new Desk: show it, and plan if its scene changed."""
        columns = frame_columns(self._extent.width, desk.way)
        if desk.window.columns != columns:
            desk = cursor.resized(desk, columns)
        self.desk = desk
        self.paint()
        if desk.stale and not self._planning:
            self._planning = True
            self._plan(desk)
        self.background.perform()

    @work(thread=True, group="plan", description="a plan")  # else Textual prints the whole desk
    def _plan(self, desk: Desk) -> None:
        self.post_message(self.PlanMade(self.planner(desk.scene, desk.shot, self._plan_state)))

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
        self.views = make_views(
            self.desk, columns, rows, sound=self.player.told(), disk=self.session.told()
        )
        self.desk = replace(self.desk, tops=self.views.tops)
        stage = self.screen_stack[0]
        made = {**self.views.rows, "keys": key_rows(ACTIONS, self.desk, columns)}
        for panel in stage.query(RowsWidget):
            own = made.get(panel.id or "")
            panel.display = bool(own)
            if own:
                panel.show(own, lit=panel.id == self.desk.panel and self.desk.way != "mean")
                if panel.id == "rail":
                    panel.styles.width = sum(len(run.text) for run in own[0])
                if panel.id == self.desk.panel and stage.focused is not panel:
                    stage.set_focus(panel, scroll_visible=False)

    def on_rows_widget_pressed(self, message: RowsWidget.Pressed) -> None:
        """The mouse on a panel."""
        at = (message.column, message.row, message.drag)
        if message.panel == "keys":
            self._press_key(message)
        elif self.views is not None and message.panel == "head":
            way = way_at(self.views.seen["head"], Spot(*at, 0))
            if way is not None:
                self.apply(to_way(self.desk, way))
        elif self.views is not None:
            self.apply(point(self.desk, self.views, message.panel, at))

    def _press_key(self, message: RowsWidget.Pressed) -> None:
        """A key of the line of keys, by the mouse."""
        rows = key_rows(ACTIONS, self.desk, self._extent.width)
        name = action_at(rows[0], ACTIONS, self.desk, message.column)
        if name and message.drag == 2 and message.row == 0:
            self.action_do(name)

    def on_rows_widget_wheeled(self, message: RowsWidget.Wheeled) -> None:
        """The wheel scrolls a list or pans the frames, with ctrl it zooms; it chooses nothing."""
        if self.views is None:
            return
        seen = self.views.seen.get(message.panel)
        top = seen.top if seen is not None else None
        if message.zoom:
            inside = max(0, min(message.column - self.views.gutter, self.desk.window.columns - 1))
            about = self.desk.window.frame(inside)
            self.apply(cursor.zoom(self.desk, message.by, about=about))
        elif top is not None and top.followed is not None and not message.across:
            row = max(0, top.row + message.by * (1 if message.panel == "script" else WHEEL_ROWS))
            tops = {**self.desk.tops, message.panel: Top(row, top.followed)}
            self.apply(replace(self.desk, tops=tops))
        elif self.desk.way != "mean":
            self.apply(cursor.pan(self.desk, message.by * WHEEL_COLUMNS))

    def _display(self, screen: Screen[Any], renderable: Any) -> None:
        """As Textual does, but with nothing sent that has not changed."""
        super()._display(screen, tight(renderable))  # type: ignore[arg-type]

    # what must not happen

    def _handle_exception(self, error: Exception) -> None:
        """Remember what broke the desk; whoever runs it says so (`run.run_desk`)."""
        self.broke = self.broke or getattr(error, "error", None) or error
        super()._handle_exception(error)

    def _fatal_error(self) -> None:
        """Just close: Textual would print a page of its own."""
        self._close_messages_no_wait()

    async def action_quit(self) -> None:
        """Leave; changes are asked about."""
        self.session.leave()
