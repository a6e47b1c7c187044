"""What is worked out beside the keys, in threads: the motion, a plan to compare, a line heard anew.

Each hands what it made back to the app's own loop; what came too late for the desk is let fall.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from audio.errors import LinebeatError
from planner.desk import compare
from planner.desk.actions import to_way
from planner.desk.edits.ear import respoken
from planner.desk.planned import Planned
from planner.desk.state import say
from planner.motion.compile import Compiler
from planner.motion.performance import Performance
from planner.plan.suggestion import Plan
from planner.scene import Line, Scene

if TYPE_CHECKING:
    from planner.desk.app import DeskApp


class Background:
    """Threads of one app."""

    def __init__(self, app: DeskApp) -> None:
        self._app = app
        self._compiler = Compiler()
        self._compiled: Plan | None = None  # the plan whose motion is made, or being made

    def perform(self) -> None:
        """Compile the plan into motion, where a way in shows it."""
        desk = self._app.desk
        if desk.way == "mean" or desk.stale or self._compiled is desk.plan:
            return
        self._compiled = desk.plan

        def made() -> None:
            performance = self._compiler.compile(desk.plan, desk.shot)
            self._app.call_later(self._performed, desk.plan, performance)

        self._app.run_worker(made, thread=True, group="motion", description="the motion")

    def _performed(self, plan: Plan, performance: Performance) -> None:
        if plan is self._app.desk.plan:
            self._app.apply(replace(self._app.desk, performance=performance))

    def plan_beside(self, scene: Scene, told: str) -> None:
        """Plan another version of the scene, to compare with."""
        shot = self._app.desk.shot

        def made() -> None:
            planned = self._app.planner(scene, shot, None)
            self._app.call_later(self._beside, planned, told)

        self._app.run_worker(made, thread=True, group="beside", description="another plan")

    def _beside(self, planned: Planned, told: str) -> None:
        desk = self._app.desk
        if planned.plan is None:
            self._app.apply(say(desk, planned.trouble))
            return
        desk = desk if desk.way == "move" else to_way(desk, "move")
        self._app.apply(compare.beside(desk, planned.scene, planned.plan, told))

    def listen_again(self, line: Line) -> None:
        """Read a line's sound with other words; the plan follows."""
        scene = self._app.desk.scene
        self._app.apply(say(self._app.desk, f"listening to line {line.number} again..."))

        def listened() -> None:
            from planner.commands._shared import read_lines

            try:
                reading = read_lines(replace(scene, lines=(line,)))[line.number]
            except LinebeatError as error:
                told = error.line()
                self._app.call_later(lambda: self._app.apply(say(self._app.desk, told)))
            else:
                self._app.call_later(
                    lambda: self._app.apply(respoken(self._app.desk, line, reading))
                )

        self._app.run_worker(listened, thread=True, group="listen", exclusive=True)
