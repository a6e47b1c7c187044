"""What every plan must have, whatever is said: properties over synthetic voices and scenes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_scenes import INTENTS, beats_of, two_handers, voices
from made_voices import scene, seconds, silent_voice

from planner.intents import load_intents
from planner.plan.drafts import LAYERS
from planner.plan.make import make_plan, plan_state
from planner.plan.suggestion import Plan, Suggestion
from planner.scene import Beat, Cue, Scene
from planner.shot import shot_of

QUICK = settings(
    max_examples=60, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
STAGE = {"clerk": "left", "visitor": "right"}


def planned(given_scene: tuple, **more: object) -> tuple[Scene, Plan]:
    lines, readings, beats = given_scene
    made = scene(lines, beats=beats, stage=STAGE, **more)
    return made, make_plan(shot_of(made, readings))


def main_moves(plan: Plan) -> dict[tuple[str, str], list[Suggestion]]:
    found: dict[tuple[str, str], list[Suggestion]] = {}
    for s in plan.suggestions:
        if s.kind not in LAYERS:
            found.setdefault((s.who, s.part), []).append(s)
    return found


@QUICK
@given(two_handers(), st.sampled_from((0, 8)), st.sampled_from((1, 2)))
def test_everything_lies_in_the_shot_and_its_handles(given_scene, handles, step):
    _, plan = planned(given_scene, handles=handles, step=step)
    low, high = plan.shot[0] - handles, plan.shot[1] + handles
    for s in plan.suggestions:
        assert low <= s.frames[0] <= s.frames[1] <= high, s.id
        assert s.hit is None or s.frames[0] <= s.hit <= s.frames[1], s.id
        assert all(s.frames[0] <= m.frame <= s.frames[1] for m in s.timing_chart), s.id


@QUICK
@given(two_handers(), st.sampled_from((1, 2)), st.sampled_from(("12", "24", "30")))
def test_a_part_makes_one_main_move_at_a_time(given_scene, step, rate):
    _, plan = planned(given_scene, step=step, rate=rate)
    for moves in main_moves(plan).values():
        for earlier, later in pairwise(moves):
            assert later.frames[0] >= earlier.frames[1], (earlier, later)


@QUICK
@given(two_handers(), st.sampled_from((1, 2)), st.sampled_from(("12", "23.976", "24", "60")))
def test_an_anticipation_is_furthest_back_before_its_accent_hits(given_scene, step, rate):
    _, plan = planned(given_scene, step=step, rate=rate)
    accents = {s.id: s for s in plan.suggestions if s.kind == "accent"}
    for s in plan.suggestions:
        if s.kind == "anticipation" and s.part != "whole":
            hit = accents[s.id.replace("anticipation", "accent")].hit
            assert s.frames[0] < s.hit < hit


@QUICK
@given(two_handers(), st.sampled_from((2, 3, 4)), st.sampled_from((1001, 1000, 1)))
def test_twos_are_honoured_by_every_hit_and_drawing(given_scene, step, first_frame):
    _, plan = planned(given_scene, step=step, first_frame=first_frame)
    for s in plan.suggestions:
        frames = [*s.frames, *(m.frame for m in s.timing_chart)]
        frames += [s.hit] if s.hit is not None else []
        assert all((f - first_frame) % step == 0 for f in frames), s.id


@QUICK
@given(two_handers(), st.integers(1, 500))
def test_moving_all_lines_by_n_frames_moves_the_plan_by_n(given_scene, n):
    lines, readings, beats = given_scene
    rate = Fraction(24)
    later = [(who, at_s + float(n / rate)) for who, at_s in lines]
    _, plan = planned(given_scene)
    _, moved = planned((later, readings, beats))
    assert [s.id for s in plan.suggestions] == [s.id for s in moved.suggestions]
    for a, b in zip(plan.suggestions, moved.suggestions, strict=True):
        assert (a.frames[0] + n, a.frames[1] + n) == b.frames, a.id
        assert a.hit is None or a.hit + n == b.hit, a.id


@QUICK
@given(two_handers())
def test_the_same_scene_agrees_at_every_rate_within_a_frame_of_the_slower(given_scene):
    plans = {rate: planned(given_scene, rate=rate) for rate in ("24", "25", "30", "60")}
    slow_scene, slow = plans["24"]
    for rate in ("25", "30", "60"):
        fast_scene, fast = plans[rate]
        by_id = {s.id: s for s in fast.suggestions}
        assert set(by_id) == {s.id for s in slow.suggestions}
        for s in slow.suggestions:
            for a, b in [*zip(s.frames, by_id[s.id].frames, strict=True),
                         *([(s.hit, by_id[s.id].hit)] if s.hit is not None else [])]:  # fmt: skip
                apart = seconds(a, slow_scene.clock) - seconds(b, fast_scene.clock)
                assert abs(apart) <= Fraction(1, 24), (s.id, a, b, rate)


@QUICK
@given(st.data(), st.sampled_from((0.0, 0.2, 0.5)), st.sampled_from((0.3, 0.6, 1.0)))
def test_more_strength_never_means_less_size(data, weak, strong):
    weak, strong = sorted((weak, strong))
    reading = data.draw(voices())
    beats = data.draw(beats_of(reading, 1, "clerk", 1.0))
    sizes = []
    for strength in (weak, strong):
        made = scene(beats=[replace(b, strength=strength) for b in beats])
        plan = make_plan(shot_of(made, {1: reading}))
        sizes.append({s.id: s.size for s in plan.suggestions})
    for of in sizes[0].keys() & sizes[1].keys():
        assert sizes[1][of] >= sizes[0][of] - 1e-12, of


@QUICK
@given(two_handers())
def test_an_accent_hits_on_or_just_before_a_syllable_of_its_own_line(given_scene):
    made, plan = planned(given_scene)
    lines, readings, _ = given_scene
    for s in plan.suggestions:
        if s.kind != "accent":
            continue
        at_s = lines[s.line - 1][1]
        vowels = [at_s + v.nucleus_s for v in readings[s.line].syllables if v.degree != "none"]
        hit_s = float(seconds(s.hit, made.clock))
        assert any(-0.01 <= v - hit_s <= 0.15 for v in vowels), s.id


@pytest.mark.parametrize("intent", ["angry", "surprised", "neutral"])
def test_silence_gets_no_speech_accent(intent):
    made = scene([("clerk", 0.0)])
    plan = make_plan(shot_of(made, {1: silent_voice(3.0)}))
    assert not [s for s in plan.suggestions if s.kind in ("accent", "anticipation", "gesture")]


@QUICK
@given(two_handers())
def test_a_plan_from_an_earlier_state_is_the_plan_from_nothing(given_scene):
    lines, readings, beats = given_scene
    before = plan_state(shot_of(scene(lines, beats=beats[1:], stage=STAGE), readings))
    changed = scene(lines, beats=beats, stage=STAGE)
    again = plan_state(shot_of(changed, readings), before)
    assert again.plan.to_json() == make_plan(shot_of(changed, readings)).to_json()


@QUICK
@given(two_handers(), st.data())
def test_a_reaction_comes_no_sooner_than_understood_unless_it_is_called_an_interruption(
    given_scene, data
):
    lines, readings, beats = given_scene
    word = data.draw(st.integers(1, len(readings[1].words)))
    cue = Cue("visitor", 1, word, data.draw(st.sampled_from(("surprised", "sad", "neutral"))))
    made = scene(lines, beats=beats, stage=STAGE, cues=(cue,), characters=("clerk", "visitor"))
    plan = make_plan(shot_of(made, readings))
    onset_s = lines[0][1] + readings[1].words[word - 1].start_s
    for s in plan.suggestions:
        if s.kind == "reaction":
            late_s = float(seconds(s.hit, made.clock)) - onset_s
            assert late_s >= 0.36 - 1 / 24 or "interruption" in s.because.rule


@QUICK
@given(two_handers())
def test_ids_are_unique_and_what_layers_names_what_it_rides_on(given_scene):
    _, plan = planned(given_scene)
    ids = [s.id for s in plan.suggestions]
    assert len(ids) == len(set(ids))
    for s in plan.suggestions:
        if s.kind in LAYERS:
            assert s.rides_on in ids, s.id
        else:
            assert s.rides_on is None, s.id


@QUICK
@given(two_handers())
def test_nothing_is_said_without_a_reason(given_scene):
    _, plan = planned(given_scene)
    for s in plan.suggestions:
        because = s.because
        assert all((because.sound, because.intent, because.rule, because.source)), s.id
        assert 0 < s.size <= 1, s.id


@QUICK
@given(voices(), st.integers(0, 300), st.sampled_from(("24", "25", "23.976")))
def test_moving_a_line_inside_a_shot_moves_its_plan_by_as_much(reading, n, rate):
    """Once there is room to arrive before it: a line on the shot's first frames opens in pose."""
    plans = []
    for frames in (48, 48 + n):
        made = scene([("clerk", 0.0)], rate=rate, shot=(1001, 2000))
        at_s = made.clock.rate.start_s(frames)
        made = replace(made, lines=(replace(made.lines[0], at_s=at_s),))
        plans.append(
            [
                s
                for s in make_plan(shot_of(made, {1: reading})).suggestions
                if s.kind != "hold" and not (s.rides_on or "").startswith("hold")
            ]  # what lives in one
        )
    before, after = plans
    assert [s.id for s in before] == [s.id for s in after]
    for a, b in zip(before, after, strict=True):
        assert (a.frames[0] + n, a.frames[1] + n) == b.frames, a.id
        assert a.hit is None or a.hit + n == b.hit, a.id


