"""A changed plan compiled on top of the one before is the same as compiled from nothing."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from made_talk import made_talk

from planner.intents import load_intents
from planner.motion.compile import Compiler
from planner.motion.window import changed, windows
from planner.plan.make import make_plan, plan_state
from planner.scene import Scene
from planner.shot import Shot, shot_of

INTENTS = sorted(load_intents())


def talk(lines: int, seed: int) -> tuple[Scene, Shot]:
    """Two people, every beat tagged, a cue a line."""
    scene, readings = made_talk(lines, seed=seed, gap_s=0.3)
    return scene, shot_of(scene, readings)


@pytest.mark.parametrize("seed", range(3))
def test_beats_changed_one_after_the_other_give_what_a_whole_compile_gives(seed: int) -> None:
    chance = random.Random(seed)
    scene, shot = talk(8, seed)
    state, compiler = plan_state(shot), Compiler()
    compiler.compile(state.plan, shot)
    for _ in range(3):
        beats = list(scene.beats)
        k = chance.randrange(len(beats))
        beats[k] = replace(beats[k], intent=chance.choice(INTENTS),
                           strength=chance.choice((0.4, 0.7, 1.0)))  # fmt: skip
        scene = replace(scene, beats=tuple(beats))
        shot = shot.changed(scene)
        state = plan_state(shot, state)
        later = compiler.compile(state.plan, shot)
        fresh = Compiler().compile(state.plan, shot)
        for one, other in zip(later.characters, fresh.characters, strict=True):
            assert one.smooth == pytest.approx(other.smooth, abs=1e-9)
            assert np.array_equal(one.held, other.held)
            assert one.leads == pytest.approx(other.leads, abs=1e-9)
            assert (one.gaze, one.keys) == (other.gaze, other.keys)
        assert later.given_up == fresh.given_up


def test_a_change_in_the_middle_is_compiled_in_a_part_of_the_shot() -> None:
    scene, shot = talk(10, 3)
    before = make_plan(shot)
    beats = list(scene.beats)
    beats[15] = replace(beats[15], intent="proud" if beats[15].intent != "proud" else "sad")
    after = make_plan(shot.changed(replace(scene, beats=tuple(beats))))
    old, new = (
        sorted((s for s in p.suggestions if s.who == beats[15].who),
               key=lambda e: (e.frames[0], e.frames[1], e.id))
        for p in (before, after)
    )  # fmt: skip
    found = windows(old, new, after.shot[1], 24.0)

    assert changed(old, old) is None
    assert found
    first, last = found[0].frames
    assert last - first < 0.6 * (after.shot[1] - after.shot[0])
    low, high = (changed(old, new) or (0, 0, 0, 0))[2:]
    assert first <= low
    assert last >= high
