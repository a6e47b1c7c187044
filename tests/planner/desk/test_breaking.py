"""When the desk breaks down: one line, an exit code that says so, and unsaved work kept."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from audio.errors import LinebeatError
from planner.desk.app import DeskApp
from planner.desk.on_disk import Keeper
from planner.desk.run import run_desk

MakeApp = Callable[..., DeskApp]


def headless(app: DeskApp, monkeypatch: pytest.MonkeyPatch, *keys: str) -> None:
    """Make `app.run()` press keys without a terminal."""

    async def pilot(pilot: Pilot[int]) -> None:
        for key in keys:
            await pilot.press(key)
            await pilot.app.workers.wait_for_complete()

    run = partial(app.run, headless=True, size=(80, 24), auto_pilot=pilot)
    monkeypatch.setattr(app, "run", run)


def broken(*_: object) -> Any:
    raise KeyError("nobody thought of this")


def test_a_breakdown_is_one_line_and_unsaved_work_is_kept(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    app = make_app()
    monkeypatch.setattr(app.session, "picture", broken)
    headless(app, monkeypatch, "full_stop", "S", "p")
    with pytest.raises(LinebeatError) as caught:
        run_desk(app)

    line = caught.value.line()
    assert "KeyError" in line and "test_breaking.py" in line and "\n" not in line
    assert "scene.yaml.unsaved" in line
    assert caught.value.exit_code == 2
    kept = Keeper(scene_file, scene_file.read_text()).unsaved()
    assert kept is not None and kept.scene.beats[0].strength == 0.8
    printed = capsys.readouterr()
    assert "Traceback" not in printed.out + printed.err


def test_a_breakdown_in_a_thread_says_what_broke(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = make_app()
    app.planner = broken
    headless(app, monkeypatch, "full_stop", "S")
    with pytest.raises(LinebeatError, match="KeyError"):
        run_desk(app)

    assert Keeper(scene_file, scene_file.read_text()).unsaved() is not None


def test_a_breakdown_without_changes_keeps_nothing(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = make_app()
    monkeypatch.setattr(app.session, "picture", broken)
    headless(app, monkeypatch, "p")
    with pytest.raises(LinebeatError, match="nothing was unsaved"):
        run_desk(app)

    assert Keeper(scene_file, scene_file.read_text()).unsaved() is None


def test_a_desk_that_is_left_is_0(make_app: MakeApp, monkeypatch: pytest.MonkeyPatch) -> None:
    app = make_app()
    headless(app, monkeypatch, "q")

    assert run_desk(app) == 0


def test_the_command_passes_the_breakdown_on(
    make_app: MakeApp, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from planner import cli
    from planner.commands import desk

    app = make_app()
    monkeypatch.setattr(app.session, "picture", broken)
    headless(app, monkeypatch, "full_stop", "S", "p")
    monkeypatch.setattr("planner.desk.run.open_app", lambda *_, **__: app)
    monkeypatch.setattr(desk, "is_first_run", lambda: False)
    monkeypatch.setattr(desk, "is_at_a_terminal", lambda: True)

    assert cli.main(["desk", "scene.yaml"]) == 2
    printed = capsys.readouterr()
    assert printed.err.count("\n") == 1 and printed.err.startswith("linebeat: the desk broke down")
