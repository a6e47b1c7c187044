"""The app by its mouse, through Textual's Pilot: clicks, drags, the wheel."""

from __future__ import annotations

from collections.abc import Callable

from desk_keys import press, settle

from planner.desk.app import DeskApp
from planner.desk.choices import BeatAt, Frames, NoteAt, SuggestionOf, Words
from planner.desk.dialogs.pick import Pick
from planner.desk.rows_widget import RowsWidget
from planner.desk.state import Desk
from planner.desk.views.cells import row_text

MakeApp = Callable[..., DeskApp]
ACCENT = "accent/head/kettle/w2s1"


def accent(desk: Desk) -> tuple[int, int]:
    return desk.index.by_id[ACCENT].frames


async def test_the_mouse_picks_words_frames_beats_and_suggestions(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        gutter = app.views.gutter  # type: ignore[union-attr]
        await pilot.click("#words", offset=(gutter + 7, 3))
        assert app.desk.choice == Words(1, 2, 2)

        await pilot.mouse_down("#words", offset=(gutter + 3, 3))
        await pilot.hover("#words", offset=(gutter + 16, 3))
        await pilot.mouse_up("#words", offset=(gutter + 16, 3))
        assert app.desk.choice == Words(1, 1, 3)

        await pilot.mouse_down("#ruler", offset=(gutter + 10, 0))
        await pilot.hover("#ruler", offset=(gutter + 14, 0))
        await pilot.mouse_up("#ruler", offset=(gutter + 14, 0))
        assert app.desk.choice == Frames(1011, 1015, 1011)

        await pilot.click("#beats", offset=(gutter + 8, 0))
        assert isinstance(app.desk.choice, BeatAt) and app.desk.choice.index == 0
        assert app.desk.panel == "beats"

        await pilot.click("#plan", offset=(gutter + 8, 3))
        assert app.desk.choice == SuggestionOf(ACCENT)
        assert app.desk.panel == "plan"

        await pilot.click("#notes", offset=(gutter + 31, 0))
        assert app.desk.choice == NoteAt(0)


async def test_the_mouse_drags_a_beat_s_edge(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        gutter = app.views.gutter  # type: ignore[union-attr]
        await pilot.mouse_down("#beats", offset=(gutter + 22, 0))
        for column in (23, 25, 26):
            await pilot.hover("#beats", offset=(gutter + column, 0))
        await pilot.mouse_up("#beats", offset=(gutter + 26, 0))
        await settle(pilot)

        assert app.desk.scene.beats[0].words == (1, 3)  # not as far as the next word

        await pilot.mouse_down("#beats", offset=(gutter + 22, 0))
        for column in (25, 40, 36):
            await pilot.hover("#beats", offset=(gutter + column, 0))
        await pilot.mouse_up("#beats", offset=(gutter + 36, 0))
        await settle(pilot)
        assert app.desk.scene.beats[0].words == (1, 4)  # an edge of words snaps to words
        assert app.desk.scene.beats[1].words == (5, 6)
        await press(pilot, "z")
        assert app.desk.scene.beats[0].words == (1, 3) and not app.desk.changed


async def test_the_wheel_pans_and_with_ctrl_zooms(make_app: MakeApp) -> None:
    from textual import events

    app = make_app()
    async with app.run_test(size=(60, 30)) as pilot:
        await press(pilot, "full_stop")
        first, choice = app.desk.window.first, app.desk.choice
        tone = app.query_one("#words")

        def wheel(ctrl: bool) -> events.MouseScrollDown:
            return events.MouseScrollDown(tone, 30, 3, 0, 1, 0, False, False, ctrl, 30, 10)

        tone.post_message(wheel(ctrl=False))
        await pilot.pause()
        assert app.desk.window.first == first + 6 and app.desk.choice == choice
        tone.post_message(wheel(ctrl=True))
        await pilot.pause()
        assert app.desk.window.per_column == 2


async def test_the_ways_in_and_the_line_of_keys_can_be_clicked(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        for name, way in (("Mend", "mend"), ("Mean", "mean"), ("Move", "move")):
            head = row_text(app.views.rows["head"][0])  # type: ignore[union-attr]
            await pilot.click("#head", offset=(head.index(name) + 2, 0))
            assert app.desk.way == way

        line = row_text(app.query_one("#keys", RowsWidget).rows[0])
        await pilot.click("#keys", offset=(line.index(". next") + 2, 0))
        assert app.desk.choice == Words(1, 1, 1)
        await pilot.click("#keys", offset=(line.index("all keys"), 0))
        assert isinstance(app.screen, Pick)
        await press(pilot, "escape")
        await pilot.click("#keys", offset=(line.index(". next") - 1, 0))
        assert app.desk.choice == Words(1, 1, 1) and len(app.screen_stack) == 1


async def test_an_accent_is_dragged_by_frames_in_one_change(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        gutter = app.views.gutter  # type: ignore[union-attr]
        before = accent(app.desk)
        await pilot.mouse_down("#plan", offset=(gutter + 8, 3))
        assert app.desk.choice == SuggestionOf(ACCENT)
        for column in (9, 12, 11):
            await pilot.hover("#plan", offset=(gutter + column, 3))
        await pilot.mouse_up("#plan", offset=(gutter + 11, 3))
        await settle(pilot)

        assert accent(app.desk) == (before[0] + 3, before[1] + 3)
        assert "not saved: 1 change" in str(app.views.rows["head"])  # type: ignore[union-attr]
        await pilot.hover("#plan", offset=(gutter + 20, 3))  # let go: nothing is dragged
        assert accent(app.desk) == (before[0] + 3, before[1] + 3)
        await press(pilot, "z")
        assert accent(app.desk) == before and not app.desk.changed


async def test_a_pose_is_dragged_by_frames(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f4", "g", *"1007", "enter", "a", *"head", "enter")
        gutter = app.views.gutter  # type: ignore[union-attr]
        await pilot.mouse_down("#poses", offset=(gutter + 6, 0))
        await pilot.hover("#poses", offset=(gutter + 10, 0))
        await pilot.mouse_up("#poses", offset=(gutter + 10, 0))
        await settle(pilot)

        assert app.desk.scene.poses[0].frame == 1011
        await press(pilot, "z", "z")
        assert not app.desk.changed
