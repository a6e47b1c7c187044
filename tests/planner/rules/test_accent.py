"""Accents: on stresses, ahead of the vowel, and not on every one."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from made_voices import scene, voice
from plans import beat, of_kind, plan_of, stress_frame

from audio.reading import Glide
from planner.plan.make import make_plan
from planner.plan.timing_chart import way_at
from planner.scene import Heard
from planner.shot import shot_of
from planner.shot.heard import apply_heard

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
    reading = apply_heard(voice("it is MINE and yours"), Heard(stress=(5,), unstress=(3,)))
    plan = plan_of(reading)
    assert [s.text for s in of_kind(plan, "accent")] == ["yours"]


def at(s, frame):
    return way_at(s.timing_chart, frame) if s.frames[0] <= frame <= s.frames[1] else 0.0


def late_peak(said="that is the THIRD lamp this week", **options):
    """The voice with the third word's tone climbing to its end."""
    reading = voice(said, **options)
    hz = np.array(reading.pitch.hz)
    i = next(k for k, s in enumerate(reading.syllables) if s.degree == "strong")
    low, high = (int(t / 0.005) for t in (reading.syllables[i].nucleus_s,
                                          reading.syllables[i].end_s))  # fmt: skip
    hz[low:high] = 120.0 * 2 ** (np.linspace(2.0, 8.0, high - low) / 12)
    return replace(reading, pitch=replace(reading.pitch, hz=hz)), i, (high - 1) * 0.005


@pytest.mark.parametrize("intent", ["neutral", "angry", "tender", "surprised"])
def test_the_head_stays_on_its_hit_until_the_tone_has_peaked(intent):
    reading, i, peak_s = late_peak()
    plan = plan_of(reading, beat(intent, 1, 7))
    (hit,) = [s for s in of_kind(plan, "accent") if s.id.endswith(f"w{i + 1}s1")]
    peak = 1001 + int(peak_s * 24)
    assert all(at(hit, f) >= 0.8 for f in range(hit.hit, peak + 1))
    assert at(hit, hit.frames[1]) == 0.0


def test_an_accent_on_a_rise_that_asks_stops_there_through_the_pause():
    reading, i, peak_s = late_peak("is it the THIRD. then I go", pause_s=0.6)
    rise = Glide(reading.syllables[i].nucleus_s, peak_s, 8.0, "rise", True, (i,))
    first = replace(reading.phrases[0], ending="rise", ending_semitones=8.0)
    plan = plan_of(replace(reading, glides=(rise,), phrases=(first, reading.phrases[1])))
    hit = next(s for s in of_kind(plan, "accent") if s.text == "third")
    assert at(hit, 1001 + int((peak_s + 0.4) * 24)) == 1.0
    assert "rises 8.0 st" in hit.because.rule


@pytest.mark.parametrize("step", [1, 2])
@pytest.mark.parametrize("rate", ["24", "25", "30"])
@pytest.mark.parametrize("lead_s", [0.50, 0.52, 0.54, 0.56])
def test_a_hit_is_not_before_its_own_word_nor_late(step, rate, lead_s):
    """Words here run on without a gap; the tolerance of the check is -4..+1 frames at 24."""
    reading = voice("and so he DID it", lead_s=lead_s)
    made = scene(rate=rate, step=step)
    (hit,) = of_kind(make_plan(shot_of(made, {1: reading})), "accent")
    did, per_s = reading.syllables[3], made.clock.rate.frames_per_s
    assert hit.hit >= 1001 + int(did.start_s * per_s + 1e-4)
    assert -4 * per_s / 24 <= hit.hit - 1001 - int(did.nucleus_s * per_s + 1e-4) <= 1


def test_after_a_silence_a_hit_is_a_frame_before_its_word_at_most():
    reading = voice("NOW go", lead_s=0.53)
    flat = replace(reading.syllables[0], nucleus_s=reading.syllables[0].start_s)
    reading = replace(reading, syllables=(flat, reading.syllables[1]))
    (hit,) = of_kind(plan_of(reading, beat("angry", 1, 2)), "accent")
    assert hit.hit == 1001 + int((0.53 - 1 / 24) * 24)


