"""Gestures and the hand they use."""

from __future__ import annotations

import pytest
from plans import beat, of_kind, plan_of, stress_frame

from planner.scene import Planted

SAID = "well I told them that it was the THIRD one this week"


@pytest.mark.parametrize("intent", ["pleading", "angry", "confident", "neutral"])
def test_the_stroke_ends_at_or_before_the_vowel(intent):
    """Kendon 1980; McNeill 1992."""
    plan = plan_of(SAID, beat(intent, 1, 11))
    for s in of_kind(plan, "gesture"):
        assert 0 <= stress_frame(plan, s.text) - s.hit <= 2


def test_it_has_preparation_stroke_hold_and_recovery():
    (gesture,) = of_kind(plan_of(SAID, beat("pleading", 1, 11)), "gesture")
    keys = [(m.frame, m.at) for m in gesture.timing_chart if m.mark == "key"]
    assert [at for _, at in keys] == [0.0, 0.35, 1.0, 1.0, 0.0]
    assert keys[2][0] == gesture.hit


def test_the_inner_hand_by_the_stage():
    (gesture,) = of_kind(plan_of(SAID, beat("pleading", 1, 11, toward="visitor")), "gesture")
    assert gesture.part == "right hand"  # the clerk stands left, the visitor right


def test_the_free_hand_where_the_other_is_planted():
    plan = plan_of(SAID, beat("pleading", 1, 11, toward="visitor"), stage={},
                   planted=[Planted("clerk", "right hand", (1001, 1300))])  # fmt: skip
    assert of_kind(plan, "gesture")[0].part == "left hand"


def test_no_hand_is_guessed_without_a_stage():
    (gesture,) = of_kind(plan_of(SAID, beat("pleading", 1, 11), stage={}), "gesture")
    assert gesture.part == "right hand"
    assert gesture.via.startswith("near hand")
    assert "give the scene a stage" in gesture.because.rule


def test_both_hands_planted_means_no_gesture():
    hands = [Planted("clerk", f"{side} hand", (1001, 1300)) for side in ("left", "right")]
    assert not of_kind(plan_of(SAID, beat("pleading", 1, 11), planted=hands), "gesture")


@pytest.mark.parametrize("part", ["left hand", "right hand", "head", "chest", "hips"])
def test_a_planted_part_makes_no_move_of_its_own(part):
    planted = [Planted("clerk", part, (1001, 1300))]
    plan = plan_of(SAID, beat("pleading", 1, 5), beat("impatient", 6, 11), planted=planted)
    hanging = {"left hand": "left", "right hand": "right"}.get(part)
    for s in plan.suggestions:
        if s.who == "clerk":
            assert s.part != part
            assert hanging is None or not s.part.startswith(hanging)


def test_fingers_arrive_after_the_hand():
    plan = plan_of(SAID, beat("pleading", 1, 11))
    (gesture,), (fingers,) = of_kind(plan, "gesture"), of_kind(plan, "follow", "right fingers")
    assert fingers.hit > gesture.hit


def test_a_short_answer_needs_no_hand():
    assert not of_kind(plan_of("NO", beat("angry", 1, 1), lead_s=1.0), "gesture")


def test_gestures_are_spent_as_the_intent_allows():
    said = "and so it WAS that I had to GO. and then it WAS that I came to STAY with you"
    few = of_kind(plan_of(said, beat("embarrassed", 1, 19)), "gesture")
    assert len(few) <= 1


def test_hands_do_not_leave_on_the_frame_the_body_does():
    plan = plan_of("so it is MINE now", beat("pleading", 1, 5), lead_s=0.9)
    starts = {s.frames[0] for s in of_kind(plan, "pose")}
    assert not starts & {s.frames[0] for s in of_kind(plan, "gesture")}


def test_weight_arrives_after_the_attitude_unless_the_hips_lead():
    from_to = (beat("neutral", 1, 5), beat("impatient", 6, 11))
    plan = plan_of(SAID, *from_to)
    (shift,), pose = of_kind(plan, "weight-shift"), of_kind(plan, "pose")[1]
    assert shift.hit > pose.hit
    hips = plan_of(SAID, *from_to, intents={"impatient": {"lead": "hips"}})
    assert of_kind(hips, "weight-shift")[0].hit < of_kind(hips, "pose")[1].hit


def test_the_hips_start_first_and_arrive_last():
    plan = plan_of(SAID, beat("neutral", 1, 5), beat("impatient", 6, 11))
    (shift,), pose = of_kind(plan, "weight-shift"), of_kind(plan, "pose")[1]
    assert shift.frames[0] < pose.frames[0] < pose.hit < shift.hit


def test_the_gestures_way_is_the_one_its_words_say():
    for intent, way in (("relieved", "down"), ("proud", "out, open"), ("impatient", "aside"),
                        ("pleading", "toward visitor (right)")):  # fmt: skip
        plan = plan_of(SAID, beat(intent, 1, 11, toward="visitor"))
        hands = [*of_kind(plan, "gesture"), *(s for s in of_kind(plan, "accent")
                                              if s.carrier == "hand")]  # fmt: skip
        assert [s.direction for s in hands] == [way], intent


def test_the_same_hand_does_not_gesture_twice_running():
    said = "and so it WAS that I had to go. well and then it WAS that I came to stay with you"
    plan = plan_of(said, beat("angry", 1, 20, toward="visitor"), pause_s=2.5)
    parts = [s.part for s in of_kind(plan, "gesture")]
    assert len(parts) == 2
    assert parts[0] != parts[1]


def test_a_hand_on_oneself_is_no_stroke_and_lasts():
    plan = plan_of(SAID, beat("embarrassed", 1, 11))
    (gesture,) = of_kind(plan, "gesture")
    keys = [(m.frame, m.at) for m in gesture.timing_chart if m.mark == "key"]
    assert [at for _, at in keys] == [0.0, 1.0, 1.0, 0.0]
    assert keys[2][0] - keys[1][0] >= 20
    assert gesture.direction == "in, to the body"
    assert not of_kind(plan, "follow", gesture.part.replace("hand", "fingers"))


def test_a_hand_waits_for_its_own_attitude():
    plan = plan_of(SAID, beat("neutral", 1, 6), beat("angry", 7, 11))
    poses = {s.because.intent.split()[0]: s for s in of_kind(plan, "pose")}
    for s in of_kind(plan, "gesture"):
        pose = poses[s.because.intent.split()[0]]
        assert pose.frames[0] == pose.frames[1] or s.frames[0] > pose.frames[0]
