"""What once went wrong at the desk, each by keys or mouse: sight, choice, loss, words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from desk_keys import press, settle
from textual import events
from textual.pilot import Pilot

from planner.desk.app import DeskApp
from planner.desk.choice import choose
from planner.desk.choices import BeatAt, Frames, Phrases, PoseAt, ProblemAt, SuggestionOf, Words
from planner.desk.rows_widget import RowsWidget
from planner.desk.run import open_app
from planner.desk.state import edit
from planner.desk.views.cells import row_text
from planner.desk.views.why import why_text
from planner.scene_file import read_scene

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


async def test_twelve_phrases_are_tagged_in_twenty_four_keys(demo: Path) -> None:
    """A race: every phrase of the demo, none tagged before, by number and down."""
    app = open_app(str(demo))
    app.apply(edit(app.desk, "untagged", beats=()))
    async with app.run_test(size=(120, 36)) as pilot:
        await settle(pilot)
        assert len(app.desk.facts.phrases) == 12 and app.desk.facts.tagged == (0, 12)
        keys = [key for n in range(12) for key in (str(1 + n % 5), "down")]
        assert len(keys) == 24
        await press(pilot, *keys)

        assert app.desk.facts.tagged == (12, 12)
        assert len({beat.intent for beat in app.desk.scene.beats}) == 5


async def test_the_last_tag_goes_on_from_phrase_to_phrase(demo: Path) -> None:
    app = open_app(str(demo))
    app.apply(edit(app.desk, "untagged", beats=()))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "1", "down", "a", "a", "a")

        assert app.desk.facts.tagged[0] == 4
        assert {b.intent for b in app.desk.scene.beats} == {app.desk.favourites[0]}


async def test_several_phrases_are_tagged_at_once_in_one_change(demo: Path) -> None:
    app = open_app(str(demo))
    app.apply(edit(app.desk, "untagged", beats=()))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "shift+down", "shift+down", "2")
        assert app.desk.facts.tagged[0] == 3
        await press(pilot, "z")
        assert app.desk.facts.tagged[0] == 0


@pytest.mark.parametrize(
    ("typed", "means"), [("wooden", "Wooden"), ("note warmer", "thank"), ("pleading", "lost")]
)
async def test_find_goes_to_words_notes_and_intents(demo: Path, typed: str, means: str) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "/", *("space" if c == " " else c for c in typed), "enter")

        span = app.desk.cursor
        near = [w.text for _, w in app.desk.facts.words if abs(w.frames[0] - span) < 40]
        assert any(means in word for word in near), (near, app.desk.choice)


async def test_the_ear_is_corrected_and_the_plan_follows(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "full_stop", *["full_stop"] * 5, "!", rounds=2)
        assert app.desk.scene.lines[0].heard.stress == (6,)
        stresses = next(p for p in app.desk.plan.lines if p.line == 1).stresses
        assert any(s.text and s.text.lower() == "this" and s.degree == "strong" for s in stresses)

        await press(pilot, "m", "]", "]", rounds=2)
        start_s, end_s = app.desk.scene.lines[0].heard.words_s[6]
        assert end_s > start_s and app.desk.panel == "words"


async def test_another_intent_is_compared_flipped_and_taken(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(120, 50)) as pilot:
        await press(pilot, "m", "tab", "=", *"angry", "enter", rounds=3)
        assert app.desk.other is not None and not app.desk.changed
        assert any("angry" in line[:16] for line in shown(app, "plan"))
        await press(pilot, "=")
        assert app.desk.other.on_top and not app.desk.changed
        await press(pilot, "T", rounds=2)
        assert app.desk.scene.beats[0].intent == "angry" and app.desk.other is None


async def test_two_plays_are_compared_flipped_taken_and_written(demo: Path) -> None:
    """What the desk shows beside is the plan `play:` gives, and taking it writes just that."""
    app = open_app(str(demo))
    async with app.run_test(size=(120, 50)) as pilot:
        own = app.desk.plan
        await press(pilot, "m", "tab", "=", *"eyes only", "enter", rounds=3)
        assert app.desk.other is not None and app.desk.other.told == "eyes only"
        assert app.desk.other.plan.suggestions != own.suggestions and not app.desk.changed
        assert any("eyes on" in line[:16] for line in shown(app, "plan"))
        await press(pilot, "=", "T", rounds=2)
        assert app.desk.scene.beats[0].play == "eyes only"
        assert any("teasing 0.7, eyes only" in line for line in shown(app, "why"))
        await press(pilot, "=", *"play: smaller", "enter", rounds=3)
        assert app.desk.other is not None
        assert (app.desk.other.name, app.desk.other.told) == ("teasing, eyes only", "smaller")
        await press(pilot, "escape", "=", *"play: none", "enter", "=", "T", "s", rounds=3)
        assert app.desk.plan.suggestions == own.suggestions
        await press(pilot, "z", "s", rounds=3)
    assert read_scene(demo).beats[0].play == "eyes only"


async def test_why_tells_the_line_s_idea_its_peak_and_where_the_eyes_are(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(200, 50)) as pilot:
        await press(pilot, "m", "full_stop", rounds=2)
        line = app.desk.plan.lines[0]
        told = why_text(app.desk)
        assert line.idea and line.idea in told and "peaks on" in told
        eyes = [g for g in app.desk.plan.gaze if g.who == line.who]
        assert f"eyes {eyes[0].frames[0]}-{eyes[0].frames[1]}: {eyes[0].toward}" in told


async def test_a_problem_is_accepted_with_a_reason_and_comes_back_with_undo(demo: Path) -> None:
    """What is accepted here is `meant:` in the file, and no longer a problem of the check."""
    app = open_app(str(demo))
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "m", "m", rounds=2)
        before = app.desk.verdicts.problems
        place, problem = next((i, p) for i, p in enumerate(before) if p.kind != "missed")
        app.apply(choose(app.desk, ProblemAt(place)))
        await press(pilot, "r", *"the joke", "enter", rounds=2)
        meant = app.desk.scene.meant[-1]
        assert (meant.kind, meant.who, meant.why) == (problem.kind, problem.who, "the joke")
        assert problem.text not in [p.text for p in app.desk.verdicts.problems]
        await press(pilot, "s", "z", rounds=2)
        assert app.desk.verdicts.problems == before
    assert read_scene(demo).meant[-1].why == "the joke"


async def test_an_accent_without_a_pose_cannot_be_accepted_and_says_what_to_do(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "m", "m", rounds=2)
        place = next(i for i, p in enumerate(app.desk.verdicts.problems) if p.kind == "missed")
        app.apply(choose(app.desk, ProblemAt(place)))
        await press(pilot, "r")
        assert "drop the accent" in app.desk.said and not app.desk.scene.meant


async def test_what_is_said_and_how_it_sounds_are_corrected_here(demo: Path) -> None:
    """`E` and `'` write into the line, which is listened to again; the plan follows."""
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "full_stop", "E", *["backspace"] * 10, *" month.", "enter", rounds=3)
        assert app.desk.scene.lines[0].say == "That is the third umbrella month."
        assert app.desk.facts.line[1].words[-1].text.lower().strip(".") == "month"
        assert app.desk.planned.lines[0].say == app.desk.scene.lines[0].say
        await press(pilot, "'", *"M AH1 N TH", "enter", rounds=3)
        assert dict(app.desk.scene.lines[0].sounds_like) != {}
        word = next(iter(app.desk.scene.lines[0].sounds_like))
        assert app.desk.scene.lines[0].sounds_like[word] == "M AH1 N TH"
        await press(pilot, "'", *["backspace"] * 12, "enter", rounds=3)
        assert not app.desk.scene.lines[0].sounds_like


async def test_toward_cues_and_passes_are_set_here(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f")
        assert app.desk.scene.beats[0].toward is None
        await press(pilot, "C", *"amused", "enter")
        assert app.desk.scene.cues[-1].intent == "amused"
        await press(pilot, "P", *"mouth", "enter")
        assert "mouth" in app.desk.scene.passes.done[1]


async def test_it_is_saved_under_another_name_and_goes_on_there(demo: Path) -> None:
    before = demo.read_text(encoding="utf-8")
    app = open_app(str(demo))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "S", "A", "enter")
        assert "saved as scene_2.yaml" in app.desk.said
        await press(pilot, "S", "s")

    assert demo.read_text(encoding="utf-8") == before
    assert "strength: 0.9" in demo.with_name("scene_2.yaml").read_text(encoding="utf-8")


async def test_it_opens_where_it_was_left_and_the_first_time_in_mean(
    demo: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    app = open_app(str(demo))
    assert app.desk.way == "mean"
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "m", "g", *"1200", "enter", "minus", "q")

    again = open_app(str(demo)).desk
    assert (again.way, again.cursor, again.window.per_column) == ("move", 1200, 2)


async def test_the_bodies_of_the_cursor_s_frame_stand_at_the_right(demo: Path) -> None:
    app = open_app(str(demo))
    async with app.run_test(size=(160, 50)) as pilot:
        await press(pilot, "m", "g", *"1018", "enter", rounds=2)
        rail = "\n".join(shown(app, "rail"))
        assert app.desk.performance is not None
        up = app.desk.performance.of("clerk").channel("head.up")
        at = 1018 - app.desk.performance.first_frame

        assert f"head up {up[at]:+.0f}" in rail
        assert any("\u2800" < char <= "\u28ff" for char in rail)


@pytest.mark.parametrize("look", ["dark", "light", "sixteen", "plain"])
async def test_every_look_tells_blocks_hits_and_choice_apart(make_app: MakeApp, look: str) -> None:
    app = make_app(look=look)
    async with app.run_test(size=(90, 30)):
        style = app.look.style
        block, hit = style("block accent", 0), style("hit accent", 0)
        chosen, ground = style("block accent", 4), style("plain", 0)

    assert len({str(s) for s in (block, hit, chosen, ground)}) == 4


def test_a_terminal_of_sixteen_colours_and_no_color_are_heeded() -> None:
    from planner.desk.views.looks import Look, look_for

    assert look_for({}, "standard") == "sixteen"
    assert look_for({}, "truecolor", "light") == "light"
    assert look_for({"NO_COLOR": "1"}, "truecolor", "light") == "plain"
    for role in ("block accent", "tint 3 4", "off", "key"):
        style = Look("plain").style(role, 0)
        assert style.color is None and style.bgcolor is None