def test_a_hit_on_the_frames_of_its_attitude_goes_the_attitudes_way():
    """proud goes up; its accents are told down here, on the first word after another thought."""
    plan = plan_of("~oh NOW it is mine", beat("neutral", 1, 1), beat("smug", 2, 5),
                   intents={"smug": {"based_on": "proud", "accent_direction": "down",
                                     "carriers": "head 1", "pose_ms": 300,
                                     "pose_arrives": "before"}}, lead_s=1.0)  # fmt: skip
    pose = of_kind(plan, "pose")[1]
    hit = next(s for s in of_kind(plan, "accent") if s.text == "now")
    assert pose.direction == "up"
    assert abs(pose.hit - hit.hit) <= 4
    assert hit.direction == "up"
    assert "with the attitude" in hit.because.intent


def test_a_hit_that_has_its_attitude_under_it_keeps_its_own_way():
    plan = plan_of("well I think that it is MINE", beat("smug", 1, 7), lead_s=1.5,
                   intents={"smug": {"based_on": "proud", "accent_direction": "down",
                                     "carriers": "head 1", "pose_arrives": "before"}},
                   )  # fmt: skip
    assert [s.direction for s in of_kind(plan, "accent")] == ["down"]


def test_one_hit_is_on_its_way_back_when_the_next_starts():
    plan = plan_of("I TOLD YOU NOT TO GO", beat("angry", 1, 6))
    hits = sorted(of_kind(plan, "accent"), key=lambda s: s.hit)
    assert len(hits) > 1
    for part in {s.part for s in hits}:
        own = [s for s in hits if s.part == part]
        assert all(b.frames[0] >= a.hit and a.frames[1] <= b.hit for a, b in pairwise(own))


def test_reasons_count_frames():
    (hit,) = of_kind(plan_of("that is the THIRD lamp"), "accent")
    assert " frames back" in hit.because.intent
    assert "vowel at frame 1" in hit.because.sound
    assert " ms" not in f"{hit.because.sound} {hit.because.intent} {hit.because.rule}"


@pytest.mark.parametrize(("intent", "semitones", "direction"), [
    ("neutral", 6.0, "up"), ("neutral", -6.0, "down"), ("teasing", 6.0, "down"),
    ("confident", 6.0, "down"), ("pleading", 6.0, "forward"), ("amused", -6.0, "up"),
])  # fmt: skip
def test_a_hits_way_comes_from_the_tone_and_the_intent(intent, semitones, direction):
    """neutral follows the tune, teasing opposes it, confident stays; pleading reaches forward."""
    reading = voice("that is the THIRD lamp", lead_s=1.0)
    third = reading.syllables[3]
    shape = "rise" if semitones > 0 else "fall"
    glide = Glide(third.nucleus_s, third.end_s, semitones, shape, True, (3,))
    plan = plan_of(replace(reading, glides=(glide,)), beat(intent, 1, 5),
                   intents={intent: {"carriers": "head 1", "pose_arrives": "before"}})  # fmt: skip
    assert [s.direction for s in of_kind(plan, "accent")] == [direction]


def test_a_small_nod_is_struck_without_preparation():
    plans = [plan_of("that is the THIRD lamp", beat("neutral", 1, 5, strength=s), lead_s=1.5)
             for s in (0.2, 1.0)]  # fmt: skip
    assert [len(of_kind(p, "anticipation", "head")) for p in plans] == [0, 1]
    assert of_kind(plans[0], "accent")[0].size < 0.3


def test_a_playful_beat_has_one_idea_off_the_beat():
    said = "that is the THIRD lamp this week and it is so"
    teased = plan_of(said, beat("teasing", 1, 11, toward="visitor"), lead_s=1.0)
    (hit,) = [s for s in of_kind(teased, "accent") if s.text == "third"]
    (late,) = [s for s in of_kind(teased, "look") if "off the beat" in s.because.intent]
    assert late.frames[0] > hit.hit
    assert late.direction == "aside, away from visitor (left), and back"
    amused = plan_of(said, beat("amused", 1, 11), lead_s=1.0,
                     intents={"amused": {"carriers": "head 1"}})  # fmt: skip
    (hit,) = [s for s in of_kind(amused, "accent") if s.text == "third"]
    week = 1001 + voice(said, lead_s=1.0).syllables[6].end_s * 24
    assert 0.3 < at(hit, int(week)) < 0.5
    assert "to a tilt" in hit.because.rule