@QUICK
@given(voices(least=4), st.data())
def test_adjoining_beats_have_a_named_change_of_thought_on_frames(reading, data):
    n = len(reading.words)
    cut = data.draw(st.integers(2, n - 2))
    names = data.draw(st.lists(st.sampled_from(INTENTS), min_size=2, max_size=2, unique=True))
    beats = [Beat(names[0], "clerk", 1, (1, cut)), Beat(names[1], "clerk", 1, (cut + 1, n))]
    plan = make_plan(shot_of(scene(beats=beats), {1: reading}))
    words = f"from {names[0]} to {names[1]}, marked by"
    marks = [s for s in plan.suggestions if words in s.because.intent]
    assert [s.kind in ("blink", "breath", "weight-shift") for s in marks] == [True]


@QUICK
@given(two_handers())
def test_no_three_parts_start_or_stop_their_moves_on_one_frame_unless_the_intent_asks(given_scene):
    lines, readings, beats = given_scene
    together = {name for name in INTENTS if load_intents()[name].parts_together}
    beats = [replace(b, intent="proud") if b.intent in together else b for b in beats]
    _, plan = planned((lines, readings, beats))
    for end in (0, 1):
        parts: dict[tuple[str, int], set[str]] = {}
        for s in plan.suggestions:
            if s.kind not in LAYERS and s.kind not in ("hold", "settle"):
                parts.setdefault((s.who, s.frames[end]), set()).add(s.part)
        assert all(len(moved) < 3 for moved in parts.values()), parts


