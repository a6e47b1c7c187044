"""Saving, unsaved work, a file changed by somebody else, the picture, sound."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
import yaml
from desk_keys import press, settle
from textual.pilot import Pilot

from audio.errors import LinebeatError
from planner.desk.app import DeskApp
from planner.desk.choices import BeatAt
from planner.desk.dialogs.choose import Choose
from planner.desk.edits import beats as tagging
from planner.desk.on_disk import Keeper
from planner.desk.sound.out import Mix, Playing, mix_scene, slowed
from planner.desk.state import Desk
from planner.frames import Clock, FrameRate
from planner.scene import Scene
from planner.scene_file import read_scene, read_scene_and_text

MakeApp = Callable[..., DeskApp]


def stronger(scene: Scene, strength: float) -> Scene:
    beats = (replace(scene.beats[0], strength=strength), *scene.beats[1:])
    return replace(scene, beats=beats)


async def test_saving_writes_the_change_and_keeps_what_a_person_wrote(
    make_app: MakeApp, scene_file: Path
) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S")
        assert "not saved: 1 change" in str(app.views.rows["head"])  # type: ignore[union-attr]
        await press(pilot, "s")
        assert "'saved '" in str(app.views.rows["head"])  # type: ignore[union-attr]

    text = scene_file.read_text()
    assert text.startswith("# written by a person\n")
    assert yaml.safe_load(text)["beats"][0]["strength"] == 0.8
    assert not app.session.keeper.unsaved_path.exists()


async def test_unsaved_work_is_kept_beside_the_scene_within_seconds(
    make_app: MakeApp, scene_file: Path
) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S")
        app.session.keep()
        await settle(pilot)

        kept = Keeper(scene_file, scene_file.read_text()).unsaved()
        assert kept is not None and kept.fits
        assert kept.scene.beats[0].strength == 0.8
        await press(pilot, "s")
        assert Keeper(scene_file, scene_file.read_text()).unsaved() is None


async def test_unsaved_work_is_offered_and_taken_up(make_app: MakeApp, scene_file: Path) -> None:
    scene, text = read_scene_and_text(scene_file)
    Keeper(scene_file, text).keep(stronger(scene, 0.2))
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert isinstance(app.screen, Choose)
        await press(pilot, "t")
        assert app.desk.scene.beats[0].strength == 0.2 and app.desk.changed
        await press(pilot, "z")
        assert app.desk.scene.beats[0].strength == 0.7


async def test_unsaved_work_can_be_put_aside_and_is_not_lost(
    make_app: MakeApp, scene_file: Path
) -> None:
    scene, text = read_scene_and_text(scene_file)
    keeper = Keeper(scene_file, text)
    keeper.keep(stronger(scene, 0.2))
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "a")

    assert not app.desk.changed
    assert keeper.unsaved() is None
    assert "0.2" in (scene_file.parent / "scene.yaml.unsaved~").read_text()


def test_unsaved_work_says_when_the_file_has_changed_since(scene_file: Path) -> None:
    scene, text = read_scene_and_text(scene_file)
    Keeper(scene_file, text).keep(stronger(scene, 0.2))
    changed = text + "# and a word more\n"

    kept = Keeper(scene_file, changed).unsaved()
    assert kept is not None and not kept.fits


@pytest.mark.parametrize("body", [b"", b"\xff\xfe", b"# unsaved\nbeats: [", b"lines: 1\n"])
def test_broken_unsaved_work_does_not_keep_the_desk_from_opening(
    scene_file: Path, body: bytes
) -> None:
    keeper = Keeper(scene_file, scene_file.read_text())
    keeper.unsaved_path.write_bytes(body)

    assert keeper.unsaved() is None


@pytest.mark.parametrize(
    ("answer", "strength", "changed"), [("t", 0.1, False), ("k", 0.8, True), ("w", 0.8, False)]
)
async def test_a_file_changed_on_disk_is_noticed_and_both_are_offered(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch, answer: str,
    strength: float, changed: bool,
) -> None:  # fmt: skip
    app = make_app()
    readings = app.desk.shot.heard
    monkeypatch.setattr("planner.commands._shared.read_lines", lambda scene: dict(readings))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S")
        theirs = scene_file.read_text().replace("strength: 0.7", "strength: 0.1")
        scene_file.write_text(theirs)
        app.session.look()
        await settle(pilot)
        assert not isinstance(app.screen, Choose)  # no question comes by itself
        assert "changed on disk: F asks" in str(app.views.rows["head"])  # type: ignore[union-attr]
        await press(pilot, "F", answer)

        assert app.desk.scene.beats[0].strength == strength
        assert app.desk.changed is changed
    if answer == "w":
        assert read_scene(scene_file).beats[0].strength == 0.8
        assert (scene_file.parent / "scene.yaml~").read_text() == theirs
    else:
        assert scene_file.read_text() == theirs


async def test_with_nothing_unsaved_a_changed_file_is_taken_over_quietly_and_eats_no_key(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = make_app()
    readings = app.desk.shot.heard
    monkeypatch.setattr("planner.commands._shared.read_lines", lambda scene: dict(readings))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop")
        scene_file.write_text(scene_file.read_text().replace("strength: 0.7", "strength: 0.1"))
        app.session.look()
        await press(pilot, "t", "k", "escape")  # letters of the old question mean what they meant

        assert app.desk.scene.beats[0].strength == 0.1 and not app.desk.changed
        await press(pilot, "z")
        assert app.desk.scene.beats[0].strength == 0.7


async def test_saving_over_a_file_changed_meanwhile_asks_first(
    make_app: MakeApp, scene_file: Path
) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S")
        theirs = scene_file.read_text() + "# theirs\n"
        scene_file.write_text(theirs)
        await press(pilot, "s")

        assert isinstance(app.screen, Choose)
        assert scene_file.read_text() == theirs
        await press(pilot, "escape")
        assert app.desk.changed
        assert "changed on disk" in str(app.views.rows["head"])  # type: ignore[union-attr]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root writes everywhere")
async def test_a_folder_that_cannot_be_written_is_said(make_app: MakeApp, scene_file: Path) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S")
        scene_file.parent.chmod(0o500)
        try:
            await press(pilot, "s")
            assert "not saved" in app.desk.said
        finally:
            scene_file.parent.chmod(0o700)


async def test_a_scene_that_cannot_be_saved_is_said_and_stays_on_the_desk(
    make_app: MakeApp, scene_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> str:
        raise LinebeatError("no room", where=str(scene_file), mend="free some")

    monkeypatch.setattr("planner.desk.on_disk.save_scene", full)
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S", "s")

        assert "no room" in app.desk.said and app.desk.changed


async def test_a_picture_of_what_is_seen_is_saved_as_svg(
    make_app: MakeApp, scene_file: Path
) -> None:
    app = make_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot, "p")

    (picture,) = scene_file.parent.glob("*.svg")
    root = ElementTree.parse(picture).getroot()
    assert root.tag.endswith("svg")
    assert "http" not in picture.read_text().replace("http://www.w3.org", "")
    assert "teasing" in "".join(root.itertext())


async def until(pilot: Pilot[int], holds: Callable[[], bool]) -> None:
    """Wait for the player's own ticking, which a busy machine may delay."""
    for _ in range(200):
        if holds():
            return
        await pilot.pause(0.05)
    raise AssertionError("it never came to hold")


