"""The roads of a day at the desk: tag, find, correct the ear, compare, accept, save, look."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from desk_keys import press, settle

from planner.desk.app import DeskApp
from planner.desk.choice import choose
from planner.desk.choices import ProblemAt
from planner.desk.run import open_app
from planner.desk.state import edit
from planner.desk.views.cells import row_text
from planner.desk.views.why import why_text
from planner.scene_file import read_scene

MakeApp = Callable[..., DeskApp]


def shown(app: DeskApp, panel: str) -> list[str]:
    """The rows of a panel, as text."""
    return [row_text(row) for row in app.views.rows[panel]]  # type: ignore[union-attr]


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
