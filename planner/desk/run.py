"""Opens a desk on a scene file: scene, readings, plan, keeper, app; and runs it."""

from __future__ import annotations

import traceback
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from audio.errors import LinebeatError
from planner.commands._shared import read_lines, scene_path, working
from planner.desk import left_off
from planner.desk.app import DeskApp
from planner.desk.on_disk import Keeper
from planner.desk.planned import plan_scene
from planner.desk.state import Desk, open_desk
from planner.scene_file import read_scene_and_text
from planner.shot import shot_of

if TYPE_CHECKING:
    from planner.plan.make import PlanState


def open_app(given: str, *, first_run: bool = False) -> DeskApp:
    """The desk on a scene file or its folder.

    Raises LinebeatError if the scene, a sound or its plan cannot be had.
    """
    path = scene_path(given)
    scene, text = read_scene_and_text(path)
    with working("reading the scene") as tell:
        readings = read_lines(scene, tell=tell)
    planned = plan_scene(scene, shot_of(scene, readings), None)
    if planned.plan is None:
        raise LinebeatError(planned.trouble)
    desk: Desk = replace(open_desk(scene, readings, planned.plan), verdicts=planned.verdicts)
    found = left_off.kept(path)
    desk = left_off.resumed(desk, found)
    if planned.trouble:
        desk = replace(desk, said=planned.trouble)
    state: PlanState | None = planned.state
    return DeskApp(
        desk, Keeper(path, text), state=state, first_run=first_run, look=left_off.kept_look(found)
    )


def run_desk(app: DeskApp) -> int:
    """Run a desk until it is left. Returns the exit code.

    Raises LinebeatError if the desk broke down; unsaved work is then kept beside the scene.
    """
    code = app.run()
    if app.broke is None and app.return_code == 0:
        if app.session.parting:
            click.echo(app.session.parting, err=True)
        return code or 0
    kept = app.session.saved_from_breaking()
    raise LinebeatError(f"the desk broke down: {_told(app.broke)}", mend=kept)


def _told(error: Exception | None) -> str:
    """An error nobody foresaw, in a line: what it is, and where it came up."""
    if error is None:
        return "no reason given"
    what = " ".join(f"{type(error).__name__}: {error}".split())
    frames = traceback.extract_tb(error.__traceback__)
    return f"{what} ({Path(frames[-1].filename).name}:{frames[-1].lineno})" if frames else what
