"""Every number of frames that a reason prints is what the frames of its suggestion say."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from made_voices import scene, voice
from plans import STAGE

from planner.commands._shared import load_shot
from planner.frames import Clock, FrameRate
from planner.plan.decisions import decide
from planner.plan.make import make_plan
from planner.scene import Beat, Cue, Decision
from planner.shot import shot_of

SAID = "that is the THIRD ~lamp. and it STAYS here ~this WEEK"
ACCENT = "accent/head/1/w4s1"
INTENTS = ("teasing", "angry", "sad", "surprised", "proud", "frightened", "amused", "pleading")
CLAIMS = {
    r"(\d+) in, stays (\d+), (\d+) frames? back": ("in", "stay", "back"),
    r"trails by (\d+) frames?": ("trails",),
    r"fingers (\d+) frames? after the stroke": ("trails",),
    r"(\d+) past its end": ("in",),
    r"of the move, (\d+) frames? back": ("back",),
    r"Back for (\d+) frames? before": ("in",),
    r"Only (\d+) frames? to get there": ("in",),
}


def shot_at(rate, step, *, intents=INTENTS[:2], decisions=(), at_s=0.4):
    beats = [Beat(intents[0], "clerk", 1, (1, 5)), Beat(intents[1], "clerk", 1, (6, 11))]
    made = scene(
        [("clerk", at_s), ("visitor", at_s + 4)], rate=rate, step=step, beats=beats, stage=STAGE,
        cues=(Cue("visitor", 1, 4, "surprised"),), decisions=tuple(decisions),
    )  # fmt: skip
    return shot_of(made, {1: voice(SAID), 2: voice("well it is MINE")})


def check(plan):
    """Compare each claim of each reason with the suggestion's lengths; returns how many."""
    found = 0
    for s in (*plan.suggestions, *plan.dropped):
        told = " ".join((s.because.sound, s.because.intent, s.because.rule))
        assert "\ue000" not in told, s.id
        for pattern, names in CLAIMS.items():
            for match in re.finditer(pattern, told):
                lengths = [getattr(s, f"{name}_frames") or 0 for name in names]
                assert [int(n) for n in match.groups()] == lengths, (s.id, match[0])
                found += 1
        if s.hit is not None and s.kind not in ("settle", "reaction"):
            assert s.in_frames == s.hit - s.frames[0], s.id
        if s.stay_frames is not None and s.back_frames is not None:
            assert s.hit + s.stay_frames + s.back_frames <= s.frames[1], s.id
    return found


@pytest.mark.parametrize("rate", ["24", "25", "60"])
@pytest.mark.parametrize("step", [1, 2])
@pytest.mark.parametrize("demo", ["lost_umbrella", "night_kitchen"])
def test_the_demos_say_their_own_numbers(demo_scenes, demo, rate, step):
    shot = load_shot(str(demo_scenes / demo))
    clock = Clock(FrameRate.parse(rate), shot.clock.first_frame, step)
    made = replace(shot.scene, clock=clock, shot=None, decisions=())
    made = replace(made, beats=tuple(b for b in made.beats if not b.frames), planted=())
    assert check(make_plan(shot.changed(made))) > 10


@pytest.mark.parametrize("rate", ["24", "25", "60"])
@pytest.mark.parametrize("step", [1, 2])
@pytest.mark.parametrize("first", range(0, len(INTENTS), 2))
def test_made_plans_say_their_own_numbers_whatever_is_decided(rate, step, first):
    intents = INTENTS[first : first + 2]
    plan = make_plan(shot_at(rate, step, intents=intents))
    check(plan)
    changes = [
        Decision(s.id, "move", s.text or None, by=(-8, 3, 5)[k % 3])
        if k % 3 else Decision(s.id, "length", s.text or None, frames=5 + k % 11)
        for k, s in enumerate(plan.suggestions) if k % 2
    ]  # fmt: skip
    check(make_plan(shot_at(rate, step, intents=intents, decisions=changes)))


def test_a_reaction_that_was_moved_says_where_it_is_now():
    of = "reaction/head/1/c1"
    free = make_plan(shot_at("24", 1))
    was = next(s for s in free.suggestions if s.id == of)
    moved = make_plan(shot_at("24", 1, decisions=[Decision(of, "move", "THIRD", by=-8)]))
    now = next(s for s in moved.suggestions if s.id == of)
    heard = [int(re.search(r"heard (\d+) frame", s.because.sound)[1]) for s in (was, now)]
    assert heard[0] - heard[1] == was.frames[0] - now.frames[0] == 8
    assert any("can be understood" in w for w in moved.warnings)


def test_a_hit_that_was_moved_behind_its_vowel_is_told():
    plan = make_plan(shot_at("24", 1, decisions=[Decision(ACCENT, "move", "THIRD", by=6)]))
    assert any(w.startswith(ACCENT) and "after its vowel" in w for w in plan.warnings)


def test_a_longer_settle_does_not_begin_inside_its_own_move():
    free = make_plan(shot_at("24", 1))
    settle = next(s for s in free.suggestions if s.kind == "settle")
    longer = decide(free, settle.id, "length", frames=settle.frames[1] - settle.frames[0] + 7)
    plan = make_plan(shot_at("24", 1, decisions=[longer]))
    again = next(s for s in plan.suggestions if s.id == settle.id)
    assert again.frames[0] == settle.frames[0]
    assert again.frames[1] == settle.frames[1] + 6


@pytest.mark.parametrize("lead_s", [0.0, 0.02, 0.06])
def test_no_accents_extreme_is_the_first_frame_of_the_shot(lead_s):
    reading = voice("NEVER ~said it", lead_s=lead_s)
    plan = make_plan(shot_of(scene(beats=[Beat("angry", "clerk", 1, (1, 3))]), {1: reading}))
    assert all(s.hit > s.frames[0] for s in plan.suggestions if s.kind == "accent")


def test_a_hold_belongs_to_the_attitude_it_keeps():
    for intents in (INTENTS[:2], INTENTS[2:4], INTENTS[4:6]):
        plan = make_plan(shot_at("24", 1, intents=intents))
        poses = [s for s in plan.suggestions if s.kind == "pose" and s.who == "clerk"]
        for s in plan.suggestions:
            if s.kind == "hold" and s.who == "clerk" and s.part == "whole" and s.beat is not None:
                before = [p for p in poses if p.hit is not None and p.hit <= s.frames[0]]
                assert not before or before[-1].beat == s.beat, s.id
