"""One idea a line, accents in the part that suits them, eyes that think, other ways to play it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from made_voices import scene, voice
from plans import beat, of_kind, plan_of

from audio.errors import SceneError
from planner.intents import load_intents
from planner.lexicon import load_lexicon, meaning_at, remark_of
from planner.plan.carriers import CARRIERS, DIRECTIONS, weights_of
from planner.plan.make import make_plan
from planner.plan.plays import PLAYS, plays_of
from planner.scene import Beat
from planner.shot import shot_of

SAID = "I TOLD you about the LAMP. it was NOT yours to take. and THEN you CAME back"


def test_every_intent_and_meaning_names_known_carriers_and_ways():
    for intent in load_intents().values():
        assert set(weights_of(intent.carriers)) <= set(CARRIERS)
        assert intent.wants
    for meaning in load_lexicon().meanings.values():
        assert meaning.carrier in CARRIERS
        assert meaning.direction in DIRECTIONS


@pytest.mark.parametrize(("word", "carrier", "direction"), [
    ("NO", "head", "shake"), ("NEVER", "head", "shake"), ("YES", "head", "nod"),
])  # fmt: skip
def test_what_a_word_means_carries_its_accent(word, carrier, direction):
    """Kendon 2002 for the shake; the nod is common practice."""
    plan = plan_of(f"well then {word} I said", beat("neutral", 1, 5), lead_s=1.0)
    hit = next(s for s in of_kind(plan, "accent") if s.text == word.lower())
    assert (hit.carrier, hit.direction) == (carrier, direction)
    assert "the word says" in hit.because.intent


def test_a_denied_remark_and_an_unknown_one():
    assert remark_of("not tired at all").lower == 1.0
    assert remark_of("too tired to be really cross").hides is None
    assert not remark_of("in the blue light").understood
    assert meaning_at(["lamp"], 0) is None


def test_no_carrier_comes_twice_running_without_a_reason():
    plan = plan_of(SAID, beat("teasing", 1, 17), lead_s=1.0)
    hits = sorted(of_kind(plan, "accent"), key=lambda s: s.hit)
    for a, b in pairwise(hits):
        assert a.carrier != b.carrier or "(" in b.because.intent or a.direction != b.direction


def test_a_remark_lowers_what_is_played_and_says_what_it_did_not_understand():
    full, low = (plan_of(SAID, beat("angry", 1, 17, note=n)) for n in ("", "tired"))
    sizes = [max(s.size for s in of_kind(p, "pose")) for p in (full, low)]
    assert sizes[1] == pytest.approx(0.75 * sizes[0])
    odd = plan_of(SAID, beat("angry", 1, 17, note="in the blue light"))
    assert 'remark "in the blue light" says nothing' in odd.lines[0].idea


@pytest.mark.parametrize("name", list(PLAYS))
def test_a_play_changes_the_hits_of_its_phrase(name):
    plain, played = (plan_of(SAID, beat("sad", 1, 17, play=p), lead_s=1.0) for p in ("", name))
    told = [[(s.part, s.direction, round(s.size, 2)) for s in of_kind(p, "accent")]
            for p in (plain, played)]  # fmt: skip
    assert told[0] != told[1]
    assert any(p.taken and p.name == name for p in played.lines[0].plays)


def test_a_play_that_does_not_exist_is_one_clear_line():
    made = scene(beats=[Beat("sad", "clerk", 1, (1, 3), play="smallr")])
    with pytest.raises(SceneError, match='did you mean "smaller"'):
        make_plan(shot_of(made, {1: voice(SAID)}))


def test_every_intent_offers_up_to_three_plays():
    for intent in load_intents().values():
        assert 1 <= len(plays_of(intent)) <= 3


@pytest.mark.parametrize("intent", ["neutral", "thoughtful", "embarrassed", "surprised"])
@pytest.mark.parametrize("step", [1, 2])
def test_everybodys_eyes_are_somewhere_on_every_frame(intent, step):
    plan = plan_of(SAID, beat(intent, 1, 17), step=step, pause_s=1.0)
    for who in {s.who for s in plan.suggestions}:
        own = [g for g in plan.gaze if g.who == who]
        frames = [f for g in own for f in range(g.frames[0], g.frames[1] + 1)]
        assert frames == list(range(plan.shot[0], plan.shot[1] + 1))
        assert all(g.because for g in own)
        assert all(a.toward != b.toward for a, b in pairwise(own))


def test_a_change_of_one_beat_leaves_the_hits_of_another_phrase():
    """The pause is long: nothing of the first phrase leans on the second."""
    said = "it was NOT yours to take. and THEN you CAME back to me"
    plans = [plan_of(said, beat("teasing", 1, 6), beat(i, 7, 13), pause_s=2.5)
             for i in ("sad", "angry")]  # fmt: skip
    first = [[replace(s, rides_on=None) for s in of_kind(p, "accent") if s.beat == 0]
             for p in plans]  # fmt: skip
    assert first[0] == first[1]


def test_key_poses_stand_on_hits_of_the_plan():
    plan = plan_of(SAID, beat("proud", 1, 17), lead_s=1.0)
    hits = {s.hit for s in plan.suggestions if s.hit is not None}
    assert 2 <= len(plan.key_poses) <= 5
    assert {k.frame for k in plan.key_poses} <= hits
