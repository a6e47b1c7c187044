"""The user's ear overrules what was read."""

from __future__ import annotations

from types import MappingProxyType

import pytest
from made_voices import voice

from audio.errors import SceneError
from planner.scene import Heard
from planner.shot.heard import apply_heard

SAID = "that is the THIRD lamp this week"


def test_a_word_heard_as_stressed_is_the_phrases_strongest():
    reading = apply_heard(voice(SAID), Heard(stress=(7,)))
    assert reading.syllables[6].degree == "strong"
    assert reading.phrases[0].strongest_syllable == 6


def test_a_word_heard_as_unstressed_bears_nothing():
    reading = apply_heard(voice(SAID), Heard(unstress=(4,)))
    assert reading.syllables[3].degree == "none"


def test_a_word_given_its_own_time_takes_its_syllables_along():
    times = MappingProxyType({4: (1.0, 1.4)})
    before = voice(SAID)
    reading = apply_heard(before, Heard(words_s=times))
    word, syllable = reading.words[3], reading.syllables[3]
    assert (word.start_s, word.end_s) == (1.0, 1.4)
    assert syllable.start_s == pytest.approx(1.0)
    assert syllable.end_s == pytest.approx(1.4)
    assert syllable.nucleus_s == pytest.approx(1.0 + 0.3 * 0.4)


def test_nothing_heard_changes_nothing():
    reading = voice(SAID)
    assert apply_heard(reading, Heard()) is reading


def test_a_word_the_line_does_not_have_is_refused_with_its_place():
    with pytest.raises(SceneError) as caught:
        apply_heard(voice(SAID), Heard(stress=(9,)), where="scene.yaml:12")
    assert caught.value.line() == (
        "scene.yaml:12: heard names word 9, the line has 7; count its words from 1"
    )
