"""What once went wrong at the desk, each by keys or mouse: sight, choice, loss, words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from desk_keys import press
from textual import events
from textual.pilot import Pilot

from planner.desk.app import DeskApp
from planner.desk.choices import BeatAt, Frames, Phrases, PoseAt, SuggestionOf, Words
from planner.desk.rows_widget import RowsWidget
from planner.desk.run import open_app
from planner.desk.views.cells import row_text

MakeApp = Callable[..., DeskApp]


def shown(app: DeskApp, panel: str) -> list[str]:
    """The rows of a panel, as text."""
    return [row_text(row) for row in app.views.rows[panel]]  # type: ignore[union-attr]


def spot(app: DeskApp, line: int, word: int) -> tuple[int, int]:
    """Column and row of a word of the script."""
    spots = app.views.seen["script"].spots  # type: ignore[union-attr]
    at = next(s for s in spots if s.means == Words(line, word, word))
    return at.first, at.row


async def wheel(pilot: Pilot[int], panel: str, notches: int) -> None:
    """Turn the wheel over a panel, toward the end."""
    widget = pilot.app.query_one(f"#{panel}", RowsWidget)
    for _ in range(notches):
        widget.post_message(
            events.MouseScrollDown(widget, 30, 1, 0, 1, 0, False, False, False, 30, 10)
        )
        await pilot.pause()


async def test_a_click_in_the_script_picks_the_word_under_it_and_nothing_moves(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down", "down")
        before = shown(app, "script")
        column, row = spot(app, 2, 4)
        await pilot.click("#script", offset=(column, row))

        assert app.desk.choice == Words(2, 4, 4)
        assert shown(app, "script")[0][:70] == before[0][:70]


async def test_a_drag_in_the_script_picks_words(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down", "down")
        (first, row), (last, _) = spot(app, 2, 3), spot(app, 2, 6)
        await pilot.mouse_down("#script", offset=(first, row))
        await pilot.hover("#script", offset=(last, row))
        await pilot.mouse_up("#script", offset=(last, row))

        assert app.desk.choice == Words(2, 3, 6)


async def test_shift_and_arrows_pick_words_and_phrases_in_the_script(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot, "full_stop", "shift+right", "shift+right", "shift+left")
        assert app.desk.choice == Words(1, 1, 2)
        await press(pilot, "down", "shift+down")
        assert app.desk.choice == Phrases(1, 2, 1)


async def test_the_script_shows_punctuation_wordless_beats_cues_notes_and_whole_remarks(
    demo: Path,
) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(80, 60)):
        text = " ".join(" ".join(shown(app, "script")).split())

    assert "That is the third umbrella this week." in text and "The third?" in text
    assert "(curious 0.4, 24 frames without a word)" in text
    assert "looks along the shelf below the counter" in text
    assert 'visitor hears "third": surprised' in text
    assert "“lead: head and chest and hand all stop at once”" in text


async def test_the_wheel_scrolls_the_script_and_chooses_nothing(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(80, 24)) as pilot:
        before, top = app.desk.choice, shown(app, "script")[0]
        await wheel(pilot, "script", 2)
        assert app.desk.choice == before and shown(app, "script")[0] != top
        await press(pilot, "down")  # what is chosen is shown again
        assert "› The third?" in "\n".join(shown(app, "script"))


async def test_nothing_out_of_sight_is_removed(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(60, 24)) as pilot:
        await press(pilot, "f4", "home", "a", *"head", "enter", "end")
        await wheel(pilot, "poses", 20)
        assert app.desk.choice == PoseAt(0) and app.desk.window.first > 1001
        await press(pilot, "d")
        assert len(app.desk.scene.poses) == 1 and "out of sight" in app.desk.said
        assert app.desk.window.first == 1001
        await press(pilot, "d")
        assert app.desk.scene.poses == ()


async def test_strength_on_a_suggestion_keeps_it_chosen_and_a_nudge_moves_it_alone(
    make_app: MakeApp,
) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "tab", "tab")
        chosen = app.desk.choice
        assert isinstance(chosen, SuggestionOf)
        await press(pilot, "S", "]")

        assert app.desk.choice == chosen
        assert app.desk.scene.beats[0].words == (1, 3)
        assert [d.do for d in app.desk.scene.decisions] == ["move"]


async def test_a_nudged_edge_of_a_beat_of_words_goes_by_words(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "tab", "]")

        assert [b.words for b in app.desk.scene.beats] == [(1, 4), (5, 6)]


async def test_a_tag_says_what_it_replaces_and_keeps_remarks(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f2", "r", *"sly", "enter", "full_stop", ">", ">", ">", ">", ">", "t")
        await press(pilot, *"angry", "enter")

        (beat,) = app.desk.scene.beats
        assert (beat.intent, beat.words, beat.note) == ("angry", (1, 6), "sly")
        assert "replaces teasing, tender" in app.desk.said


async def test_a_key_that_does_nothing_says_so(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "j")
        assert app.desk.said == "j does nothing: ? lists every key"
        await press(pilot, "x")
        assert app.desk.said == "next problem works in Mend"


async def test_undo_says_what_it_takes_back(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f2", "S", "z")

        assert app.desk.said == "undone: teasing at 0.8"


async def test_a_decision_taken_back_leaves_no_empty_key(demo: Path) -> None:
    before = demo.read_text(encoding="utf-8")
    app = open_app(str(demo))
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "m", "tab", "tab", "k", "s")
        assert "decisions:" in demo.read_text(encoding="utf-8")
        await press(pilot, "k", "s")

    assert demo.read_text(encoding="utf-8").rstrip() == before.rstrip()


async def test_findings_are_told_in_words_not_by_their_identifiers(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f4", "end", "a", *"chest", "enter", "x")

        assert app.desk.choice is not None
        assert "late by" in "\n".join(shown(app, "why"))
        assert not any(line.strip().endswith(": late") for line in shown(app, "why"))


async def test_without_poses_nothing_is_praised(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f4")

        assert "no key poses yet" in shown(app, "problems")[0]


async def test_the_first_row_of_a_scrolled_plan_says_whose_it_is(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "m", "tab", "tab", *["down"] * 6)

        assert any(who in shown(app, "plan")[0][:12] for who in ("clerk", "visitor"))


async def test_a_focused_panel_has_its_nearest_thing_chosen(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "g", *"1045", "enter", "tab")
        assert app.desk.choice == BeatAt(1)
        await press(pilot, "tab")
        assert isinstance(app.desk.choice, SuggestionOf)


async def test_a_note_on_frames_can_still_be_picked(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "shift+right", "shift+right")
        assert isinstance(app.desk.choice, Frames)


# what is built on it
