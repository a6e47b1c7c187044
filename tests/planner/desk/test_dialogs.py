"""The questions: one answer each, whatever is struck after it; lists; screens without room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from desk_keys import press, settle
from textual import events
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static

from planner.desk.app import DeskApp
from planner.desk.dialogs.ask import Ask
from planner.desk.dialogs.choose import Choose
from planner.desk.dialogs.page import Page
from planner.desk.dialogs.pick import Pick
from planner.desk.edits.beats import tag
from planner.desk.entries import Entry, intent_entries, matching
from planner.desk.on_disk import Keeper
from planner.scene_file import read_scene, read_scene_and_text

MakeApp = Callable[..., DeskApp]


async def strike(pilot: Pilot[int], *keys: str) -> None:
    """Keys so fast that none is done with before the next, as a terminal hands them over."""
    for key in keys:
        char = key if len(key) == 1 else "\r" if key == "enter" else None
        pilot.app.post_message(events.Key(key, char))
    await settle(pilot)
    await settle(pilot)


# What closes a question, struck twice; then what the second does, which is the desk's.
TWICE: dict[str, tuple[tuple[str, ...], tuple[str, str], type[Screen[object]]]] = {
    "a tag": (("full_stop", "t"), ("enter", "enter"), Page),
    "a note": (("full_stop", "n", "h", "i"), ("enter", "enter"), Page),
    "a place": (("g", *"1100"), ("enter", "enter"), Screen),
    "the list of actions": (("question_mark", *"unit"), ("enter", "enter"), Screen),
    "a reason": (("full_stop", "W", "enter"), ("q", "q"), Choose),
    "nothing": (("g",), ("escape", "escape"), Screen),
}


@pytest.mark.parametrize("name", TWICE)
async def test_a_closing_key_struck_twice_closes_once(make_app: MakeApp, name: str) -> None:
    keys, closing, then = TWICE[name]
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, *keys)
        asked = app.screen
        assert len(app.screen_stack) == 2
        await strike(pilot, *closing)

        assert asked not in app.screen_stack
        assert isinstance(app.screen, then) and len(app.screen_stack) == 1 + (then is not Screen)
    assert app.broke is None


@pytest.mark.parametrize("answer", ["n", "s", "q"])
async def test_keys_after_leaving_are_let_fall(
    make_app: MakeApp, scene_file: Path, answer: str
) -> None:
    """Else an `s` struck after "quit without the changes" would save them after all."""
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "full_stop", "W")
        for key in ("q", answer, "W", "s"):
            app.post_message(events.Key(key, key))
        await pilot.pause()
        await pilot.pause(0.2)

    assert app.return_value == 0 and app.broke is None
    assert read_scene(scene_file).beats[0].strength == (0.6 if answer == "s" else 0.7)
    assert scene_file.with_name("scene.yaml.unsaved").exists() == (answer == "q")


async def test_unsaved_work_is_taken_up_once(make_app: MakeApp, scene_file: Path) -> None:
    scene, text = read_scene_and_text(scene_file)
    keeper = Keeper(scene_file, text)
    app = make_app()
    keeper.keep(tag_first(scene_file))
    async with app.run_test(size=(90, 30)) as pilot:
        await settle(pilot)
        assert isinstance(app.screen, Choose)
        await strike(pilot, "t", "t")

        assert app.desk.scene.beats[0].intent == "proud" != scene.beats[0].intent


def tag_first(scene_file: Path):  # type: ignore[no-untyped-def]
    """The scene with another first intent."""
    from dataclasses import replace

    scene = read_scene(scene_file)
    return replace(scene, beats=(replace(scene.beats[0], intent="proud"), *scene.beats[1:]))


async def test_unsaved_work_not_taken_up_is_never_written_over(
    make_app: MakeApp, scene_file: Path
) -> None:
    """Escape puts it aside: left where it lies, the next change would take its place."""
    keeper = Keeper(scene_file, scene_file.read_text())
    keeper.keep(tag_first(scene_file))
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await settle(pilot)
        await press(pilot, "escape", "q")

    assert "proud" in (scene_file.parent / "scene.yaml.unsaved~").read_text()


async def test_a_list_without_a_match_says_so_and_gives_nothing(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "full_stop", "t", *"zzz")
        listed = app.screen.query_one(OptionList)
        assert [str(o.prompt) for o in listed.options] == ["no such intent; esc"]
        await press(pilot, "down", "up", "enter")
        assert isinstance(app.screen, Pick)
        await press(pilot, "escape")

        assert not app.desk.changed and len(app.screen_stack) == 1


async def test_enter_takes_the_best_match_not_what_was_chosen_before(make_app: MakeApp) -> None:
    """What stood there is lit until something is typed; then the first of the list is."""
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "full_stop", "t")
        listed = app.screen.query_one(OptionList)
        assert listed.highlighted is not None
        assert listed.get_option_at_index(listed.highlighted).id == "teasing"
        await press(pilot, "t", "e")
        assert listed.highlighted == 0
        await press(pilot, "n", "enter")

        assert app.desk.scene.beats[0].intent == "tender"


def test_intents_stand_by_name_and_the_best_match_first(desk) -> None:  # type: ignore[no-untyped-def]
    entries = intent_entries(tag(desk, "proud").scene)
    names = [entry.name for entry in entries]
    assert names == sorted(names) and len(names) > 5

    made = [Entry("a", "at rest", "calm"), Entry("b", "calm", ""), Entry("c", "calmly", ""),
            Entry("d", "so calm", "")]  # fmt: skip
    assert [e.id for e in matching(made, "Calm")] == ["b", "c", "d", "a"]


@pytest.mark.parametrize("size", [(20, 5), (40, 8)])
async def test_without_room_a_question_is_a_line_and_its_keys_work(
    make_app: MakeApp, scene_file: Path, size: tuple[int, int]
) -> None:
    app = make_app()
    async with app.run_test(size=size) as pilot:
        await press(pilot, "g", *"1010")
        assert isinstance(app.screen, Ask)
        assert app.screen.query_one(Input).region.height == 1
        assert line_shown(app) == "too small; esc"
        await press(pilot, "enter", "full_stop", "t")
        assert line_shown(app) == "too small; esc"
        assert app.screen.query_one(OptionList).region.height > 0
        await press(pilot, *"proud", "enter")
        assert any(beat.intent == "proud" for beat in app.desk.scene.beats)
        await press(pilot, "q")
        assert line_shown(app) == "too small; s q n esc"
        await pilot.press("s")
        await pilot.pause()

    assert app.return_value == 0
    assert any(beat.intent == "proud" for beat in read_scene(scene_file).beats)


def line_shown(app: DeskApp) -> str:
    """The line for screens without room, which must be seen in full."""
    line = app.screen.query_one(".little", Static)
    text = str(line.render())
    assert line.display and line.region.height == 1 and line.region.width >= len(text)
    assert app.size.width >= line.region.right and app.size.height >= line.region.bottom
    return text


async def test_with_room_the_line_is_not_there(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S", "q")
        assert not app.screen.query_one(".little", Static).display
        assert app.screen.query_one(OptionList).region.height == 3


async def test_a_letter_means_the_same_in_every_question(make_app: MakeApp) -> None:
    """`d` drops, on the desk; no question uses it for something else."""
    app = make_app()
    keys: set[str] = set()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "full_stop", "S", "q")
        assert isinstance(app.screen, Choose)
        keys |= {key for _, key, _ in app.screen._answers}
        await press(pilot, "escape")
        app.session._ask_which()
        await settle(pilot)
        assert isinstance(app.screen, Choose)
        keys |= {key for _, key, _ in app.screen._answers}

    assert keys == {"s", "q", "n", "t", "k", "w"}
