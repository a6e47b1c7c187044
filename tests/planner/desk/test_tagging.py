"""Beats: tags, strength, edges; beats of one character never overlap."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.desk import choice as choosing
from planner.desk import cursor as moving
from planner.desk.choices import BeatAt, Words
from planner.desk.edits import beats as tagging
from planner.desk.state import Desk, beat_frames, undo
from planner.scene.text.checks import check_scene


def pick(desk: Desk, line: int, first: int, last: int) -> Desk:
    return choosing.choose(desk, Words(line, first, last))


def test_tagged_words_become_a_beat_of_their_speaker(desk: Desk) -> None:
    tagged = tagging.tag(pick(desk, 2, 1, 3), "defiant")

    beat = tagged.scene.beats[-1]
    assert (beat.intent, beat.who, beat.line, beat.words) == ("defiant", "guest", 2, (1, 3))
    assert beat.toward == "cook"


def test_tagging_the_same_words_again_changes_the_intent(desk: Desk) -> None:
    tagged = tagging.tag(pick(desk, 1, 1, 3), "proud")

    assert [b.intent for b in tagged.scene.beats] == ["proud", "tender"]
    assert tagged.scene.beats[0].strength == 0.7


@pytest.mark.parametrize("choice", [Words(1, 1, 3), BeatAt(0)])
def test_the_intent_a_beat_has_already_changes_nothing_and_is_said(
    desk: Desk, choice: Words | BeatAt
) -> None:
    chosen = choosing.choose(desk, choice)
    tagged = tagging.tag(chosen, "teasing")

    assert tagged.said == "it is teasing already"
    assert replace(tagged, said=chosen.said) == chosen and undo(tagged).said == "nothing to undo"


def test_what_comes_out_as_it_was_is_no_change(desk: Desk) -> None:
    """The same remark again: nothing to save, nothing to undo, and no word of having kept it."""
    said = tagging.remark(choosing.choose(desk, BeatAt(0)), "sly")
    again = tagging.remark(said, "sly")

    assert said.said == "remark kept" and again.said == "nothing changed: it is so already"
    assert again.scene is said.scene and again.past is said.past


def test_a_new_tag_takes_its_words_from_the_beats_it_covers(desk: Desk) -> None:
    tagged = tagging.tag(pick(desk, 1, 3, 5), "proud")

    assert [(b.intent, b.words) for b in tagged.scene.beats] == [
        ("teasing", (1, 2)), ("proud", (3, 5)), ("tender", (6, 6)),
    ]  # fmt: skip


def test_a_new_tag_inside_a_beat_splits_it(desk: Desk) -> None:
    tagged = tagging.tag(pick(desk, 1, 2, 2), "proud")

    assert [(b.intent, b.words) for b in tagged.scene.beats] == [
        ("teasing", (1, 1)), ("proud", (2, 2)), ("teasing", (3, 3)), ("tender", (4, 6)),
    ]  # fmt: skip


def test_tagged_frames_belong_to_who_speaks_there_and_trim_words(desk: Desk) -> None:
    tagged = tagging.tag(moving.pick_frames(desk, 1001, 1010), "proud")

    assert [(b.intent, b.words, b.frames) for b in tagged.scene.beats] == [
        ("proud", None, (1001, 1010)), ("teasing", (3, 3), None), ("tender", (4, 6), None),
    ]  # fmt: skip
    assert tagged.scene.beats[0].who == "cook"


def test_tagging_nothing_says_what_to_do_first(desk: Desk) -> None:
    tagged = tagging.tag(desk, "proud")

    assert tagged.scene is desk.scene
    assert "pick" in tagged.said


@pytest.mark.parametrize(("steps", "strength"), [(1, 0.8), (-2, 0.5), (9, 1.0), (-9, 0.0)])
def test_strength_goes_by_tenths_and_stays_within_0_and_1(
    desk: Desk, steps: int, strength: float
) -> None:
    changed = tagging.change_strength(replace(desk, choice=BeatAt(0)), steps)

    assert changed.scene.beats[0].strength == strength


def test_an_edge_is_nudged_by_a_frame_and_the_neighbour_gives_way(desk: Desk) -> None:
    chosen = replace(desk, choice=BeatAt(0, "end"))
    frames = beat_frames(desk, desk.scene.beats[0])
    assert frames is not None
    nudged = tagging.nudge_edge(chosen, 1, by_frames=True)

    assert "a beat of frames now" in nudged.said
    assert nudged.scene.beats[0].frames == (frames[0], frames[1] + 1)
    assert nudged.cursor == frames[1] + 1
    assert nudged.choice == BeatAt(0, "end")


def test_an_edge_nudged_into_a_neighbour_takes_its_words(desk: Desk) -> None:
    nudged = tagging.drag_edge(replace(desk, choice=BeatAt(0, "end")), BeatAt(0, "end"), 1040)

    first, second = nudged.scene.beats
    assert first.frames is not None and first.frames[1] == 1040
    assert second.words == (5, 6)
    check_scene(nudged.scene)


def test_an_edge_stops_at_the_shot_and_at_the_other_edge(desk: Desk) -> None:
    chosen = replace(desk, choice=BeatAt(0, "start"))

    assert tagging.drag_edge(chosen, BeatAt(0, "start"), 1).scene.beats[0].frames == (1001, 1023)
    assert tagging.drag_edge(chosen, BeatAt(0, "start"), 1100).scene.beats[0].frames == (1023, 1023)


def test_an_edge_can_go_by_words_and_the_beat_keeps_its_words(desk: Desk) -> None:
    chosen = tagging.other_edge(replace(desk, choice=BeatAt(1, "end")))
    moved = tagging.nudge_edge(chosen, 1)

    assert moved.scene.beats[1].words == (5, 6)
    assert moved.choice == BeatAt(1, "start")


def test_untagging_removes_the_beat_and_undo_brings_it_back(desk: Desk) -> None:
    gone = tagging.untag(replace(desk, choice=BeatAt(0)))

    assert [b.intent for b in gone.scene.beats] == ["tender"]
    assert undo(gone).scene == desk.scene


def test_a_remark_is_kept_on_the_beat(desk: Desk) -> None:
    noted = tagging.remark(replace(desk, choice=BeatAt(1)), "almost asleep")

    assert noted.scene.beats[1].note == "almost asleep"


def test_beats_that_share_a_frame_by_their_words_do_not_overlap(desk: Desk) -> None:
    first, second = (beat_frames(desk, b) for b in desk.scene.beats)

    assert first is not None and second is not None
    assert first[1] < second[0]


def test_a_drag_is_one_change_and_gives_back_what_it_passed_over(desk: Desk) -> None:
    """Dragged far over its neighbour and back again, the edge leaves the neighbour as it was."""
    from planner.desk.views.all_rows import make_views, point

    at = moving.resized(desk, 100)
    views = make_views(at, 116, 36)
    for drag, column in ((0, 22), (1, 30), (1, 50), (1, 36), (2, 36)):
        at = point(at, views, "beats", (views.gutter + column, 0, drag))

    assert [(b.intent, b.words, b.frames) for b in at.scene.beats] == [
        ("teasing", (1, 4), None), ("tender", (5, 6), None),
    ]  # fmt: skip
    assert undo(at).scene is desk.scene
