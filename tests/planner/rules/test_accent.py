"""Accents: on stresses, ahead of the vowel, and not on every one."""

from __future__ import annotations

import pytest
from plans import beat, of_kind, plan_of, stress_frame

from planner.heard import apply_heard
from planner.scene import Heard

MANY = "I TOLD YOU NOT TO GO IN THERE AT NIGHT"


def test_a_main_accent_hits_about_two_frames_ahead_of_the_vowel():
    plan = plan_of("that is the THIRD lamp this week")
    (hit,) = of_kind(plan, "accent")
    assert stress_frame(plan, "third") - hit.hit in (2, 3)  # 83 ms at 24


@pytest.mark.parametrize("intent", ["neutral", "angry", "sad", "surprised", "tender"])
def test_an_accent_never_hits_after_its_stress(intent):
    plan = plan_of("and YOU take it. THAT was mine", beat(intent, 1, 7))
    for hit in of_kind(plan, "accent"):
        assert hit.hit <= stress_frame(plan, hit.text)


def test_each_phrase_has_its_main_accent():
    plan = plan_of("it is MINE. and it is NOT yours. so GO", beat("sad", 1, 9))
    assert [s.text for s in of_kind(plan, "accent")] == ["mine", "not", "go"]


def test_not_every_stress_gets_a_move():
    plan = plan_of(MANY, beat("neutral", 1, 10))
    assert len(of_kind(plan, "accent")) < 4
    assert len(plan.lines[0].stresses) >= 8


def test_an_energetic_intent_hits_more_often_than_a_quiet_one():
    counts = [len(of_kind(plan_of(MANY, beat(i, 1, 10)), "accent")) for i in ("sad", "angry")]
    assert counts[0] < counts[1]


def test_a_light_stress_is_left_to_the_voice_by_a_quiet_intent():
    plan = plan_of("it is MINE and ~yours to ~keep", beat("neutral", 1, 7))
    assert [s.text for s in of_kind(plan, "accent")] == ["mine"]


def test_a_second_accent_is_smaller_than_the_main_one():
    plan = plan_of("YOU said it would all be DONE", beat("angry", 1, 7))
    sizes = {s.text: s.size for s in of_kind(plan, "accent")}
    (main,) = [s.text for s in plan.lines[0].stresses if s.main]
    (other,) = set(sizes) - {main}
    assert sizes[other] < 0.7 * sizes[main]


def test_the_reason_gives_the_sounds_numbers():
    plan = plan_of("that is the THIRD lamp this week", lift_st=5.0)
    (hit,) = of_kind(plan, "accent")
    assert 'main accent of the phrase: "third" rises 5.0 st' in hit.because.sound
    assert "the usual length" in hit.because.sound
    assert "dB" in hit.because.sound


def test_an_accent_rides_on_the_attitude_of_its_beat():
    plan = plan_of("it is MINE and NOT yours", beat("sad", 1, 3), beat("angry", 4, 6), lead_s=1.0)
    rides = {s.text: s.rides_on for s in of_kind(plan, "accent")}
    assert rides["mine"] == "pose/whole/1/b1"


def test_what_the_user_hears_moves_the_main_accent():
    from made_voices import voice

    reading = apply_heard(voice("it is MINE and yours"), Heard(stress=(5,), unstress=(3,)))
    plan = plan_of(reading)
    assert [s.text for s in of_kind(plan, "accent")] == ["yours"]
