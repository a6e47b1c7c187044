"""Poses: one attitude a beat, there in time."""

from __future__ import annotations

from made_voices import scene, voice
from plans import beat, of_kind, plan_of, stress_frame

from planner.plan import make_plan
from planner.scene import Beat

SAID = "that is the THIRD lamp this week and it is NOT mine"


def test_each_tagged_beat_has_one_attitude():
    plan = plan_of(SAID, beat("teasing", 1, 5), beat("sad", 6, 12), at_s=1.0)
    assert [s.id for s in of_kind(plan, "pose")] == ["pose/whole/1/b1", "pose/whole/1/b2"]
    assert [s.beat for s in of_kind(plan, "pose")] == [0, 1]


def test_plain_talk_after_a_beat_keeps_its_attitude():
    plan = plan_of(SAID, beat("teasing", 1, 5))
    assert [s.id for s in of_kind(plan, "pose")] == ["pose/whole/1/b1"]
    late = next(s for s in of_kind(plan, "accent") if s.text == "not")
    assert late.rides_on == "pose/whole/1/b1"


def test_an_untagged_line_plays_as_neutral_in_one_attitude():
    plan = plan_of(SAID)
    (pose,) = of_kind(plan, "pose")
    assert pose.beat is None
    assert pose.because.intent.startswith("neutral")


def test_the_attitude_is_reached_before_its_first_strong_stress():
    plan = plan_of(SAID, beat("teasing", 1, 5), beat("angry", 6, 12), lead_s=1.0)
    first, second = of_kind(plan, "pose")
    assert first.hit < stress_frame(plan, "third")
    assert second.hit < stress_frame(plan, "not")


def test_the_next_attitude_waits_for_the_last_strong_stress_of_the_thought_before():
    plan = plan_of(SAID, beat("teasing", 1, 5), beat("angry", 6, 12))
    assert of_kind(plan, "pose")[1].frames[0] >= stress_frame(plan, "third")


def test_a_line_that_opens_the_shot_without_room_starts_in_its_attitude():
    plan = plan_of("NOW it is mine", beat("angry", 1, 4), lead_s=0.05)
    (pose,) = of_kind(plan, "pose")
    assert pose.frames == (1001, 1001)
    assert pose.hit == 1001
    assert "Open the shot" in pose.because.rule


def test_with_handles_there_is_room_to_arrive_before_the_line():
    plan = plan_of("NOW it is mine", beat("angry", 1, 4), lead_s=0.05, handles=24)
    (pose,) = of_kind(plan, "pose")
    assert 1001 - 24 <= pose.frames[0] < pose.hit < stress_frame(plan, "now")


def test_too_little_time_to_get_there_is_said():
    plan = plan_of("OH NOW it is MINE", beat("sad", 1, 1), beat("angry", 2, 5), lead_s=1.0)
    assert "Only" in of_kind(plan, "pose")[1].because.rule


def test_the_lean_names_the_side_only_if_the_stage_does():
    leaning = beat("pleading", 1, 12, toward="visitor")
    assert of_kind(plan_of(SAID, leaning), "pose")[0].direction == "toward visitor (right)"
    assert of_kind(plan_of(SAID, leaning, stage={}), "pose")[0].direction == "toward visitor"


def test_plain_lines_of_one_character_do_not_change_attitude_again():
    made = scene([("clerk", 0.0), ("clerk", 5.0)])
    plan = make_plan(made, {1: voice("it is MINE"), 2: voice("and THAT too")})
    assert [s.id for s in of_kind(plan, "pose")] == ["pose/whole/1/b1"]


def test_a_beat_given_by_frames_tags_the_words_it_covers():
    made = scene(beats=[Beat("sad", "clerk", frames=(1001, 1200))])
    (pose,) = of_kind(make_plan(made, {1: voice(SAID)}), "pose")
    assert pose.because.intent.startswith("sad")
