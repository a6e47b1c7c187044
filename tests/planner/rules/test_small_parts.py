"""Eyes, lids, brows, breath, laughs: what layers on the moves of the body."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_voices import laughing, scene, voice
from plans import STAGE, beat, of_kind, plan_of

from audio.reading import VoiceEvent
from planner.plan.make import make_plan
from planner.scene import Beat
from planner.shot import shot_of

SAID = "that is the THIRD lamp. and it is NOT mine"


def test_a_change_of_thought_is_marked_on_frames():
    """By a blink, a breath or a shift of weight, whichever the new intent names."""
    for intent, kind, option in (
        ("surprised", "blink", 0.6), ("pleading", "breath", 0.8),
        ("impatient", "weight-shift", 0.8),
    ):  # fmt: skip
        plan = plan_of(SAID, beat("neutral", 1, 5), beat(intent, 6, 10), pause_s=option)
        marked = [s for s in of_kind(plan, kind) if "from neutral to" in s.because.intent]
        assert len(marked) == 1, intent


def test_a_breath_that_cannot_be_had_becomes_a_blink():
    plan = plan_of("that is the THIRD lamp and it is NOT mine", beat("neutral", 1, 5),
                   beat("pleading", 6, 10))  # fmt: skip
    assert not [s for s in of_kind(plan, "breath") if "from neutral" in s.because.intent]
    assert [s for s in of_kind(plan, "blink") if "from neutral" in s.because.intent]


def test_planted_hips_do_not_shift_weight():
    from planner.scene import Planted

    plan = plan_of(SAID, beat("neutral", 1, 5), beat("impatient", 6, 10),
                   planted=[Planted("clerk", "hips", (1001, 1300))])  # fmt: skip
    assert not of_kind(plan, "weight-shift")


def test_lids_close_in_2_frames_and_open_within_half_a_second_at_24():
    """About 80 ms down (Stern et al. 1984 give 100), the whole at most 500 ms."""
    for s in of_kind(plan_of(SAID), "blink"):
        assert s.hit - s.frames[0] in (1, 2, 3)
        assert s.frames[1] - s.frames[0] <= 12


def test_no_blink_runs_through_a_main_accent():
    plan = plan_of("YES. NO. so. WELL. THEN", beat("neutral", 1, 5), pause_s=0.35)
    hits = [s.hit for s in of_kind(plan, "accent")]
    assert all(abs(b.hit - h) >= 3 for b in of_kind(plan, "blink") for h in hits)


AVOIDING = "I only wanted to see what you had in MIND there"


def test_eyes_that_avoid_the_other_are_back_before_the_main_accent():
    plan = plan_of(AVOIDING, beat("suspicious", 1, 11, toward="visitor"), lead_s=1.0)
    looks = [s for s in of_kind(plan, "look") if not s.rides_on.startswith("hold")]
    away, back = looks
    hit = next(s for s in of_kind(plan, "accent") if s.text == "mind")
    assert away.direction == "away from visitor (left)"
    assert back.direction == "toward visitor (right)"
    assert back.hit < hit.hit


def test_ashamed_eyes_come_back_only_when_it_is_said():
    plan = plan_of(AVOIDING, beat("embarrassed", 1, 11, toward="visitor"), lead_s=1.0)
    looks = [s for s in of_kind(plan, "look") if not s.rides_on.startswith("hold")]
    away, back = looks
    assert away.direction == "down"
    assert back.direction == "toward visitor (right)"
    assert back.hit > 1001 + voice(AVOIDING, lead_s=1.0).syllables[-1].end_s * 24


def test_an_intent_led_by_the_eyes_has_a_look_and_asks_where_if_nobody_is_named():
    for toward, direction in ((None, "somewhere (toward: would name it)"),
                              ("visitor", "toward visitor (right)")):  # fmt: skip
        plan = plan_of(AVOIDING, beat("surprised", 1, 11, toward=toward), lead_s=1.0)
        look = of_kind(plan, "look")[0]
        assert look.direction == direction
        assert look.hit <= of_kind(plan, "pose")[0].frames[0] + 1


def test_a_part_is_said_to_lead_only_if_it_moves():
    plan = plan_of(AVOIDING, beat("surprised", 1, 11), lead_s=1.0)
    led = [s for s in plan.suggestions if "the eyes lead, the chest trails" in s.because.intent]
    assert bool(led) == bool(of_kind(plan, "look"))


def test_the_brows_rise_with_a_tone_that_rises_and_are_there_before_the_head():
    plan = plan_of("that is the THIRD lamp", beat("surprised", 1, 5), lead_s=1.0)
    (brow,), (hit,) = of_kind(plan, "brow"), of_kind(plan, "accent")
    assert brow.hit < hit.hit
    assert brow.rides_on == hit.id


def test_a_flat_accent_lifts_no_brow():
    plan = plan_of("that is the THIRD lamp", beat("surprised", 1, 5), lift_st=1.0)
    assert not of_kind(plan, "brow")


def test_a_frown_belongs_to_the_attitude():
    plan = plan_of("that is the THIRD lamp", beat("angry", 1, 5), lead_s=1.0)
    (brow,) = of_kind(plan, "brow")
    assert brow.direction == "down"
    assert brow.rides_on == "pose/whole/1/b1"


def with_event(kind, start_s, end_s, certainty=0.9, **options):
    return replace(voice(SAID, **options), events=(VoiceEvent(kind, start_s, end_s, certainty),))


def test_a_breath_that_is_heard_lifts_the_chest_while_it_lasts():
    plan = plan_of(with_event("breath", 0.4, 0.9, lead_s=1.0))
    (breath,) = [s for s in of_kind(plan, "breath") if "in-breath" in s.because.sound]
    assert breath.frames == (1001 + 9, 1001 + 21)  # 0.4 and 0.9 s at 24
    assert breath.direction == "up"
    assert breath.hit is None


def test_a_sigh_lets_the_chest_drop_and_takes_shoulders_and_head_along():
    plan = plan_of(with_event("sigh", 0.2, 0.9, lead_s=1.5))
    (sigh,) = [s for s in of_kind(plan, "breath") if "sigh" in s.because.sound]
    assert sigh.direction == "down"
    for part in ("shoulders", "head"):
        (carried,) = of_kind(plan, "follow", part)
        assert carried.direction == "down"
        assert carried.frames[0] > sigh.frames[0]


@pytest.mark.parametrize("kind", ["sigh", "laugh"])
def test_an_attitude_waits_for_the_sigh_or_laugh_before_it(kind):
    """Emptied, or bounced out, at 0.9 s."""
    plan = plan_of(with_event(kind, 0.2, 0.9, lead_s=1.4))
    (pose,) = of_kind(plan, "pose")
    assert pose.frames[0] >= 1001 + int(0.9 * 24)
    assert f"waits for the {kind}" in pose.because.rule


def test_a_body_that_goes_down_does_not_start_against_an_in_breath():
    reading = with_event("breath", 0.5, 0.95, lead_s=1.0)
    early = {"glad": {"based_on": "proud", "pose_arrives": "before"}}
    drop, rise = (of_kind(plan_of(reading, beat(i, 1, 10), intents=early), "pose")[0]
                  for i in ("relieved", "glad"))  # fmt: skip
    assert drop.frames[0] >= 1001 + int(0.95 * 24)
    assert rise.frames[0] < 1001 + int(0.95 * 24)


@pytest.mark.parametrize("pause_s", [0.4, 0.7, 1.2])
def test_no_breath_in_lies_under_a_body_that_goes_down(pause_s):
    plan = plan_of(SAID, beat("neutral", 1, 5), beat("relieved", 6, 10), pause_s=pause_s)
    drops = [s for s in of_kind(plan, "pose") if s.direction == "down"]
    lifts = [s for s in of_kind(plan, "breath") if s.direction == "up"]
    assert drops
    assert not [b for b in lifts for d in drops if b.frames[0] < d.frames[1]
                and b.frames[1] > d.frames[0]]  # fmt: skip


def test_a_longer_phrase_takes_a_bigger_breath():
    """Whalen & Kinsella-Shaw 1997: the in-breath is longer before a longer sentence."""
    short = plan_of("a " * 9 + "B", lead_s=1.0)
    long = plan_of("a " * 24 + "B", lead_s=1.0)
    sizes = [of_kind(p, "breath")[0].size for p in (short, long)]
    assert sizes[0] < sizes[1]


def test_a_doubtful_breath_is_not_planned():
    plan = plan_of(with_event("breath", 0.4, 0.9, certainty=0.2, lead_s=1.0))
    assert not [s for s in of_kind(plan, "breath") if "in-breath" in s.because.sound]


def test_a_laugh_bounces_on_the_bursts_that_are_heard_and_dies_away():
    reading, start_s = laughing(bursts=4)
    (laugh,) = of_kind(plan_of(reading), "laugh")
    assert laugh.hit == 1001 + int((start_s + 0.1) * 24)
    downs = [m.at for m in laugh.timing_chart if m.mark == "key" and m.at > 0.45]
    assert "4 bursts" in laugh.because.sound
    assert downs[0] == 1.0
    assert laugh.timing_chart[-1].at == 0.0  # and the chest comes up again
    assert laugh.rides_on == "pose/whole/1/b1"
    assert laugh.part == "chest"


@pytest.mark.parametrize("kind", ["breath", "laugh"])
def test_two_events_in_one_pause_do_not_share_an_id(kind):
    reading = voice(SAID, pause_s=3.0)
    end_s = reading.phrases[0].end_s
    events = tuple(VoiceEvent(kind, end_s + k, end_s + k + 0.5, 0.9) for k in (0.2, 1.5))
    plan = plan_of(replace(reading, events=events))
    ids = [s.id for s in plan.suggestions]
    assert len(ids) == len(set(ids))


def test_speaking_to_someone_else_is_looked_at_first():
    made = scene([("clerk", 0.5)], beats=[Beat("curious", "clerk", 1, (1, 5), toward="visitor")],
                 stage=STAGE, characters=("clerk", "visitor"))  # fmt: skip
    plan = make_plan(shot_of(made, {1: voice("that is the THIRD lamp", lead_s=1.0)}))
    look = next(s for s in of_kind(plan, "look") if s.direction == "toward visitor (right)")
    pose = of_kind(plan, "pose")[0]
    assert look.hit <= pose.frames[0] + 1
