"""Two takes of a line compared."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from made_voices import scene, voice

from planner.lead.takes import compare_takes
from planner.scene import Beat, Heard
from planner.shot import shot_of

FIRST, SECOND = "that is the THIRD lamp this week", "that is the third lamp THIS week"


def shot(first, made=None):
    return shot_of(made or scene(), {1: first})


def test_it_says_which_words_each_take_leans_on():
    result = compare_takes(voice(FIRST), voice(SECOND))
    assert (result.first.main, result.second.main) == (("third",), ("this",))
    assert {(w.word, w.first, w.second) for w in result.words} == {
        ("third", "strong", "none"), ("this", "none", "strong")}  # fmt: skip
    assert result.remarks[0] == 'the first leans on "third", the second on "this"'


def test_a_take_against_itself_shows_no_difference():
    result = compare_takes(voice(FIRST), voice(FIRST), shot=shot(voice(FIRST)))
    assert (result.words, result.remarks, result.plan) == ((), (), ())


def test_a_faster_take_is_called_faster_by_its_share():
    result = compare_takes(voice(FIRST), voice(FIRST, syllable_s=0.12))
    assert result.second.syllables_per_s == pytest.approx(result.first.syllables_per_s * 1.5)
    assert "the second is 50% faster" in result.remarks


def test_a_change_of_tempo_nobody_hears_is_not_remarked():
    result = compare_takes(voice(FIRST), voice(FIRST, syllable_s=0.175))
    assert not [r for r in result.remarks if "faster" in r]


def test_the_plan_says_what_would_change():
    made = scene(beats=[Beat("teasing", "clerk", 1, (1, 7))])
    result = compare_takes(voice(FIRST), voice(SECOND), shot=shot(voice(FIRST), made))
    changes = {c.id: c.change for c in result.plan}
    assert changes["accent/head/1/w4s1"] == "only first"
    assert changes["accent/head/1/w6s1"] == "only second"


def test_moved_hits_are_counted_from_the_lines_own_start():
    made = scene(beats=[Beat("teasing", "clerk", 1, (1, 7))])
    later = voice(FIRST, lead_s=0.8)
    result = compare_takes(
        voice(FIRST, lead_s=0.3), later, shot=shot(voice(FIRST, lead_s=0.3), made)
    )
    (moved,) = [c for c in result.plan if c.id == "accent/head/1/w4s1"]
    assert moved.by_frames == 12  # half a second later at 24


def test_what_was_heard_in_the_first_take_is_not_asked_of_the_second():
    made = scene()
    made = replace(made, lines=(replace(made.lines[0], heard=Heard(stress=(7,))),))
    result = compare_takes(voice(FIRST), voice(FIRST), shot=shot(voice(FIRST), made))
    assert {c.id: c.change for c in result.plan}["accent/head/1/w7s1"] == "only first"


def test_takes_that_say_other_words_are_matched_by_what_they_share():
    result = compare_takes(voice(FIRST), voice("well that is the THIRD lamp"))
    assert ("well", None, "none") in {(w.word, w.first, w.second) for w in result.words}
    assert "the takes do not say the same words" in result.remarks


def test_the_comparison_is_plain_data():
    result = compare_takes(voice(FIRST), voice(SECOND), shot=shot(voice(FIRST)))
    data = json.loads(json.dumps(result.to_json(), allow_nan=False))
    assert data["linebeat"] == 1
    assert data["second"]["main"] == ["this"]
