"""Listeners: reactions, looks, blinks, stillness."""

from __future__ import annotations

from itertools import pairwise

import pytest
from made_voices import scene, voice
from plans import STAGE, of_kind

from planner.plan.make import make_plan
from planner.plan.on_frames import Grid
from planner.plan.tidy import empty_holds
from planner.scene import Beat, Cue
from planner.shot import shot_of
from planner.shot.cue_times import audible_from_s

SAID = "that is the THIRD lamp this week"
EARLIEST_S = 0.36  # word known 200 ms after its onset + 160 ms reaction (references, section 7)


def heard(*, intent="surprised", strength=1.0, second_at_s=4.0, second="I only LOST one", word=4,
          beats=(), **more):  # fmt: skip
    lines = [("clerk", 0.0), ("visitor", second_at_s)]
    made = scene(lines, stage=STAGE, cues=(Cue("visitor", 1, word, intent, strength),),
                 beats=beats, **more)  # fmt: skip
    readings = {1: voice(SAID), 2: voice(second, lead_s=0.1)}
    onset = 1001 + (readings[1].words[word - 1].start_s) * 24
    return make_plan(shot_of(made, readings)), onset


@pytest.mark.parametrize("intent", ["surprised", "sad", "suspicious", "angry"])
def test_a_reaction_shows_no_sooner_than_the_word_is_understood(intent):
    plan, onset = heard(intent=intent)
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert reaction.hit >= int(onset + EARLIEST_S * 24)
    still, seen = reaction.timing_chart[:2]
    assert (still.at, still.frame) == (0.0, reaction.frames[0])
    assert seen.frame == reaction.hit
    assert seen.at > 0  # the hit is what is first seen to change
    assert reaction.id == "reaction/head/1/c1"
    assert reaction.text == "third"


def test_a_thoughtful_listener_takes_longer():
    hits = [of_kind(heard(intent=i)[0], "reaction", who="visitor")[0].hit
            for i in ("surprised", "thoughtful")]  # fmt: skip
    assert hits[0] < hits[1]


def test_sooner_is_an_interruption_and_is_called_so():
    plan, onset = heard(second_at_s=1.0)  # starts while "third" is being said
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert reaction.hit < onset + EARLIEST_S * 24
    assert "interruption" in reaction.because.rule


def test_who_answers_at_once_reacts_with_the_brows_and_lets_the_attitude_answer():
    plan, _ = heard(second_at_s=1.5)
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert reaction.part == "brows"


def test_a_reaction_may_hit_in_silence():
    plan, _ = heard(word=7)
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert reaction.hit > plan.lines[0].frames[0] + 24


def test_the_brows_answer_with_a_surprise():
    plan, _ = heard()
    (brow,) = [s for s in of_kind(plan, "brow", who="visitor") if s.id.endswith("c1")]
    assert brow.rides_on == "reaction/head/1/c1"


def test_a_reaction_settles():
    plan, _ = heard()
    settles = [s for s in of_kind(plan, "settle", "head", "visitor") if s.id.endswith("c1")]
    reaction = of_kind(plan, "reaction", who="visitor")[0]
    assert settles[0].frames[0] == reaction.frames[1]


def test_listeners_look_to_the_speaker_180_to_200_ms_after_the_voice():
    plan, _ = heard()
    look = of_kind(plan, "look", who="visitor")[0]
    speech = 1001 + 0.3 * 24
    assert 0.18 * 24 - 1 <= look.frames[0] - speech <= 0.2 * 24 + 1
    assert look.direction == "toward clerk (left)"


def test_a_listener_blinks_a_quarter_to_half_a_second_after_the_phrase():
    """Nakano & Kitazawa 2010: 0.25-0.5 s after the speaker's blink at ends and pauses."""
    plan, _ = heard(second_at_s=6.0)
    (blink,) = of_kind(plan, "blink", who="visitor")[:1]
    end = 1001 + voice(SAID).phrases[0].end_s * 24
    assert 0.25 * 24 - 1 <= blink.hit - end <= 0.5 * 24


