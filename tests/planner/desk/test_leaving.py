"""Leaving the desk: without changes, with them saved, kept or given up."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from desk_keys import press

from planner.desk.app import DeskApp
from planner.desk.dialogs.choose import Choose
from planner.desk.on_disk import Keeper
from planner.scene_file import read_scene

MakeApp = Callable[..., DeskApp]


async def test_quitting_without_changes_just_leaves(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("q")
        await pilot.pause()
    assert app.return_value == 0


async def test_quitting_with_changes_asks(make_app: MakeApp, scene_file: Path) -> None:
    text = scene_file.read_text()
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S", "ctrl+q")
        assert isinstance(app.screen, Choose)
        await press(pilot, "escape")
        assert len(app.screen_stack) == 1 and app.is_running
        await press(pilot, "q")
        await pilot.press("n")
        await pilot.pause()

    assert app.return_value == 0
    assert scene_file.read_text() == text


async def test_quitting_can_save_first(make_app: MakeApp, scene_file: Path) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S", "q")
        await pilot.press("s")
        await pilot.pause()

    assert app.return_value == 0
    assert read_scene(scene_file).beats[0].strength == 0.8


async def test_quit_twice_leaves_and_loses_nothing(make_app: MakeApp, scene_file: Path) -> None:
    text = scene_file.read_text()
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S", "q")
        await pilot.press("q")
        await pilot.pause()

    assert app.return_value == 0
    assert scene_file.read_text() == text
    kept = Keeper(scene_file, text).unsaved()
    assert kept is not None and kept.fits and kept.scene.beats[0].strength == 0.8
