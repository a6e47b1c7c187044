"""Beats and key poses from marks and tables."""

from __future__ import annotations

import pytest
from shown import facts, two_hander

from audio.errors import TableError
from planner.bring_in.beat_table import parse_beats
from planner.bring_in.marks import ForeignMark, beats_in, poses_in
from planner.check.pose_file import parse_poses
from planner.export.marks import beats_csv, markers_csv, marks_of, poses_csv
from planner.scene import Beat, KeyPose

PEOPLE = ("clerk", "visitor")


def mark(name: str, *, who: str = "clerk", frames: tuple[int, int] = (1001, 1024)) -> ForeignMark:
    return ForeignMark(name, frames, who, "", "file")


def test_the_marks_of_a_scene_give_its_poses_back():
    given = facts()
    marks = [ForeignMark(m.name, m.frames, m.who, m.more, "x") for m in marks_of(given)]

    assert poses_in(marks, PEOPLE) == given.scene.poses


def test_the_marks_of_a_scene_give_its_beats_back_on_their_frames():
    given = facts()
    marks = [ForeignMark(m.name, m.frames, m.who, m.more, "x") for m in marks_of(given)]

    found = beats_in(marks, PEOPLE)

    assert [(b.intent, b.strength, b.toward, b.frames) for b in found] == [
        (b.beat.intent, b.beat.strength, b.beat.toward, b.frames)
        for b in sorted(given.beats, key=lambda b: b.frames)
    ]


def test_marks_of_others_are_left_alone():
    assert beats_in([mark("slate 12"), mark("note: beat it"), mark("")], PEOPLE) == ()


def test_a_mark_may_name_whose_it_is():
    marks = [mark("Visitor key pose: HEAD, up".replace("Visitor", "visitor"), who="V1")]

    assert poses_in(marks, PEOPLE) == (KeyPose(1001, "visitor", "head", "up"),)


@pytest.mark.parametrize(
    ("name", "who", "said"),
    [
        ("key pose: noze, up", "clerk", "names no part"),
        ("key pose: head", "V1", "whose is"),
        ("beat: teasing toward nobody", "clerk", 'no character "nobody"'),
    ],
)
def test_a_mark_that_is_not_understood_is_said(name, who, said):
    with pytest.raises(TableError, match=said):
        beats_in([mark(name, who=who)], PEOPLE)
        poses_in([mark(name, who=who)], PEOPLE)


def test_beats_come_back_from_their_table():
    given = facts()

    found = parse_beats(beats_csv(given).removeprefix("\ufeff"), PEOPLE)

    assert [(b.who, b.intent, b.strength, b.toward, b.note, b.frames) for b in found] == [
        (b.beat.who, b.beat.intent, b.beat.strength, b.beat.toward, b.beat.note, b.frames)
        for b in given.beats
    ]


def test_poses_come_back_from_their_table():
    made, _ = two_hander()

    assert parse_poses(poses_csv(facts()), PEOPLE).poses == made.poses


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", 'no column "first"'),
        ("first,last,who,intent\n1001,x,clerk,teasing\n", "beats.csv:2: frames are whole numbers"),
        ("first,last,who,intent\n1024,1001,clerk,teasing\n", "is no beat"),
        ("first,last,who,intent\n1,2,clurk,teasing\n", 'no character "clurk"'),
        ("first,last,who,intent\n1,2,clerk,\n", "no intent"),
        ('first,last,who,intent\n1,2,clerk,"a"b\n', "not a CSV row"),
    ],
)
def test_a_row_that_is_no_beat_is_said_with_its_line(text, said):
    with pytest.raises(TableError, match=said):
        parse_beats(text, PEOPLE)


def test_one_character_needs_no_name():
    assert parse_beats("first,last,intent\n1,9,sad\n", ("cook",)) == (
        Beat("sad", "cook", None, None, (1, 9)),
    )


def test_the_markers_table_holds_every_mark():
    given = facts()

    assert len(markers_csv(given).splitlines()) == 1 + len(marks_of(given))
