"""The scene file deleted under an open desk, its folder renamed, or nothing to be written there."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from desk_keys import press, settle
from textual.pilot import Pilot

from planner.desk.app import DeskApp
from planner.desk.on_disk import Keeper
from planner.desk.run import run_desk
from planner.desk.views.cells import row_text
from planner.scene_file import parse_scene, read_scene, read_scene_and_text

MakeApp = Callable[..., DeskApp]


def head(app: DeskApp) -> str:
    assert app.views is not None
    return row_text(app.views.rows["head"][0])


@pytest.fixture(autouse=True)
def spare(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's own folder."""
    folder = tmp_path_factory.mktemp("state")
    monkeypatch.setenv("XDG_STATE_HOME", str(folder))
    return folder / "linebeat"


async def test_a_deleted_file_is_written_anew_with_what_a_person_wrote(
    make_app: MakeApp, scene_file: Path
) -> None:
    text = scene_file.read_text()
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "full_stop", "S")
        scene_file.unlink()
        app.session.look()
        await settle(pilot)
        assert "gone from disk: save rewrites" in head(app)
        await press(pilot, "s")

        assert app.desk.said == "saved; scene.yaml was gone and is written anew"
        assert head(app).rstrip().endswith("saved")
        await press(pilot, "S", "s")
        assert app.desk.said == "saved"
    written = scene_file.read_text()
    assert written.startswith("# written by a person\n")
    assert read_scene(scene_file).beats[0].strength == pytest.approx(0.9)
    kept = [line for line in text.splitlines() if line in written.splitlines()]
    assert len(kept) >= len(text.splitlines()) - 1
    assert not scene_file.with_name("scene.yaml.unsaved").exists()


async def test_a_deleted_file_is_written_anew_without_a_change_too(
    make_app: MakeApp, scene_file: Path
) -> None:
    text = scene_file.read_text()
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        scene_file.unlink()
        await press(pilot, "s")

    assert scene_file.read_text() == text


@pytest.mark.parametrize("kept_meanwhile", [False, True])
async def test_a_renamed_folder_is_made_anew_and_the_one_renamed_left_alone(
    make_app: MakeApp, scene_file: Path, tmp_path: Path, kept_meanwhile: bool
) -> None:
    elsewhere = tmp_path.with_name(tmp_path.name + "_renamed")
    text = scene_file.read_text()
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "full_stop", "S")
        tmp_path.rename(elsewhere)
        if kept_meanwhile:
            app.session.keep()
            await settle(pilot)
        await press(pilot, "s")

        told = "saved; its folder was gone and is made anew, with scene.yaml alone"
        assert app.desk.said == told and not app.desk.changed
    assert read_scene(scene_file).beats[0].strength == 0.8
    assert (elsewhere / "scene.yaml").read_text() == text


async def test_unsaved_work_is_kept_though_the_folder_is_gone(
    make_app: MakeApp, scene_file: Path, tmp_path: Path
) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        tmp_path.rename(tmp_path.with_name(tmp_path.name + "_renamed"))
        await press(pilot, "full_stop", "S")
        app.session.keep()
        await settle(pilot)

    _, _, body = scene_file.with_name("scene.yaml.unsaved").read_text().partition("\n")
    assert parse_scene(body, file="scene.yaml").beats[0].strength == 0.8


def block(folder: Path) -> None:
    """Nothing can be written there any more, not even by root: its parent is a file now."""
    shutil.rmtree(folder.parent)
    folder.parent.write_text("in the way")


@pytest.fixture
def deep(scene_file: Path, tmp_path: Path) -> Path:
    """The scene file in a folder of a folder."""
    folder = tmp_path / "show" / "shot"
    folder.mkdir(parents=True)
    return Path(shutil.move(scene_file, folder / "scene.yaml"))


def moved(app: DeskApp, path: Path, text: str) -> DeskApp:
    app.session.keeper = Keeper(path, text)
    return app


async def test_what_cannot_be_saved_is_said_in_a_line_and_kept_elsewhere(
    make_app: MakeApp, scene_file: Path, deep: Path, spare: Path
) -> None:
    text = deep.read_text()
    scene_file.write_text(text)
    app = moved(make_app(), deep, text)
    async with app.run_test(size=(200, 50)) as pilot:
        await press(pilot, "full_stop", "S")
        block(deep.parent)
        await press(pilot, "s")
        (kept,) = spare.glob("*.unsaved")
        assert app.desk.said == (
            f"not saved: {deep.parent}: the folder is gone and cannot be made: Not a directory; "
            f"put it back where it was; unsaved work is kept in {kept}"
        )
        assert app.desk.changed
        (deep.parent.parent).unlink()
        deep.parent.mkdir(parents=True)
        deep.write_text(text)
        offered = Keeper(deep, text).unsaved()
        assert offered is not None and offered.fits and offered.scene.beats[0].strength == 0.8
        await press(pilot, "s")

    assert read_scene(deep).beats[0].strength == 0.8
    assert not kept.exists()


def test_leaving_says_where_the_changes_lie_if_the_scene_is_gone(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    app = make_app()

    async def keys(pilot: Pilot[int]) -> None:
        await press(pilot, "full_stop", "S")
        scene_file.unlink()
        await pilot.press("q", "q")

    run = app.run
    monkeypatch.setattr(app, "run", lambda: run(headless=True, size=(90, 30), auto_pilot=keys))

    assert run_desk(app) == 0
    assert capsys.readouterr().err == f"unsaved work is kept in {scene_file}.unsaved\n"


@pytest.mark.skipif(os.name != "posix", reason="links are POSIX here")
def test_a_link_to_nothing_counts_as_gone_and_is_written_through(scene_file: Path) -> None:
    scene, text = read_scene_and_text(scene_file)
    target = scene_file.rename(scene_file.with_name("real.yaml"))
    scene_file.symlink_to(target)
    keeper = Keeper(scene_file, text)
    assert not keeper.is_gone()
    target.unlink()
    assert keeper.is_gone()
    keeper.save(replace(scene, title="anew"))

    assert scene_file.is_symlink() and read_scene(target).title == "anew"
