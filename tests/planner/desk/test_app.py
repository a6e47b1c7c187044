"""The app by its keys and mouse, through Textual's Pilot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from desk_keys import DOINGS, press, settle
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from planner.desk.actions import ACTIONS, BY_ID, key_name
from planner.desk.app import DeskApp
from planner.desk.choices import BeatAt, Frames, Phrases, PoseAt, ProblemAt, SuggestionOf, Words
from planner.desk.dialogs.page import Page
from planner.desk.dialogs.pick import Pick
from planner.desk.state import Desk
from planner.desk.views.panels import PANELS_OF

MakeApp = Callable[..., DeskApp]
ACCENT = "accent/head/kettle/w2s1"


async def typed(pilot: Pilot[int], text: str) -> None:
    await press(pilot, *("space" if char == " " else char for char in text), "enter")


def accent(desk: Desk) -> tuple[int, int]:
    return desk.index.by_id[ACCENT].frames


def to_accent(pilot: Pilot[int]):  # type: ignore[no-untyped-def]
    """The keys from the start to the first accent in the plan."""
    return press(pilot, "tab", "tab", "down", "full_stop")


# What each key does: the keys before it, then what must hold of the desk before and after.
Check = Callable[[Desk, Desk], bool]
CASES: dict[str, tuple[tuple[str, ...], Check]] = {
    "mean": ((), lambda b, a: a.way == "mean" and a.panel == "script"),
    "move": (("f4",), lambda b, a: a.way == "move"),
    "mend": ((), lambda b, a: a.way == "mend" and a.panel == "problems"),
    "later": ((), lambda b, a: a.cursor == b.cursor + 1),
    "earlier": (("right", "right"), lambda b, a: a.cursor == b.cursor - 1),
    "on": ((), lambda b, a: a.cursor > b.cursor + 20),
    "back": (("end",), lambda b, a: a.cursor < b.cursor - 20),
    "start": (("end",), lambda b, a: a.cursor == 1001),
    "end": ((), lambda b, a: a.cursor == 1120),
    "nearer": (("minus",), lambda b, a: a.window.per_column == 1),
    "farther": ((), lambda b, a: a.window.per_column == 2),
    "whole": ((), lambda b, a: a.window.last >= 1120),
    "unit": ((), lambda b, a: a.unit == "timecode"),
    "who": ((), lambda b, a: a.who == "cook"),
    "panel": ((), lambda b, a: (b.panel, a.panel) == ("words", "beats")),
    "way": ((), lambda b, a: (b.way, a.way) == ("move", "mend")),
    "way_back": ((), lambda b, a: (b.way, a.way) == ("move", "mean")),
    "phrase_more": (("f2",), lambda b, a: a.choice == Phrases(0, 1, 0)),
    "phrase_less": (("f2", "shift+down"), lambda b, a: a.choice == Phrases(0, 0, 0)),
    "again": (("f2", "2", "down", "down"), lambda b, a: a.scene.beats[-1].who == "guest"),
    "untagged": ((), lambda b, a: a.choice == Words(2, 1, 3)),
    "toward": (("full_stop",), lambda b, a: a.scene.beats[0].toward is None),
    "stress": (("full_stop",), lambda b, a: a.scene.lines[0].heard.stress == (1,)),
    "take": ((), lambda b, a: "nothing to take" in a.said),
    **{
        f"tag{n}": (("full_stop",), lambda b, a, n=n: a.scene.beats[0].intent == b.favourites[n - 1]
                    or "already" in a.said)
        for n in range(1, 10)
    },
    "panel_back": ((), lambda b, a: (b.panel, a.panel) == ("words", "notes")),
    "next": ((), lambda b, a: a.choice == Words(1, 1, 1)),
    "previous": (("full_stop", "full_stop"), lambda b, a: a.choice == Words(1, 1, 1)),
    "down": (("full_stop",), lambda b, a: a.choice == Words(1, 4, 6)),
    "up": (("end", "full_stop"), lambda b, a: a.choice == Words(1, 4, 6)),
    "word_more": (("full_stop",), lambda b, a: a.choice == Words(1, 1, 2)),
    "word_less": (("full_stop", ">"), lambda b, a: a.choice == Words(1, 1, 1)),
    "pick_on": ((), lambda b, a: a.choice == Frames(b.cursor, b.cursor + 1, b.cursor)),
    "pick_back": (("right",), lambda b, a: a.choice == Frames(b.cursor - 1, b.cursor, b.cursor)),
    "none": (("full_stop",), lambda b, a: a.choice is None),
    "stronger": (("full_stop",), lambda b, a: a.scene.beats[0].strength == 0.8),
    "weaker": (("full_stop",), lambda b, a: a.scene.beats[0].strength == 0.6),
    "edge": (("tab",), lambda b, a: a.choice == BeatAt(0, "start")),
    "nudge_on": (("tab", "tab"), lambda b, a: a.scene.decisions[0].by == 1),
    "nudge_back": (("tab", "tab"), lambda b, a: a.scene.decisions[0].by == -1),
    "longer": (("tab", "tab"), lambda b, a: a.scene.decisions[0].frames == 7),
    "shorter": (("tab", "tab"), lambda b, a: a.scene.decisions[0].frames == 5),
    "keep": (("tab", "tab"), lambda b, a: a.scene.decisions[0].do == "keep"),
    "lock": (("tab", "tab"), lambda b, a: a.scene.decisions[0].do == "lock"),
    "drop": (("tab", "tab"), lambda b, a: a.scene.decisions[0].do == "drop"),
    "dropped": (("tab", "tab"), lambda b, a: a.show_dropped),
    "undo": (("full_stop", "S"), lambda b, a: a.scene.beats[0].strength == 0.7),
    "redo": (("full_stop", "S", "z"), lambda b, a: a.scene.beats[0].strength == 0.8),
    "next_problem": (("f4", "end", "a", *"chest", "enter"), lambda b, a: a.choice == ProblemAt(0)),
    "last_problem": (("f4", "end", "a", *"chest", "enter", "x"), lambda b, a: "first" in a.said),
    "check_off": (("shift+tab",), lambda b, a: a.scene.notes[0].done),
}  # fmt: skip
ASKING = {a.id for a in ACTIONS} - set(DOINGS)


def test_every_action_without_a_question_has_a_case_here() -> None:
    assert set(CASES) == set(DOINGS)


@pytest.mark.parametrize("name", CASES)
async def test_each_key_does_what_its_action_says(make_app: MakeApp, name: str) -> None:
    keys, holds = CASES[name]
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, *keys)
        before = app.desk
        await press(pilot, BY_ID[name].keys[0])

        assert holds(before, app.desk), (app.desk.said, app.desk.choice, app.desk.panel)


async def test_every_action_is_bound_and_listed_in_help(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "question_mark")
        assert isinstance(app.screen, Pick)
        listed = app.screen.query_one(OptionList)
        shown = [str(listed.get_option_at_index(i).prompt) for i in range(listed.option_count)]

    for action in ACTIONS:
        bound = {key for key, made in app._bindings if made.action == f"do('{action.id}')"}
        assert bound == set(action.keys)
        if action.id in [f"tag{n}" for n in range(1, 10)]:
            continue  # one entry stands for the number keys
        assert any(
            action.label[:13] in line and key_name(action.keys[0]) in line and action.tip in line
            for line in shown
        )


def test_no_key_does_two_things_in_one_place(desk: Desk) -> None:
    for way, panels in PANELS_OF.items():
        for panel in panels:
            at = replace(desk, way=way, panel=panel)
            keys = [key for action in ACTIONS if action.applies(at) for key in action.keys]
            assert len(keys) == len(set(keys)), (way, panel)


async def test_the_list_of_actions_is_searched_and_does_what_is_picked(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f1", *"whole", "enter")

        assert len(app.screen_stack) == 1
        assert app.desk.window.per_column == 2


async def test_words_are_tagged_from_a_filtered_list(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "end", "full_stop", "comma", "comma", ">", ">", "t", *"proud")
        assert isinstance(app.screen, Pick)
        await press(pilot, "enter")

        beat = app.desk.scene.beats[-1]
        assert (beat.intent, beat.words, beat.who) == ("proud", (1, 3), "guest")
        assert app.desk.planned is app.desk.scene


async def test_a_tag_can_be_left_without_a_change(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "full_stop", "t", "escape")

        assert not app.desk.changed and len(app.screen_stack) == 1


async def test_an_accent_is_moved_by_two_frames_and_the_plan_follows(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await to_accent(pilot)
        assert app.desk.choice == SuggestionOf(ACCENT)
        before = accent(app.desk)
        await press(pilot, "]", "]")

        assert accent(app.desk) == (before[0] + 2, before[1] + 2)
        assert "not saved: 2 changes" in str(app.views.rows["head"])  # type: ignore[union-attr]


async def test_why_shows_everything_and_closes(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await to_accent(pilot)
        await press(pilot, "enter")
        assert isinstance(app.screen, Page)
        await press(pilot, "escape")

        assert len(app.screen_stack) == 1


@pytest.mark.parametrize(
    ("text", "frame"), [("1050", 1050), ("00:00:01:00", 1025), ("1.5s", 1037), ("2+08", 1041)]
)
async def test_go_to_takes_every_unit(make_app: MakeApp, text: str, frame: int) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "g")
        app.screen.query_one(Input).value = text
        await press(pilot, "enter")

        assert app.desk.cursor == frame


async def test_go_to_says_what_it_did_not_understand_and_stays_open(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "g", *"soon", "enter")

        assert len(app.screen_stack) == 2
        await press(pilot, "escape")
        assert len(app.screen_stack) == 1


async def test_a_pose_shows_its_verdict_as_it_moves(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f4", "g", *"1007", "enter", "a")
        await typed(pilot, "head chin down")
        assert app.desk.choice == PoseAt(0) and app.desk.panel == "poses"
        assert "lands" in str(app.views.rows["poses"])  # type: ignore[union-attr]
        await press(pilot, "]", "]")

        assert "late by 2" in str(app.views.rows["poses"])  # type: ignore[union-attr]
        assert app.desk.scene.poses[0].frame == 1009


async def test_poses_are_brought_in_from_a_file(make_app: MakeApp, scene_file: Path) -> None:
    (scene_file.parent / "poses.csv").write_text("frame,who,part,name\n1010,cook,head,up\n")
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f4", "i")
        app.screen.query_one(Input).value = "poses.csv"
        await press(pilot, "enter")
        assert [p.name for p in app.desk.scene.poses] == ["up"]

        await press(pilot, "i")
        app.screen.query_one(Input).value = "missing.csv"
        await press(pilot, "enter")
        assert "no such" in app.desk.said and len(app.desk.scene.poses) == 1


async def test_words_of_beats_notes_and_poses_are_rewritten(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "tab", "r")
        await typed(pilot, "sly")
        assert app.desk.scene.beats[0].note == "sly"

        await press(pilot, "n")
        await typed(pilot, "too slow")
        assert app.desk.scene.notes[-1].text == "too slow"
        assert isinstance(app.desk.choice, BeatAt)  # a note does not take the keys elsewhere
        await press(pilot, "tab", "tab", "comma", "r")
        app.screen.query_one(Input).value = "slower"
        await press(pilot, "enter")
        assert app.desk.scene.notes[-1].text == "slower"


async def test_the_writer_tags_a_phrase_without_seeing_frames(make_app: MakeApp) -> None:
    app = make_app()
    async with app.run_test(size=(90, 30)) as pilot:
        await press(pilot, "f2", "down", "t", *"afr", "escape", "t", *"tend", "enter")
        await press(pilot, "S", "r")
        await typed(pilot, "half asleep")

        beat = next(b for b in app.desk.scene.beats if b.note)
        assert (beat.line, beat.words, beat.intent, beat.strength) == (1, (4, 6), "tender", 0.6)
        assert "ruler" not in app.views.rows  # type: ignore[union-attr]


@pytest.mark.parametrize("size", [(80, 24), (240, 60), (60, 20)])
async def test_the_screen_may_be_resized(make_app: MakeApp, size: tuple[int, int]) -> None:
    app = make_app()
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.resize_terminal(*size)
        await settle(pilot, 3)

        shown = [p for p in app.query("RowsWidget") if p.display and p.id != "rail"]
        assert app.query_one("#keys").region.bottom == size[1]
        if size[1] >= 24:
            assert sum(p.size.height for p in shown) == size[1]


async def test_a_first_run_greets_once_and_says_where_the_keys_are(make_app: MakeApp) -> None:
    app = make_app(first_run=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert isinstance(app.screen, Page)
        await press(pilot, "enter")
        assert len(app.screen_stack) == 1


async def test_a_plan_that_cannot_be_made_is_said_and_the_last_one_stays(
    make_app: MakeApp,
) -> None:
    from planner.desk.planned import Planned
    from planner.desk.verdicts import NO_VERDICTS

    app = make_app()
    app.planner = lambda scene, *_: Planned(scene, None, NO_VERDICTS, None, "beat 1 is odd")
    async with app.run_test(size=(80, 24)) as pilot:
        plan = app.desk.plan
        await press(pilot, "full_stop", "S")

        assert app.desk.said == "beat 1 is odd"
        assert replace(app.desk).plan is plan and not app.desk.stale
