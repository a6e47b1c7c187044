"""Keys that come in one write, pastes: strictly in turn, to where each belongs."""

from __future__ import annotations

import asyncio
import random
from collections.abc import Callable
from functools import partial
from pathlib import Path

import desk_keys
import pytest
from textual import events
from textual.containers import VerticalScroll
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widgets import Input

from planner.desk.app import DeskApp
from planner.desk.choices import Words
from planner.desk.dialogs.page import Page
from planner.desk.turns import as_line
from planner.desk.views.cells import Rows, row_text
from planner.scene_file import read_scene

MakeApp = Callable[..., DeskApp]
NAMED = {"\r": "enter", "\t": "tab", "\x1b": "escape", "\x7f": "backspace"}


settle, press = partial(desk_keys.settle, rounds=2), partial(desk_keys.press, rounds=2)


async def write(pilot: Pilot[int], text: str) -> None:
    """Keys in one write, as a terminal hands them over: all are there before the first is done."""
    for char in text:
        key = NAMED.get(char) or _character_to_key(char)
        pilot.app.post_message(events.Key(key, char))
    await settle(pilot)


def only(app: DeskApp) -> bool:
    """True if the board is alone on the screen."""
    return len(app.screen_stack) == 1


# One write, and what must hold after it.
WRITES: dict[str, tuple[str, Callable[[DeskApp], bool]]] = {
    "a tag": (
        ".>>tproud\r", lambda a: a.desk.scene.beats[0].intent == "proud" and only(a)),
    "a tag by letters that are keys of the desk": (
        ".ttender\r", lambda a: a.desk.scene.beats[0].intent == "tender" and only(a)),
    "a tag, and keys after it": (
        ".>>tproud\rSS", lambda a: a.desk.scene.beats[0].strength == 0.9),
    "letters after enter are not part of the text": (
        "g1050\r.", lambda a: isinstance(a.desk.choice, Words) and a.desk.cursor != 1006),
    "a letter taken back": (
        ".rsly\x7f\x7foft\r", lambda a: a.desk.scene.beats[0].note == "soft"),
    "a question left, and keys after it": (
        ".t\x1bS", lambda a: a.desk.scene.beats[0].strength == 0.8 and only(a)),
    "a note whose letters are keys": (
        "nquit dropped zest\r", lambda a: a.desk.scene.notes[-1].text == "quit dropped zest"),
    "a list of actions, and what it opens": (
        "?go to\r1050\r", lambda a: a.desk.cursor == 1050 and only(a)),
    "two questions, one after the other": (
        "nfirst\rnsecond\r",
        lambda a: [n.text for n in a.desk.scene.notes[-2:]] == ["first", "second"]),
    "a pose, and the panel after it": (
        "mahead chin down\r", lambda a: a.desk.scene.poses[0].name == "chin down"),
    "a refused place, mended": (
        "gsoon\r\x7f\x7f\x7f\x7f1050\r", lambda a: a.desk.cursor == 1050 and only(a)),
    "quitting, thought better of": (
        ".Sq\x1bS", lambda a: a.desk.scene.beats[0].strength == 0.9 and only(a)),
}  # fmt: skip


@pytest.mark.parametrize("name", WRITES)
async def test_keys_in_one_write_do_what_they_do_one_by_one(make_app: MakeApp, name: str) -> None:
    text, holds = WRITES[name]
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await settle(pilot)
        await write(pilot, text)

        seen = (app.desk.said, app.desk.choice, app.desk.cursor, app.screen)
        assert holds(app), (*seen, app.desk.scene.beats, app.desk.scene.notes)
    assert app.broke is None


