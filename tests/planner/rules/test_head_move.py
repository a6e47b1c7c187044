"""Head moves: what the head does with the tune, and turns."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_voices import scene, voice
from plans import beat, of_kind, plan_of

from audio.reading import Glide
from planner.plan.make import make_plan
from planner.scene import Beat
from planner.shot import shot_of

SAID = "that is the THIRD lamp this week you lost"


def gliding(semitones, *, audible=True, long_s=0.3):
    reading = voice(SAID)
    end_s = reading.syllables[-1].end_s
    shape = "rise" if semitones > 0 else "fall"
    return replace(reading, glides=(Glide(end_s - long_s, end_s, semitones, shape, audible, (8,)),))


@pytest.mark.parametrize(
    ("answer", "semitones", "direction"),
    [("follow", 5.0, "up"), ("follow", -5.0, "down"), ("oppose", 5.0, "down"),
     ("oppose", -5.0, "up")],
)  # fmt: skip
def test_the_head_follows_or_opposes_an_audible_glide_as_the_intent_says(
    answer, semitones, direction
):
    plan = plan_of(gliding(semitones), beat("mine", 1, 9),
                   intents={"mine": {"head_answers_tone": answer}})  # fmt: skip
    (move,) = of_kind(plan, "head-move")
    assert move.direction == direction
    assert f"{abs(semitones):.1f} st" in move.because.sound


def test_it_stays_where_the_intent_says_stay():
    plan = plan_of(gliding(5.0), beat("proud", 1, 9))
    assert not of_kind(plan, "head-move")


def test_an_inaudible_glide_moves_nothing():
    plan = plan_of(gliding(5.0, audible=False), beat("neutral", 1, 9))
    assert not of_kind(plan, "head-move")


def test_the_glide_of_a_main_accent_is_its_hits_own():
    reading = voice("that is what I WANT")
    last = reading.syllables[-1]
    glide = Glide(last.start_s, last.end_s, 6.0, "rise", True, (4,))
    assert not of_kind(plan_of(replace(reading, glides=(glide,))), "head-move")


def test_a_wider_glide_carries_the_head_farther():
    sizes = [of_kind(plan_of(gliding(st)), "head-move")[0].size for st in (3.0, 9.0)]
    assert sizes[0] < sizes[1]


def test_the_path_curves_unless_the_intent_snaps():
    assert of_kind(plan_of(gliding(5.0)), "head-move")[0].path == "dip"
    snapped = plan_of(gliding(5.0), beat("frightened", 1, 9))
    assert of_kind(snapped, "head-move")[0].path == "snap"


def test_speaking_to_someone_else_turns_the_head_after_the_eyes():
    made = scene(
        [("clerk", 0.0)], characters=("clerk", "visitor", "guard"),
        beats=[Beat("neutral", "clerk", 1, (1, 4), toward="visitor"),
               Beat("curious", "clerk", 1, (5, 9), toward="guard")],
        stage={"clerk": "center", "visitor": "left", "guard": "right"},
    )  # fmt: skip
    plan = make_plan(
        shot_of(made, {1: voice("THAT one is mine and the OTHER is yours", pause_s=1.0)})
    )
    turns = [s for s in of_kind(plan, "head-move") if s.direction == "toward guard (right)"]
    looks = [s for s in of_kind(plan, "look") if s.direction == "toward guard (right)"]
    assert looks and turns
    assert looks[0].hit <= turns[0].frames[0]


def test_a_head_move_starts_where_the_tone_turns_and_settles_softly():
    reading = gliding(-5.0)
    plan = plan_of(replace(reading, clip=replace(reading.clip, duration_s=4.0)))
    (move,) = of_kind(plan, "head-move")
    assert move.frames[0] == 1001 + int(reading.glides[0].start_s * 24)
    (settle,) = of_kind(plan, "settle", "head")
    assert settle.frames[0] == move.frames[1]
    assert 0 < settle.size < move.size