def test_a_listener_gets_no_accents_and_no_nods():
    plan, _ = heard()
    last = plan.lines[1].frames[0]
    early = [s for s in plan.suggestions if s.who == "visitor" and s.frames[1] < last - 24]
    assert {s.kind for s in early} <= {"look", "blink", "hold", "reaction", "settle", "brow"}


LONG = "that is the THIRD lamp this week. and you KNOW it. so I have to ASK you. is it MINE"


def listens(said=LONG, *, second_at_s=12.0, characters=("clerk", "visitor"), **options):
    made = scene([("clerk", 0.0), ("visitor", second_at_s)], stage=STAGE, characters=characters)
    reading = voice(said, **options)
    return make_plan(shot_of(made, {1: reading, 2: voice("YES")})), reading


@pytest.mark.parametrize("pause_s", [0.4, 0.7, 1.0])
def test_a_long_listening_hold_has_a_small_sign_of_life(pause_s):
    """8-12 frames at 24 after the main stress (common practice), and understood by then."""
    plan, reading = listens(pause_s=pause_s)
    life = [s for s in plan.suggestions if s.who == "visitor" and s.certainty == 0.3]
    assert life
    assert {s.kind for s in life} <= {"brow", "look"}
    for s in life:
        word = int(s.id.rsplit("/w", 1)[1].split("s")[0]) - 1
        stress = reading.syllables[word]
        assert stress.degree == "strong"
        after = s.frames[0] - (1001 + stress.nucleus_s * 24)
        assert 7 <= after <= 13
        assert s.frames[0] + 1 >= 1001 + (stress.nucleus_s + EARLIEST_S) * 24
        assert s.size < 0.2


def test_life_is_not_on_every_phrase():
    plan, reading = listens(pause_s=0.4)
    life = [s for s in plan.suggestions if s.who == "visitor" and s.certainty == 0.3]
    assert len(life) < len(reading.phrases)
    frames = sorted(s.frames[0] for s in life)
    assert all(b - a >= 118 for a, b in pairwise(frames))


def test_a_hold_of_more_than_two_seconds_with_nothing_in_it_is_remarked_on():
    plan, _ = listens("it is MINE", second_at_s=8.0)
    clock = scene().clock
    holds = [s for s in plan.suggestions if s.kind == "hold"]
    long = [s for s in holds if s.frames[1] - s.frames[0] > 48]
    said = empty_holds(holds, Grid.of(clock, *plan.shot))
    assert len(said) == len(long) > 0
    first, last = long[0].frames
    assert f"{long[0].who} holds from {first} to {last} ({last - first + 1} frames)" in said[0]
    for s in plan.suggestions:
        if s.kind == "hold" and s.frames[1] - s.frames[0] > 48:
            inside = [o for o in plan.suggestions if o.who == s.who and o.kind != "hold"
                      and s.frames[0] < o.frames[0] < s.frames[1]]  # fmt: skip
            said = [w for w in plan.warnings if f"{s.who} holds from {s.frames[0]} " in w]
            assert bool(inside) != bool(said)


def test_a_listeners_blinks_are_no_metronome():
    """Nakano & Kitazawa 2010: 0.25-0.5 s; not always as late, not after each phrase."""
    plan, reading = listens(LONG + ". " + LONG.replace("lamp", "key"), second_at_s=30.0,
                            pause_s=2.2)  # fmt: skip
    ends = [1001 + p.end_s * 24 for p in reading.phrases]
    blinks = [s for s in of_kind(plan, "blink", who="visitor") if s.line == 1]
    late = [min(b.hit - e for e in ends if b.hit >= e) for b in blinks]
    assert all(0.25 * 24 - 1 <= frames <= 0.5 * 24 for frames in late)
    assert len({round(frames) for frames in late}) > 2
    assert 2 < len(blinks) < len(ends)


def test_a_listener_does_not_blink_into_a_new_thought():
    for word in range(1, 8):
        plan, _ = heard(word=word, second_at_s=6.0)
        (reaction,) = of_kind(plan, "reaction", who="visitor")
        for blink in of_kind(plan, "blink", who="visitor"):
            assert not reaction.frames[0] - 5 < blink.hit < reaction.frames[1]