@QUICK
@given(two_handers(), st.sampled_from((1, 2)), st.sampled_from(("24", "25", "30")))
def test_a_hit_lies_in_its_own_word_and_in_the_checks_window(given_scene, step, rate):
    """Not before the word (a frame after a silence); -4..+1 frames at 24 around the vowel."""
    lines, readings, _ = given_scene
    made, plan = planned(given_scene, step=step, rate=rate)
    per_s = float(made.clock.rate.frames_per_s)
    for s in plan.suggestions:
        if s.kind != "accent":
            continue
        at_s, syllables = lines[s.line - 1][1], readings[s.line].syllables
        i = int(s.id.rsplit("/w", 1)[1].split("s")[0]) - 1
        silent = i == 0 or syllables[i].start_s - syllables[i - 1].end_s >= 0.1
        low = made.clock.frame_at(at_s + syllables[i].start_s - silent / 24)
        vowel = made.clock.frame_at(at_s + syllables[i].nucleus_s)
        assert s.hit >= min(low, vowel), s.id
        assert -4 * per_s / 24 - 1 <= s.hit - vowel <= 1, s.id


@QUICK
@given(two_handers(), st.sampled_from((1, 2)))
def test_an_attitude_waits_for_the_last_stress_before_it_or_says_why_not(given_scene, step):
    lines, readings, _ = given_scene
    made, plan = planned(given_scene, step=step)
    beats = made.beats
    poses = [s for s in plan.suggestions if s.kind == "pose" and s.beat is not None and s.line]
    for s in poses:
        reading, at_s = readings[s.line], lines[s.line - 1][1]
        first = beats[s.beat].words[0] - 1
        stressed = [v for v in reading.syllables[:first] if v.degree == "strong"]
        near = [b for b in beats if b.line == s.line and b.words[1] == first]
        inside = [v for v in stressed if near and v.word >= near[0].words[0] - 1]
        if inside:
            end = made.clock.frame_at(at_s + inside[-1].end_s)
            assert s.frames[0] >= end - (step - 1) or "there is no gap" in s.because.rule, s.id


@QUICK
@given(two_handers(), st.sampled_from((1, 2)))
def test_reasons_are_in_frames_and_hold_no_marks(given_scene, step):
    _, plan = planned(given_scene, step=step)
    for s in plan.suggestions:
        told = f"{s.because.sound} {s.because.intent} {s.because.rule}"
        assert "\ue000" not in told and "\ue001" not in told, s.id
        assert " ms" not in told, s.id
