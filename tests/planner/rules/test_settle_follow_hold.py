"""What comes after a move: settles, followers, moving holds."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from made_voices import voice
from plans import beat, of_kind, plan_of

from audio.reading import VoiceEvent
from planner.intents import load_intents
from planner.rules.follow import lag_s
from planner.rules.settle import settle_times
from planner.scene import Planted

SAID = "that is the THIRD lamp this week"


def test_a_settle_starts_where_the_attitude_is_reached_and_goes_past_it():
    plan = plan_of(SAID, beat("relieved", 1, 7), lead_s=1.5)
    (settle,), (pose,) = of_kind(plan, "settle", "whole"), of_kind(plan, "pose")
    assert settle.frames[0] == pose.hit
    assert settle.hit == settle.frames[1]
    assert 0 < settle.size < pose.size


@pytest.mark.parametrize("name", sorted(load_intents()))
def test_overshoots_take_2_to_4_frames_and_settles_6_to_14_at_24(name):
    """Common practice, as frames at 24."""
    past_s, rest_s = settle_times(load_intents()[name], 0.0)
    assert 2 <= round(past_s * 24) <= 4
    assert 6 <= round((rest_s - past_s) * 24) <= 14


def test_tender_settles_longer_than_angry():
    times = {n: settle_times(load_intents()[n], 0.0) for n in ("tender", "angry")}
    assert times["tender"][1] > times["angry"][1] + 0.2


@pytest.mark.parametrize("name", sorted(load_intents()))
def test_lags_are_1_to_6_frames_at_24_and_grow_with_size(name):
    intent = load_intents()[name]
    lags = [lag_s(intent, size / 10) for size in range(11)]
    assert lags == sorted(lags)
    assert 1 / 24 <= lags[0] < lags[-1] <= 6 / 24


def test_the_chest_follows_the_head_by_3_to_4_frames_on_a_full_move():
    """Common practice at 24 frames."""
    assert round(lag_s(load_intents()["neutral"], 1.0) * 24) in (3, 4)


def test_the_chest_trails_the_attitude_by_half_its_size():
    plan = plan_of(SAID, beat("pleading", 1, 7), lead_s=1.5)
    pose = of_kind(plan, "pose")[0]
    chest = next(s for s in of_kind(plan, "follow", "chest") if s.id.endswith("b1"))
    assert 1 <= chest.hit - pose.hit <= 6
    assert chest.size == pytest.approx(pose.size / 2)


def test_the_head_trails_where_the_intent_leads_with_the_chest():
    plan = plan_of(SAID, beat("proud", 1, 7), lead_s=1.5)
    assert of_kind(plan, "follow", "head")
    assert "chest leads" in of_kind(plan, "follow", "head")[0].because.intent


def test_a_small_hit_stays_in_the_head():
    plan = plan_of(SAID, beat("tender", 1, 7, strength=0.3), lead_s=1.5)
    assert not [s for s in of_kind(plan, "follow", "chest") if s.id.endswith("w4s1")]


def test_nothing_trails_where_all_parts_go_together():
    assert not of_kind(plan_of(SAID, beat("frightened", 1, 7), lead_s=1.5), "follow", "chest")


def test_a_hold_fills_the_pause_and_creeps_a_twentieth_at_most():
    plan = plan_of("that is MINE. and it STAYS here", beat("neutral", 1, 7), pause_s=1.5)
    held = [s for s in of_kind(plan, "hold") if s.id == "hold/whole/1/p1"]
    pose = of_kind(plan, "pose")[0]
    assert len(held) == 1
    assert held[0].hit is None
    assert held[0].size <= pose.size / 20


def test_a_hold_goes_toward_the_listener_where_the_intent_says_so():
    plan = plan_of("that is MINE. and it STAYS", beat("teasing", 1, 6, toward="visitor"),
                   pause_s=1.5)  # fmt: skip
    assert of_kind(plan, "hold")[0].direction == "toward visitor (right)"


def test_a_planted_hand_is_named_in_the_hold():
    plan = plan_of("that is MINE. and it STAYS", pause_s=1.5,
                   planted=[Planted("clerk", "left hand", (1001, 1200))])  # fmt: skip
    assert any("Left hand stays planted" in s.because.rule for s in of_kind(plan, "hold"))


def test_holds_that_meet_are_one():
    holds = of_kind(plan_of(voice("that is MINE", tail_s=3.0)), "hold")
    for earlier, later in pairwise(holds):
        assert later.frames[0] > earlier.frames[1] + 1


def test_a_holds_reason_is_the_silence_that_is_there():
    reading = voice("that is MINE. and it STAYS", pause_s=1.0)
    hold = next(s for s in of_kind(plan_of(reading), "hold") if s.id.endswith("p1"))
    assert hold.because.sound == '24 frames of silence after "mine"'
    last = of_kind(plan_of(reading, shot=(1001, 1120)), "hold")[-1]
    assert 'the line ends on "stays" at frame ' in last.because.sound
    assert " s of silence" not in last.because.sound


def test_a_laugh_in_a_pause_is_no_silence():
    reading = voice("that is MINE. and it STAYS", pause_s=1.5)
    end_s = reading.phrases[0].end_s
    laugh = VoiceEvent("laugh", end_s + 0.25, end_s + 1.25, 0.9)
    plan = plan_of(replace(reading, events=(laugh,)))
    hold = next(s for s in of_kind(plan, "hold") if s.id.endswith("p1"))
    assert hold.because.sound == 'a laugh after "mine", with 12 frames of silence'