def test_a_beat_given_by_frames_is_an_attitude_while_listening():
    quiet = Beat("curious", "visitor", frames=(1020, 1060), toward="clerk")
    plan, _ = heard(beats=(quiet,), second_at_s=6.0, word=6)
    pose = next(s for s in of_kind(plan, "pose", who="visitor") if s.beat == 0)
    back = of_kind(plan, "anticipation", "whole", who="visitor")[0]
    assert (back.frames[0], back.hit) == (1020, pose.frames[0])
    assert pose.id == "pose/whole/visitor/b1"
    assert pose.line is None


def test_a_second_character_without_lines_listens_too():
    made = scene([("clerk", 0.0)], characters=("clerk", "visitor"), stage=STAGE)
    plan = make_plan(shot_of(made, {1: voice(SAID)}))
    assert {s.kind for s in plan.suggestions if s.who == "visitor"} >= {"look", "hold"}


def test_a_word_that_begins_near_silence_is_known_later():
    """200 ms after the audible onset: the voice below is silent until the vowel of each word."""
    reading = voice(SAID)
    third = reading.syllables[3]
    assert audible_from_s(reading, third.start_s, third.end_s) == pytest.approx(
        third.nucleus_s, abs=0.006
    )
    plan, _ = heard()
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert reaction.hit >= 1001 + int((third.nucleus_s + EARLIEST_S) * 24)


def test_the_face_answers_before_the_head():
    plan, _ = heard()
    (brow,) = [s for s in of_kind(plan, "brow", who="visitor") if s.id.endswith("c1")]
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert brow.frames[0] < reaction.frames[0] < reaction.hit


def test_an_embarrassed_listener_freezes_and_the_eyes_go_down():
    plan, _ = heard(intent="embarrassed")
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    look = next(s for s in of_kind(plan, "look", who="visitor") if s.id.endswith("c1"))
    assert reaction.direction == "freezes"
    assert look.direction == "down"
    assert look.frames[0] <= reaction.frames[0]
    assert not [s for s in of_kind(plan, "brow", who="visitor") if s.id.endswith("c1")]


def test_who_is_talking_answers_an_embarrassment_with_the_eyes():
    plan, _ = heard(second_at_s=1.5, intent="embarrassed")
    (reaction,) = of_kind(plan, "reaction", who="visitor")
    assert (reaction.part, reaction.direction) == ("eyes", "down")


def test_a_reaction_builds_into_the_own_line_that_takes_up_its_intent():
    beats = (Beat("surprised", "visitor", 2, (1, 4), strength=0.8),)
    alone, building = (heard(beats=b, second_at_s=2.6)[0] for b in ((), beats))
    sizes = [of_kind(p, "reaction", who="visitor")[0].size for p in (alone, building)]
    spoken = next(s for s in of_kind(building, "pose", who="visitor"))
    assert sizes[1] < sizes[0] < 0.5
    assert 0.4 <= sizes[1] / spoken.size <= 0.6


def test_a_silent_beat_is_what_the_next_thought_changes_from():
    quiet = Beat("curious", "visitor", frames=(1070, 1090))
    spoken = Beat("angry", "visitor", 2, (1, 4))
    plan, _ = heard(beats=(quiet, spoken), second_at_s=5.0, word=1)
    changes = [s for s in plan.suggestions if "marked by" in s.because.intent]
    assert ["from curious to angry" in s.because.intent for s in changes] == [True]


def test_eyes_go_first_into_a_curious_silence_and_ask_where():
    quiet = Beat("curious", "visitor", frames=(1070, 1090))
    plan, _ = heard(beats=(quiet,), second_at_s=5.0, word=1)
    look = next(s for s in of_kind(plan, "look", who="visitor") if s.id == "look/eyes/visitor/b1")
    pose = next(s for s in of_kind(plan, "pose", who="visitor") if s.beat == 0)
    assert look.frames[0] < pose.frames[0]
    assert look.direction == "somewhere (toward: would name it)"
