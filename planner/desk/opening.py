"""Opens a desk on a scene file: scene, readings, plan, keeper, app."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from audio.errors import LinebeatError
from planner.commands._shared import read_lines, scene_path, working
from planner.desk.app import DeskApp
from planner.desk.keeping import Keeper
from planner.desk.planning import plan_scene
from planner.desk.state import Desk, open_desk
from planner.scene_file import read_scene_and_text

if TYPE_CHECKING:
    from planner.plan import PlanState


def open_app(given: str, *, first_run: bool = False) -> DeskApp:
    """The desk on a scene file or its folder.

    Raises LinebeatError if the scene, a sound or its plan cannot be had.
    """
    path = scene_path(given)
    scene, text = read_scene_and_text(path)
    with working("reading the scene") as tell:
        readings = read_lines(scene, tell=tell)
    planned = plan_scene(scene, readings, None)
    if planned.plan is None:
        raise LinebeatError(planned.trouble)
    desk: Desk = replace(open_desk(scene, readings, planned.plan), verdicts=planned.verdicts)
    if planned.trouble:
        desk = replace(desk, said=planned.trouble)
    state: PlanState | None = planned.state
    return DeskApp(desk, Keeper(path, text), state=state, first_run=first_run)
