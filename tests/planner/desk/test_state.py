"""Undo and redo, decisions, poses, notes, and what is saved; without a screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from planner.desk import actions as doing
from planner.desk import choice as choosing
from planner.desk import cursor as moving
from planner.desk.choices import BeatAt, Frames, NoteAt, PoseAt, SuggestionOf, Words
from planner.desk.edits import decisions as deciding
from planner.desk.edits import notes as noting
from planner.desk.edits import poses as posing
from planner.desk.plan_index import index_plan
from planner.desk.state import (
    Desk,
    changes_unsaved,
    on_scene,
    redo,
    undo,
    undo_depth,
    with_plan,
    with_saved,
)
from planner.desk.views.why import why_text
from planner.scene import KeyPose

Planned = Callable[[Desk], Desk]
ACCENT = "accent/head/kettle/w2s1"


def on_accent(desk: Desk) -> Desk:
    return choosing.choose(replace(desk, panel="plan"), SuggestionOf(ACCENT))


def test_undo_and_redo_go_all_the_way_back_and_forth(desk: Desk, planned: Planned) -> None:
    changed = on_accent(desk)
    seen = [changed.scene]
    for _ in range(300):
        changed = planned(deciding.move(changed, 1))
        seen.append(changed.scene)
    assert undo_depth(changed) == 300

    for scene in reversed(seen[:-1]):
        changed = undo(changed)
        assert changed.scene is scene
    for scene in seen[1:]:
        changed = redo(changed)
        assert changed.scene is scene


def test_a_new_change_after_undo_forgets_what_was_undone(desk: Desk) -> None:
    changed = deciding.decide(undo(deciding.move(on_accent(desk), 1)), "keep")

    assert changed.future is None
    assert "nothing" in redo(changed).said


def test_moves_add_up_in_one_decision_and_cancel_out(desk: Desk, planned: Planned) -> None:
    moved = planned(deciding.move(planned(deciding.move(on_accent(desk), 1)), 1))

    assert [(d.of, d.do, d.by, d.word) for d in moved.scene.decisions] == [
        (ACCENT, "move", 2, "kettle")
    ]
    assert moved.index.by_id[ACCENT].hit == moved.cursor == 1009
    back = deciding.move(planned(deciding.move(moved, -1)), -1)
    assert back.scene.decisions == ()


def test_moves_go_by_whole_exposures_on_twos(desk: Desk) -> None:
    twos = replace(desk, plan=replace(desk.plan, step=2))

    assert deciding.move(on_accent(twos), 1).scene.decisions[0].by == 2


def test_a_longer_suggestion_keeps_a_length(desk: Desk, planned: Planned) -> None:
    longer = planned(deciding.lengthen(on_accent(desk), 1))

    assert longer.scene.decisions[0].frames == 8
    assert longer.index.by_id[ACCENT].frames == (1006, 1013)


def test_what_is_locked_does_not_move(desk: Desk, planned: Planned) -> None:
    locked = planned(deciding.decide(on_accent(desk), "lock"))
    refused = deciding.move(locked, 1)

    assert refused.scene is locked.scene
    assert "locked" in refused.said
    assert deciding.decide(locked, "lock").scene.decisions == ()


def test_what_is_dropped_can_be_shown_and_comes_back(desk: Desk, planned: Planned) -> None:
    dropped = planned(deciding.decide(on_accent(desk), "drop"))
    assert all(ACCENT not in [s.id for s in r.suggestions] for r in choosing.plan_rows(dropped))
    shown = moving.toggle_dropped(dropped)
    assert any(ACCENT in [s.id for s in r.suggestions] for r in choosing.plan_rows(shown))

    again = planned(doing.drop(shown))
    assert again.scene.decisions == ()
    assert again.index.dropped_ids == frozenset()


def test_keeping_what_is_dropped_takes_the_drop_back_in_one_step(
    desk: Desk, planned: Planned
) -> None:
    dropped = planned(deciding.decide(on_accent(desk), "drop"))
    kept = deciding.decide(dropped, "keep")

    assert [d.do for d in kept.scene.decisions] == ["keep"]
    assert undo(kept).scene is dropped.scene


def test_a_plan_for_an_earlier_scene_is_not_taken(desk: Desk) -> None:
    changed = deciding.move(on_accent(desk), 1)

    assert with_plan(changed, desk.scene, desk.plan, desk.verdicts) is changed
    assert changed.stale


def test_saved_means_equal_to_what_was_saved_even_after_undo(desk: Desk) -> None:
    changed = deciding.move(on_accent(desk), 1)
    assert changed.changed and not undo(changed).changed

    saved = with_saved(changed)
    assert not saved.changed
    assert undo(saved).changed


def test_unsaved_changes_are_counted_from_what_was_saved(desk: Desk) -> None:
    at = on_accent(desk)
    for _ in range(3):
        at = deciding.move(at, 1)
    assert changes_unsaved(at) == 3
    at = with_saved(at)
    assert changes_unsaved(at) == 0
    at = undo(at)
    assert changes_unsaved(at) == 1
    assert changes_unsaved(deciding.decide(at, "keep")) == 2  # one undone, one made
    assert changes_unsaved(undo(at)) == 2
    assert changes_unsaved(redo(at)) == 0
    assert changes_unsaved(deciding.move(redo(at), 1)) == 1


def test_a_pose_is_added_at_the_cursor_and_judged_as_it_moves(desk: Desk, planned: Planned) -> None:
    added = planned(posing.add_pose(moving.go_to(desk, 1007), "head chin down"))
    assert added.scene.poses == (KeyPose(1007, "cook", "head", "chin down"),)
    assert added.verdicts.poses[0] is not None and added.verdicts.poses[0].verdict == "lands"

    moved = planned(posing.move_pose(added, 2))
    assert moved.scene.poses[0].frame == moved.cursor == 1009
    assert moved.verdicts.poses[0] is not None
    assert moved.verdicts.poses[0].text() == 'late by 2 for "ket"'


def test_a_pose_needs_a_part_first(desk: Desk) -> None:
    assert posing.add_pose(desk, "chin down").scene is desk.scene
    assert posing.split_part("left hand  on the pan") == ("left hand", "on the pan")


def test_a_pose_is_named_and_removed(desk: Desk) -> None:
    named = posing.name_pose(posing.add_pose(desk, "head"), "looks  up")
    assert named.scene.poses[0].name == "looks up"

    gone = doing.drop(named)
    assert gone.scene.poses == () and gone.choice is None


def test_loaded_poses_take_the_place_of_the_scene_s(desk: Desk) -> None:
    poses = [KeyPose(1020, "cook", "head", "b"), KeyPose(1010, "cook", "head", "a")]
    loaded = posing.load_poses(posing.add_pose(desk, "head"), poses, "poses.csv")

    assert [p.frame for p in loaded.scene.poses] == [1010, 1020]
    assert loaded.choice == PoseAt(0)


def test_a_note_lies_on_what_is_chosen(desk: Desk) -> None:
    noted = noting.add_note(choosing.choose(desk, Words(1, 2, 3)), "softer", by="lead")

    note = noted.scene.notes[-1]
    assert (note.frames, note.text, note.who, note.by) == ((1007, 1023), "softer", "cook", "lead")
    assert noted.choice == Words(1, 2, 3)  # and one can go on where one was


def test_a_note_on_words_goes_with_them_when_the_timing_changes(desk: Desk) -> None:
    noted = noting.add_note(choosing.choose(desk, Words(1, 2, 3)), "softer")
    assert (noted.scene.notes[-1].line, noted.scene.notes[-1].words) == (1, (2, 3))

    lines = (replace(noted.scene.lines[0], at_s=0.5), *noted.scene.lines[1:])
    later = on_scene(noted, replace(noted.scene, lines=lines))
    now = later.facts.notes
    assert now[-1].frames == (1007 + 12, 1023 + 12)
    assert now[0].frames == (1030, 1034)  # tied to nothing
    assert choosing.choose(later, NoteAt(1)).cursor == 1019
    assert "sang" in why_text(choosing.choose(later, NoteAt(1)))


def test_a_note_on_a_beat_is_tied_to_the_beat_s_words(desk: Desk) -> None:
    noted = noting.add_note(choosing.choose(desk, BeatAt(0)), "softer")

    assert (noted.scene.notes[-1].line, noted.scene.notes[-1].words) == (1, (1, 3))


def test_a_note_without_words_or_too_long_is_refused(desk: Desk) -> None:
    assert noting.add_note(desk, "  ").scene is desk.scene
    refused = noting.add_note(desk, "x" * 2001)
    assert refused.scene is desk.scene and "2000" in refused.said


def test_a_note_is_checked_off_reworded_and_removed(desk: Desk) -> None:
    at = choosing.choose(desk, NoteAt(0))

    assert noting.toggle_done(at).scene.notes[0].done
    assert not noting.toggle_done(noting.toggle_done(at)).scene.notes[0].done
    assert noting.reword(at, "longer").scene.notes[0].text == "longer"
    assert doing.drop(at).scene.notes == ()


def test_a_note_under_the_cursor_needs_no_choice(desk: Desk) -> None:
    assert noting.toggle_done(moving.go_to(desk, 1032)).scene.notes[0].done
    assert "no note" in noting.toggle_done(moving.go_to(desk, 1100)).said


@pytest.mark.parametrize("zoom", [1, 2, 4, 8, 16])
def test_zoom_keeps_the_cursor_in_sight(desk: Desk, zoom: int) -> None:
    far = moving.go_to(moving.resized(desk, 30), 1090)
    for _ in range([1, 2, 4, 8, 16].index(zoom)):
        far = moving.zoom(far, 1)

    assert far.window.per_column == zoom
    assert 0 <= far.window.column(far.cursor) < 30


def test_the_cursor_stays_in_the_shot_and_the_window_follows(desk: Desk) -> None:
    small = moving.resized(desk, 40)

    assert moving.go_to(small, 5000).cursor == 1120
    assert moving.step_cursor(moving.to_end(small, -1), -1).cursor == 1001
    paged = moving.page(small, 0.8)
    assert paged.window.first <= paged.cursor <= paged.window.last


def test_frames_are_picked_from_where_the_cursor_was(desk: Desk) -> None:
    picked = moving.grow_frames(moving.grow_frames(moving.go_to(desk, 1010), 1), 1)
    assert picked.choice == Frames(1010, 1012, 1010)

    back = moving.grow_frames(moving.grow_frames(moving.grow_frames(picked, -1), -1), -1)
    assert back.choice == Frames(1009, 1010, 1010)


def test_words_are_stepped_through_and_grown(desk: Desk) -> None:
    first = choosing.step_choice(desk, 1)
    assert first.choice == Words(1, 1, 1)
    assert choosing.grow_words(first, 1).choice == Words(1, 1, 2)
    line_end = choosing.choose(desk, Words(1, 6, 6))
    assert choosing.step_choice(line_end, 1).choice == Words(2, 1, 1)
    assert choosing.grow_words(line_end, 1).choice == Words(1, 6, 6)


def test_up_and_down_go_through_every_part_of_the_plan(desk: Desk) -> None:
    at = choosing.step_choice(replace(desk, panel="plan"), 1)
    parts = []
    while not at.said:
        row = choosing.current_row(at)
        assert row is not None
        parts.append((row.who, row.part))
        at = choosing.step_row(at, 1)

    assert "last row" in at.said
    assert list(dict.fromkeys(parts)) == list(
        dict.fromkeys((row.who, row.part) for row in choosing.plan_rows(desk))
    )
    while "first row" not in at.said:
        at = choosing.step_row(at, -1)
    assert choosing.current_row(at) == choosing.plan_rows(desk)[0]


def test_down_picks_what_is_near_the_cursor_whichever_row_of_the_part_it_is_in(desk: Desk) -> None:
    """Not what stands first in the part: that may be seconds away."""
    far = [
        replace(s, frames=(s.frames[0] + 100, s.frames[1] + 100), hit=(s.hit or 0) + 100)
        if s.kind in ("anticipation", "settle", "hold") else s
        for s in desk.plan.suggestions
    ]  # fmt: skip
    plan = replace(desk.plan, suggestions=tuple(far))
    at = replace(desk, plan=plan, index=index_plan(plan), panel="plan")

    pose = choosing.step_choice(at, 1)
    head = choosing.step_row(pose, 1)

    assert pose.choice == SuggestionOf("pose/whole/kettle/b1")
    assert head.choice == SuggestionOf(ACCENT)


def test_next_goes_through_a_part_by_frame_whichever_row(desk: Desk) -> None:
    at = choosing.choose(replace(desk, panel="plan"), SuggestionOf("anticipation/head/kettle/w2s1"))
    kinds = []
    for _ in range(3):
        at = choosing.step_choice(at, 1)
        kinds.append(at.index.by_id[at.choice.id].kind)  # type: ignore[union-attr]

    assert kinds == ["accent", "settle", "hold"]
