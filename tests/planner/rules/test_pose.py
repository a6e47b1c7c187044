"""Poses: one attitude a beat, there in time."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from made_voices import scene, voice
from plans import beat, of_kind, plan_of, stress_frame

from planner.frames import Clock, FrameRate
from planner.intents import load_intents
from planner.plan.make import make_plan
from planner.plan.on_frames import Grid
from planner.plan.tight import tight_spots
from planner.scene import Beat
from planner.shot import shot_of
from planner.told.plan_text import what

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


@pytest.mark.parametrize("intent", ["angry", "sad", "surprised", "tender"])
def test_the_next_attitude_waits_until_the_last_stressed_word_before_it_is_over(intent):
    plan = plan_of(SAID, beat("teasing", 1, 4), beat(intent, 5, 12))
    end = 1001 + voice(SAID).syllables[3].end_s * 24
    assert of_kind(plan, "pose")[1].frames[0] >= end
    late = load_intents()[intent].pose_arrives != "before"
    assert of_kind(plan, "pose")[1].hit <= stress_frame(plan, "not") or late


@pytest.mark.parametrize("step", [1, 2])
def test_the_change_of_attitude_uses_the_pause(step):
    said = "that is MINE. and it STAYS"
    plan = plan_of(said, beat("neutral", 1, 3), beat("proud", 4, 6), step=step, pause_s=0.6)
    reading = voice(said, pause_s=0.6)
    low, high = (1001 + t * 24 for t in (reading.syllables[2].end_s, reading.syllables[3].start_s))
    pose = of_kind(plan, "pose")[1]
    assert low <= pose.frames[0] <= high
    blinks = [s for s in of_kind(plan, "blink") if s.id.endswith("b2")]
    assert all(low <= s.frames[0] for s in blinks)


def test_without_a_gap_the_plan_says_that_the_stress_before_still_sounds():
    reading = voice("OH NOW it is MINE", lead_s=1.0)
    now = replace(reading.syllables[1], nucleus_s=reading.syllables[1].start_s)
    reading = replace(reading, syllables=(reading.syllables[0], now, *reading.syllables[2:]))
    pose = of_kind(plan_of(reading, beat("sad", 1, 1), beat("angry", 2, 5)), "pose")[1]
    assert pose.hit <= 1001 + int(now.nucleus_s * 24)
    assert "still sounds: there is no gap" in pose.because.rule


def test_an_attitude_that_already_holds_is_taken_further_instead_of_struck_again():
    made = scene([("clerk", 0.0), ("clerk", 4.0)],
                 beats=[Beat("tender", "clerk", n, (1, 3)) for n in (1, 2)])  # fmt: skip
    plan = make_plan(shot_of(made, {1: voice("it is MINE"), 2: voice("and it STAYS")}))
    first, second = of_kind(plan, "pose")
    assert second.size < 0.5 * first.size
    assert "the same attitude, taken a little further" in second.because.intent


def test_a_line_that_opens_the_shot_without_room_is_held_in_its_attitude_from_the_first_frame():
    """Common practice: a voice on the first frame is animated as if its attitude stood already."""
    plan = plan_of("NOW it is mine", beat("angry", 1, 4), lead_s=0.05)
    (pose,) = of_kind(plan, "pose")
    assert pose.frames == (1001, 1001)
    assert (pose.hit, pose.path) == (1001, "still")
    assert "Open the shot" in pose.because.rule
    assert not [s for s in plan.suggestions if s.kind in ("anticipation", "follow", "settle")
                and s.frames[0] < 1007]  # fmt: skip
    assert not [s for s in of_kind(plan, "accent") if s.frames[0] < 1003]
    assert "held from the first frame" in what(pose)


def test_a_line_with_nothing_before_it_asks_for_frames_and_with_them_no_more():
    plan = plan_of("NOW it is mine", beat("angry", 1, 4), lead_s=0.05)
    (warned,) = [w for w in plan.warnings if "nothing leads into the line" in w]
    lacking = int(re.search(r"give the shot (\d+) frames before it", warned)[1])
    more = plan_of("NOW it is mine", beat("angry", 1, 4), lead_s=0.05, handles=lacking)
    assert not [w for w in more.warnings if "nothing leads" in w]
    (pose,) = of_kind(more, "pose")
    assert pose.frames[0] < pose.hit


def test_an_attitude_in_fewer_than_three_exposures_is_warned_of():
    """Fewer than three drawings for a whole body read as a cut (common practice)."""
    plan = plan_of("it was LATE and NOW it is MINE", beat("sad", 1, 3), beat("angry", 4, 8))
    second = of_kind(plan, "pose")[1]
    squeezed = replace(second, frames=(second.hit - 2, second.hit))
    grid = Grid.of(Clock(FrameRate.parse("24")), 1001, 1200)
    (warned,) = tight_spots([squeezed], {}, grid, 1)
    assert "squeezed into 2 frames" in warned
    assert tight_spots([replace(second, frames=(second.hit - 3, second.hit))], {}, grid, 1) == []


def test_a_take_over_before_it_is_read_is_warned_of():
    """A take in fewer than six frames at 24 is a twitch (common practice)."""
    plan = plan_of("it was LATE", beat("sad", 1, 3))
    pose = of_kind(plan, "pose")[0]
    take = replace(pose, kind="reaction", size=0.8, frames=(1010, 1014), hit=1012)
    grid = Grid.of(Clock(FrameRate.parse("24")), 1001, 1200)
    (warned,) = tight_spots([take], {}, grid, 1)
    assert "over in 4 frames" in warned and "needs 6 frames" in warned
    assert tight_spots([replace(take, frames=(1010, 1016))], {}, grid, 1) == []


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
    plan = make_plan(shot_of(made, {1: voice("it is MINE"), 2: voice("and THAT too")}))
    assert [s.id for s in of_kind(plan, "pose")] == ["pose/whole/1/b1"]


def test_a_beat_given_by_frames_tags_the_words_it_covers():
    made = scene(beats=[Beat("sad", "clerk", frames=(1001, 1200))])
    (pose,) = of_kind(make_plan(shot_of(made, {1: voice(SAID)})), "pose")
    assert pose.because.intent.startswith("sad")
