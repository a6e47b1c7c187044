"""The plans of the bundled scenes, from their real sound."""

from __future__ import annotations

import pytest

from planner.commands._shared import load_shot
from planner.plan.make import make_plan
from planner.rules import rules_of

SCENES = ("lost_umbrella", "night_kitchen")


@pytest.fixture(scope="module")
def plans(demo_scenes, tmp_path_factory):
    found = {}
    for name in SCENES:
        shot = load_shot(str(demo_scenes / name))
        found[name] = (shot.scene, shot.heard, make_plan(shot))
    return found


def test_every_kind_appears_in_one_of_the_demos(plans):
    kinds = {s.kind for _, _, plan in plans.values() for s in plan.suggestions}
    assert kinds == {r.name for r in (*rules_of("line"), *rules_of("listening"))}


@pytest.mark.parametrize("name", SCENES)
def test_each_beat_has_its_attitude(plans, name):
    made, _, plan = plans[name]
    beats = [s.beat for s in plan.suggestions if s.kind == "pose" and s.beat is not None]
    assert sorted(beats) == list(range(len(made.beats)))


@pytest.mark.parametrize("name", SCENES)
def test_each_accent_hits_before_its_tone_and_level_peak(plans, name):
    """Against the sound itself: the loudest moment near a hit comes after it."""
    import numpy as np

    made, readings, plan = plans[name]
    for s in plan.suggestions:
        if s.kind != "accent":
            continue
        line, reading = made.lines[s.line - 1], readings[s.line]
        track, hit_s = reading.loudness, made.clock.scene_s(s.hit) - line.at_s
        word = reading.words[int(s.id.rsplit("/w", 1)[1].split("s")[0]) - 1]
        times_s = track.times_s()
        near = (times_s > word.start_s) & (times_s < word.end_s)
        loudest_s = times_s[near][np.argmax(track.sonorant_db[near])]
        assert loudest_s > hit_s, s.id


def test_the_planted_hand_of_the_demo_stays(plans):
    _, _, plan = plans["lost_umbrella"]
    held = [s for s in plan.suggestions if s.who == "clerk" and s.part.startswith("left")
            and s.frames[0] <= 1120]  # fmt: skip
    assert held == []
