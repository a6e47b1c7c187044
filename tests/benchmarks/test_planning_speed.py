"""Planning is quick: three minutes of two characters, and one changed beat."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from dataclasses import replace

from made_voices import scene, voice
from plans import STAGE

from planner.intents import load_intents
from planner.plan.make import make_plan, plan_state
from planner.scene import Beat, Cue
from planner.shot import shot_of

LINES_IN_3_MINUTES = 36
WHOLE_S = 0.100  # a 3-minute scene for two
CHANGE_S = 0.015  # one beat changed: it runs at each keystroke


def talk(lines: int):
    """A scene for two of that many lines of 20 syllables, every beat tagged, a cue a line."""
    chance = random.Random(1)
    intents = sorted(load_intents())
    placed, readings, beats, cues, at_s = [], {}, [], [], 0.0
    for number in range(1, lines + 1):
        who, other = ("clerk", "visitor") if number % 2 else ("visitor", "clerk")
        said = [chance.choice(("LAMP", "~oak", "rain", "ham", "tin")) for _ in range(20)]
        said[8] += "."
        readings[number] = voice(" ".join(said))
        placed.append((who, at_s))
        beats += [Beat(chance.choice(intents), who, number, words, toward=other)
                  for words in ((1, 7), (8, 13), (14, 20))]  # fmt: skip
        cues.append(Cue(other, number, 5, "surprised"))
        at_s += readings[number].clip.duration_s - 0.1
    return scene(placed, beats=beats, cues=tuple(cues), stage=STAGE), readings


def quickest_s(run: Callable[[], object], times: int = 7) -> float:
    """Processor time of the quickest of some runs: other work on the machine is not ours."""
    best = float("inf")
    for _ in range(times):
        start_s = time.process_time()
        run()
        best = min(best, time.process_time() - start_s)
    return best


def test_a_three_minute_scene_for_two_is_planned_in_a_tenth_of_a_second():
    made, readings = talk(LINES_IN_3_MINUTES)
    assert make_plan(shot_of(made, readings)).shot[1] > 24 * 170
    assert quickest_s(lambda: make_plan(shot_of(made, readings))) < WHOLE_S


def test_a_changed_beat_is_planned_again_in_15_ms():
    made, readings = talk(LINES_IN_3_MINUTES)
    before = plan_state(shot_of(made, readings))
    middle = len(made.beats) // 2
    changed = list(made.beats)
    changed[middle] = replace(changed[middle], intent="proud", strength=0.55)
    again = replace(made, beats=tuple(changed))
    assert plan_state(shot_of(again, readings), before).plan != before.plan
    assert quickest_s(lambda: plan_state(shot_of(again, readings), before)) < CHANGE_S


def test_planning_grows_no_faster_than_what_is_said():
    small, large = shot_of(*talk(12)), shot_of(*talk(48))
    ratio = quickest_s(lambda: make_plan(large)) / quickest_s(lambda: make_plan(small))
    assert ratio < 4 * 1.35  # four times the syllables, with room for a noisy machine
