"""What the user locked or kept stays while its word is said, whatever else changes."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_voices import scene, voice
from plans import STAGE

from planner.plan.decisions import decide
from planner.plan.make import make_plan
from planner.scene import Beat, Cue, Heard
from planner.scene_file import parse_scene, scene_to_text
from planner.shot import shot_of

WORDS = ("that", "is", "the", "THIRD", "~lamp.", "and", "it", "STAYS", "~right", "HERE")
INTENTS = ("teasing", "angry", "sad", "surprised", "proud", "frightened", "neutral", "amused")


def bare(word):
    return word.strip("~.").casefold()


def of_words(words, beats, heard=None, decisions=(), **more):
    made = scene(
        [("clerk", 0.4), ("visitor", 5.0)], beats=beats, stage=STAGE, decisions=tuple(decisions),
        cues=(Cue("visitor", 1, 1, "surprised"),),
    )  # fmt: skip
    lines = (replace(made.lines[0], heard=heard or Heard()), made.lines[1])
    readings = {1: voice(" ".join(words), **more), 2: voice("well it is MINE")}
    return shot_of(replace(made, lines=lines), readings)


def beats_of(cut, count, intents):
    first = Beat(intents[0], "clerk", 1, (1, min(cut, count)))
    return (first, Beat(intents[1], "clerk", 1, (cut + 1, count))) if cut < count else (first,)


def decided_on(plan, do):
    return [decide(plan, s.id, do) for s in plan.suggestions if s.text and s.line == 1]


@settings(max_examples=60, deadline=None)
@given(
    st.data(), st.sampled_from(["lock", "keep"]), st.integers(2, 8), st.integers(2, 8),
    st.lists(st.sampled_from(INTENTS), min_size=4, max_size=4),
)  # fmt: skip
def test_no_lock_or_keep_is_lost_while_its_word_is_said(data, do, cut, cut_later, intents):
    plan = make_plan(of_words(WORDS, beats_of(cut, len(WORDS), intents[:2])))
    decisions = decided_on(plan, do)
    gone = data.draw(st.sets(st.integers(1, 9), max_size=4), label="words taken out")
    words = [w for i, w in enumerate(WORDS) if i not in gone]
    at = data.draw(st.integers(0, len(words)), label="a word put in")
    words.insert(at, "OTHER")
    heard = Heard(stress=(1,)) if data.draw(st.booleans(), label="heard") else None
    pace_s = data.draw(st.sampled_from([0.12, 0.18, 0.25]), label="take")
    beats = beats_of(cut_later, len(words), intents[2:])
    again = make_plan(of_words(words, beats, heard, decisions, syllable_s=pace_s, lead_s=0.4))
    said = {bare(w) for w in words}
    for lost in again.unplaced_decisions:
        assert bare(lost["word"]) not in said, lost
    kept = {place(s.id, s.text) for s in again.suggestions if s.decision == do}
    for decision in decisions:
        if bare(decision.word) in said and not decision.of.split("/")[3].startswith("c"):
            assert place(decision.of, decision.word) in kept, decision


def place(of, word):
    """What a decision is about: an accent may be carried by another part after a retag."""
    kind, part, line, _ = of.split("/")
    return kind, "" if kind in ("accent", "anticipation") else part, line, bare(word)


@pytest.mark.parametrize("retag", INTENTS)
def test_a_locked_gesture_stays_on_its_frames_when_its_beat_is_retagged(retag):
    beats = beats_of(5, len(WORDS), ("angry", "sad"))
    plan = make_plan(of_words(WORDS, beats))
    locks = decided_on(plan, "lock")
    changed = (replace(beats[0], intent=retag), *beats[1:])
    again = make_plan(of_words(WORDS, changed, decisions=locks))
    now = {s.id: s for s in again.suggestions}
    for lock in locks:
        was = next(s for s in plan.suggestions if s.id == lock.of)
        kind = lock.of.split("/")[0]
        decided = [s for i, s in now.items() if s.decision and i.startswith(kind)]
        alike = [s for s in decided if s.text == was.text]
        there = now.get(lock.of) or alike[0]
        anchor = there.hit if there.hit is not None else there.frames[0]
        assert anchor == (was.hit if was.hit is not None else was.frames[0]), lock.of
        assert there.decision == "lock"


def test_what_a_decision_holds_goes_through_the_file():
    plan = make_plan(of_words(WORDS, beats_of(5, 10, ("angry", "sad"))))
    lock = decided_on(plan, "lock")[0]
    made = scene(decisions=(lock,))
    made = replace(made, lines=(replace(made.lines[0], say="that is the third lamp"),))
    (read,) = parse_scene(scene_to_text(made)).decisions
    assert read == replace(lock, extra=MappingProxyType(dict(lock.extra)))
    assert set(read.extra) == {"size", "direction", "path", "in_frames"}