class Now:
    """A clock for tests."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


@pytest.mark.parametrize(("half", "frame"), [(False, 1003 + 12), (True, 1003 + 6)])
async def test_the_cursor_runs_in_time_with_the_sound(
    make_app: MakeApp, half: bool, frame: int
) -> None:
    now = Now()
    app = make_app(now_s=now)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *(["h"] if half else []), "space")
        now.now_s += 0.5
        await until(pilot, lambda: app.desk.cursor == frame)
        await press(pilot, "space")
        now.now_s += 5
        await pilot.pause(0.1)

        assert app.desk.cursor == frame and app.player.playing is None


async def test_what_is_picked_plays_over_and_over(make_app: MakeApp) -> None:
    now = Now()
    app = make_app(now_s=now)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", ">", "o")
        before = app.desk.cursor
        now.now_s += 60.0 + 5 / 24
        await until(pilot, lambda: app.desk.cursor != before)

        assert app.player.playing is not None
        assert 1003 <= app.desk.cursor <= 1015
        await press(pilot, "o")


async def test_without_a_device_the_cursor_runs_and_says_once_that_it_is_silent(
    make_app: MakeApp,
) -> None:
    def none() -> None:
        raise LinebeatError("no sound: no device")

    now = Now()
    app = make_app(now_s=now)
    app.player.make_out = none  # type: ignore[assignment]
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "space")
        first = app.desk.said
        now.now_s += 0.5
        await until(pilot, lambda: app.desk.cursor == 1015)
        await press(pilot, "space", "right", "space")

    assert first.startswith("no sound") and app.desk.said == ""


async def test_each_step_sounds_when_wanted(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", "right", "right")
        assert len(app.player._out.played) == 2  # type: ignore[union-attr]
        await press(pilot, "b", "right")
        assert len(app.player._out.played) == 2  # type: ignore[union-attr]


@pytest.mark.parametrize("rate", ["24", "23.976", "29.97df", "60"])
def test_playing_shows_the_frame_on_screen_at_that_time(rate: str) -> None:
    clock = Clock(FrameRate.parse(rate), 1001)
    playing = Playing(1011, 1020, False, 1.0, 5.0)
    frame_s = clock.rate.start_s(1)

    assert playing.frame_at(5.0, clock) == 1011
    assert playing.frame_at(5.0 + 9.5 * frame_s, clock) == 1020
    assert playing.frame_at(5.0 + 10.1 * frame_s, clock) is None


def test_the_lines_of_a_scene_are_mixed_at_their_places(demo: Path) -> None:
    scene = read_scene(demo)
    mix = mix_scene(scene)
    second = scene.lines[1]

    assert abs(mix.between(second.at_s + 0.3, second.at_s + 2.0)).max() > 0.01
    assert len(mix.between(-1.0, 1.0)) == 2 * mix.rate_hz
    assert not mix.between(-1.0, 0.0).any()


def test_half_speed_is_twice_as_long_at_the_same_pitch() -> None:
    """A 220 Hz tone stays 220 Hz (its strongest bin), by numpy's own transform."""
    import numpy as np

    rate = 16_000
    tone = np.sin(2 * np.pi * 220 * np.arange(rate) / rate).astype(np.float32)
    slow = slowed(tone, 0.5)

    assert len(slow) == pytest.approx(2 * rate, rel=0.01)
    spectrum = np.abs(np.fft.rfft(slow[4000:20000]))
    assert np.argmax(spectrum) * rate / 16000 == pytest.approx(220, abs=2)


def test_silence_is_mixed_for_a_scene_without_sound() -> None:
    assert not Mix.silent().between(0.0, 1.0).any()


def test_editing_never_touches_the_file(desk: Desk, scene_file: Path) -> None:
    before = scene_file.read_text()
    tagging.change_strength(replace(desk, choice=BeatAt(0)), 1)

    assert scene_file.read_text() == before