@pytest.mark.parametrize("seed", range(4))
async def test_how_fast_keys_come_makes_no_difference(make_app: MakeApp, seed: int) -> None:
    """Any keys, in one write and one by one: the same beats and notes, the same question up."""
    chance = random.Random(seed)
    keys = "".join(chance.choice(".,>tttgrnS?z10e\r\r\r\x1b\x1b\x7f") for _ in range(50))

    async def ends(by: int) -> tuple[object, ...]:
        app = make_app()
        async with app.run_test(size=(90, 30)) as pilot:
            await settle(pilot)
            for at in range(0, len(keys), by):
                await write(pilot, keys[at : at + by])
            texts = [line.value for line in app.screen.query(Input)]
            scene = app.desk.scene
            app.session.keeper.give_up()  # else a slow run's unsaved work is offered to the next
            return scene.beats, scene.notes, app.desk.choice, type(app.screen), texts

    fast, slow = await ends(len(keys)), await ends(1)
    assert fast == slow


async def test_a_page_opened_by_a_key_scrolls_by_the_next(make_app: MakeApp) -> None:
    """It is laid out by then, so that there is something to scroll."""
    app = make_app()
    async with app.run_test(size=(60, 14)) as pilot:
        await press(pilot, "tab", "tab", "down", "full_stop")
        for key in ("enter", "end"):
            app.post_message(events.Key(key, None))
        await settle(pilot)
        await pilot.wait_for_animation()

        assert isinstance(app.screen, Page)
        assert app.screen.query_one(VerticalScroll).scroll_offset.y > 0


async def test_a_question_nobody_asked_for_takes_no_key_before_it_is_up(
    make_app: MakeApp, scene_file: Path
) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await settle(pilot)
        await write(pilot, ".S")
        scene_file.write_text(scene_file.read_text().replace("tender", "proud"))
        app.session.look()
        await write(pilot, "Fw.S")

        assert only(app) and read_scene(scene_file).beats[1].intent == "tender"
        assert app.desk.scene.beats[0].strength == 0.9


async def test_a_key_on_the_board_waits_for_nothing(make_app: MakeApp) -> None:
    """It is done when its event is: nothing is started, nothing asked of any part."""
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "right")
        started, at = len(app.workers), app.desk.cursor
        app.post_message(events.Key("right", None))
        app.post_message(events.Key("right", None))
        await asyncio.sleep(0)
        await asyncio.sleep(0)

        assert app.desk.cursor == at + 2
        assert len(app.workers) == started


PASTED = "quit\tnow,\r\n  drop it; tz\n"


async def test_a_paste_into_a_line_is_text(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "n")
        app.post_message(events.Paste(PASTED))
        await write(pilot, "!\r")

        assert app.desk.scene.notes[-1].text == "quit now, drop it; tz!"


async def test_a_paste_comes_in_its_turn(make_app: MakeApp) -> None:
    """Between keys of the same write: after the line was opened, before it is sent."""
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await settle(pilot)
        app.post_message(events.Key("g", "g"))
        app.post_message(events.Paste("10"))
        await write(pilot, "44\r")

        assert app.desk.cursor == 1044 and only(app)


@pytest.mark.parametrize("opened", ["", ".Sq"])
async def test_a_paste_elsewhere_is_let_fall_and_said(make_app: MakeApp, opened: str) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await write(pilot, opened)
        before, screen = app.desk, app.screen
        app.post_message(events.Paste("ttSSqqss\n"))
        await settle(pilot)

        assert app.desk.scene is before.scene and app.screen is screen
        assert app.desk.said == "a paste is text, and needs a line to write on: r, n or g opens one"
        if not opened:
            shown = " ".join(row_text(row) for name in ("head", "why") for row in rows(app, name))
            assert app.desk.said in " ".join(shown.split())


def rows(app: DeskApp, name: str) -> Rows:
    assert app.views is not None
    return app.views.rows[name]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("one line ", "one line "), ("", ""), ("\n\n", ""), ("a\tb", "a b"),
        ("one\n\n  two\r\nthree", "one two three"), ("bell\a\x1b[31m red", "bell[31m red"),
    ],
)  # fmt: skip
def test_pasted_text_becomes_one_line_that_can_be_shown(text: str, line: str) -> None:
    assert as_line(text) == line
