"""Rows that a panel has and does not show: each panel says how many, at every size."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from desk_keys import DOINGS
from rich.cells import cell_len

from planner.desk import actions as doing
from planner.desk import choice as choosing
from planner.desk import cursor as moving
from planner.desk.choices import BeatAt, PoseAt, SuggestionOf, Words
from planner.desk.edits import poses as posing
from planner.desk.state import Desk, Way, on_scene, open_desk
from planner.desk.verdicts import Problem, Verdicts
from planner.desk.views import all_rows as pointing
from planner.desk.views.all_rows import Views, make_views
from planner.desk.views.cells import Row, Rows, Run, row_text
from planner.desk.views.layout import frame_columns
from planner.desk.views.more import split, with_more
from planner.desk.views.plan import plan_lines
from planner.desk.views.poses import pose_lines
from planner.scene import PARTS, Beat, KeyPose

SIZES = [(80, 24), (120, 36), (200, 50), (60, 14)]


@pytest.fixture
def full(desk: Desk) -> Desk:
    """A desk with more of everything than a small screen shows."""
    characters = ("cook", "guest", *(f"waiter {n}" for n in range(1, 13)))
    poses = tuple(
        KeyPose(1002 + place, who, part, "up")
        for place, (who, part) in enumerate((who, part) for who in ("cook", "guest")
                                            for part in PARTS[:7])
    )  # fmt: skip
    beats = (*desk.scene.beats, Beat("proud", "waiter 12", None, None, (1050, 1060), 0.5))
    one = next(iter(desk.plan.suggestions))
    more = tuple(
        replace(one, id=f"pose/{part}/not/x{place}", who="guest", part=part)
        for place, part in enumerate((*PARTS, *PARTS, *PARTS))
    )
    problems = tuple(Problem((1010 + n,) * 2, "cook", "late", f"late by {n}", True)
                     for n in range(30))  # fmt: skip
    scene = replace(desk.scene, characters=characters, poses=poses, beats=beats)
    plan = replace(desk.plan, suggestions=(*desk.plan.suggestions, *more))
    opened = open_desk(scene, desk.shot.heard, plan)
    return replace(opened, verdicts=Verdicts((None,) * len(poses), problems, "a check"))


def told(rows: Rows) -> tuple[int, int]:
    """How many rows the signs of a panel say are above and below."""
    counts = {"above": 0, "below": 0}
    for row in rows:
        for run in row:
            if run.role == "more":
                for number, way in re.findall(r"(\d+)(?: more)? ?(above|below|↑|↓)", run.text):
                    counts[{"↑": "above", "↓": "below"}.get(way, way)] = int(number)
    return counts["above"], counts["below"]


def views(desk: Desk, size: tuple[int, int], way: Way, *keys: str) -> tuple[Desk, Views]:
    columns, rows = size
    at = moving.resized(doing.to_way(desk, way), frame_columns(columns, way))
    made = make_views(at, columns, rows)
    for key in keys:
        at = DOINGS[key](replace(at, tops=made.tops))
        made = make_views(at, columns, rows)
    return at, made


PLAN = ("panel", "panel", "next")
WALKS: list[tuple[str, ...]] = [  # keys, by the names of their actions
    (), ("panel", "next"), PLAN, (*PLAN, *["down"] * 6), ("down",), ("next_problem",) * 12,
    (*PLAN, *["down"] * 60),
]  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("walk", range(len(WALKS)))
@pytest.mark.parametrize("way", ["mean", "move", "mend"])
def test_shown_and_told_rows_are_all_there_are(
    full: Desk, size: tuple[int, int], walk: int, way: Way
) -> None:
    desk, made = views(full, size, way, *WALKS[walk])
    phrases = len(desk.facts.script)
    every = {
        "plan": len(plan_lines(desk)), "beats": len(desk.scene.characters),
        "poses": len(pose_lines(desk)), "problems": len(desk.verdicts.problems),
        "script": phrases,
    }  # fmt: skip
    spots = [spot.means for spot in made.seen["script"].spots] if way == "mean" else []
    for panel, rows in made.rows.items():
        if panel not in every:
            continue
        shown = len(rows)
        if panel == "problems":
            shown -= 1
        if panel == "script":
            shown = len({at for at in spots if isinstance(at, BeatAt)})
            shown += len({desk.facts.phrase_of[at.line, at.first]
                          for at in spots if isinstance(at, Words)})  # fmt: skip
        above, below = told(rows)
        assert above + shown + below == max(every[panel], shown), (panel, above, shown, below)
        rail = sum(len(run.text) for run in made.rows["rail"][0]) if "rail" in made.rows else 0
        assert {cell_len(row_text(row)) for row in rows} == {size[0] - rail}


@pytest.mark.parametrize("size", SIZES[:3])
@pytest.mark.parametrize("way", ["mean", "move", "mend"])
def test_all_panels_together_fit_the_screen(full: Desk, size: tuple[int, int], way: Way) -> None:
    _, made = views(full, size, way)

    assert (
        sum(len(rows) for n, rows in made.rows.items() if n != "rail") + 1 <= size[1]
    )  # and the line of keys


def test_nothing_hidden_nothing_said(desk: Desk) -> None:
    for way in ("mean", "move", "mend"):
        _, made = views(desk, (200, 50), way)  # type: ignore[arg-type]
        assert all(run.role != "more" for rows in made.rows.values() for row in rows for run in row)


def test_a_chosen_pose_is_always_in_sight_and_a_click_takes_the_row_under_it(full: Desk) -> None:
    for index in range(len(full.scene.poses)):
        desk, _ = views(replace(full, choice=PoseAt(index)), (80, 24), "mend")
        desk = choosing.choose(replace(desk, panel="poses"), PoseAt(index))
        made = make_views(desk, 80, 24)
        pose = full.scene.poses[index]
        row = next(
            at for at, line in enumerate(pose_lines(desk)) if (line.who, line.part)
            == (pose.who, pose.part)
        ) - made.tops["poses"].row  # fmt: skip
        assert 0 <= row < len(made.rows["poses"])
        column = made.gutter + desk.window.column(pose.frame)
        clicked = pointing.point(desk, made, "poses", (column, row, 0))
        assert clicked.choice == PoseAt(index)


def test_a_chosen_beat_is_in_sight_and_a_click_takes_it(full: Desk) -> None:
    index = len(full.scene.beats) - 1
    desk, made = views(choosing.choose(full, BeatAt(index)), (80, 24), "move")
    row = full.scene.characters.index("waiter 12") - made.tops["beats"].row
    assert "waiter 12" in row_text(made.rows["beats"][row])

    desk, made = views(replace(desk, choice=BeatAt(index)), (80, 24), "move")
    column = made.gutter + desk.window.column(1055)
    clicked = pointing.point(desk, made, "beats", (column, row, 0))
    assert isinstance(clicked.choice, BeatAt) and clicked.choice.index == index


def test_reasons_without_room_say_that_enter_shows_them(desk: Desk) -> None:
    chosen = choosing.choose(replace(desk, panel="plan"), SuggestionOf("accent/head/kettle/w2s1"))
    _, small = views(chosen, (80, 24), "move")
    assert row_text(small.rows["why"][-1]).endswith(" 3 more: enter ")
    _, large = views(chosen, (200, 50), "move")
    assert "more: enter" not in "".join(row_text(row) for row in large.rows["why"])


def test_what_the_desk_has_to_say_is_not_cut_for_a_sign(desk: Desk) -> None:
    long = "not saved: " + " ".join(["/a/long/way/to/the/scene.yaml"] * 6) + "; free some room"
    chosen = choosing.choose(replace(desk, panel="plan"), SuggestionOf("accent/head/kettle/w2s1"))
    _, made = views(chosen, (80, 24), "move")
    made = make_views(replace(doing.to_way(chosen, "move"), said=long), 80, 24)

    assert any("free some room" in row_text(row) for row in made.rows["why"])


def words(count: int) -> Row:
    return (Run("x" * count), Run(" " * (40 - count)))


@pytest.mark.parametrize(
    ("filled", "end"), [(10, " 12 more below ↓ "), (30, " 12↓ "), (40, "xx 12↓ ")]
)
def test_the_sign_gets_shorter_as_room_does(filled: int, end: str) -> None:
    (row,) = with_more((words(filled),), 0, 12)

    assert row_text(row).endswith(end) and cell_len(row_text(row)) == 40
    (both,) = with_more((words(filled),), 3, 12)
    assert told((both,)) == (3, 12)


def test_a_wide_character_is_never_cut_in_half() -> None:
    row = (Run("ab", "said"), Run("語語", "beat", 4))
    for cells in range(8):
        left, right = split(row, cells)
        assert cell_len(row_text(left)) == min(cells, 6)
        assert cell_len(row_text(left)) + cell_len(row_text(right)) == 6


def test_the_poses_of_one_more_part_than_there_is_room_for(
    desk: Desk, planned: Callable[[Desk], Desk]
) -> None:
    """By the keys: a pose added below the last row shown scrolls the panel."""
    at, _ = views(desk, (80, 24), "mend")
    for part in PARTS[:6]:
        at = planned(posing.add_pose(at, part))
        made = make_views(at, 80, 24)
        assert any(part in row_text(row)[: made.gutter] for row in made.rows["poses"])
    assert told(made.rows["poses"])[0] == 6 - len(made.rows["poses"])


@pytest.mark.parametrize("columns", [80, 120, 200])
def test_a_phrase_of_many_meanings_shows_them_all(desk: Desk, columns: int) -> None:
    names = [f"mood{n}" for n in range(6)]
    beats = tuple(Beat(name, "cook", None, None, (1003 + 3 * n, 1005 + 3 * n), 0.5,
                       note=f"with some words about it, number {n}")
                  for n, name in enumerate(names))  # fmt: skip
    at = on_scene(desk, replace(desk.scene, beats=beats))
    _, made = views(at, (columns, 30), "mean")
    text = "\n".join(row_text(row) for row in made.rows["script"])

    assert all(name in text for name in names)
    assert all(f"number {n}" in " ".join(text.split()) for n in range(6))


@pytest.mark.parametrize(
    ("size", "way"), [((40, 12), "move"), ((80, 9), "mend"), ((40, 6), "move")]
)
def test_what_has_no_room_at_all_is_named(full: Desk, size: tuple[int, int], way: Way) -> None:
    """A panel that is left away is named in the row of the cursor, as far as that goes."""
    _, made = views(full, size, way)

    assert made.hidden
    assert f"no room for: {made.hidden[0][:4]}" in row_text(made.rows["head"][1])
