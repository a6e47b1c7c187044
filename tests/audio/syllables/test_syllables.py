"""Syllables of made sounds, and of words whose phones are given."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import made_sounds as made
import numpy as np
import pytest

from audio.clip import VoiceClip, clip_from_samples
from audio.reading import Phone, Word
from audio.sound.loudness import find_loudness
from audio.syllables.find_syllables import syllables_from_sound, syllables_from_words, vowel_onset
from audio.voice.pitch import find_pitch


def clip_of(sound: np.ndarray) -> VoiceClip:
    lead = made.silence(0.3)
    whole = np.concatenate((lead, sound, lead))
    floor = 1e-4 * np.random.default_rng(7).standard_normal(len(whole))
    return clip_from_samples(0.1 * whole + floor, made.RATE_HZ)


def heard(clip: VoiceClip):
    return syllables_from_sound(clip, find_pitch(clip), find_loudness(clip))


@pytest.mark.parametrize("snr_db", [None, 20.0, 10.0])
def test_each_vowel_is_one_syllable_and_its_onset_is_near(snr_db: float | None) -> None:
    sound, onsets = made.syllable_train(np.random.default_rng(1), 8)
    sound = sound if snr_db is None else made.with_noise(sound, snr_db)
    found = heard(clip_of(sound))
    assert len(found) == 8
    errors = [s.nucleus_s - 0.3 - t for s, t in zip(found, onsets, strict=True)]
    assert np.median(np.abs(errors)) < 0.015
    assert np.max(np.abs(errors)) < 0.04


def test_syllables_do_not_overlap_and_hold_their_nucleus() -> None:
    sound, _ = made.syllable_train(np.random.default_rng(2), 6)
    found = heard(clip_of(sound))
    for syllable in found:
        assert syllable.start_s <= syllable.nucleus_s < syllable.end_s
        assert (syllable.text, syllable.word, syllable.lexical_stress) == (None, None, None)
    for one, two in pairwise(found):
        assert one.end_s <= two.start_s + 1e-9


def test_silence_belongs_to_no_syllable() -> None:
    sound, _ = made.syllable_train(np.random.default_rng(3), 2)
    found = heard(clip_of(np.concatenate((sound, made.silence(0.6), sound))))
    assert len(found) == 4
    assert found[2].start_s - found[1].end_s > 0.5


def test_a_whispered_syllable_still_counts() -> None:
    """Air through a mouth that forms vowels; nothing is voiced."""
    rng = np.random.default_rng(5)
    parts = []
    for n in range(5):
        vowel = (made.OPEN_VOWEL, made.CLOSE_VOWEL)[n % 2]
        parts += [made.whispered(0.15, rng, vowel) * made.swell(2400, 0.3), made.silence(0.08)]
    assert len(heard(clip_of(np.concatenate(parts)))) == 5


def test_a_laugh_gives_no_syllables() -> None:
    rng = np.random.default_rng(6)
    sound, _ = made.syllable_train(rng, 4)
    laughed = np.concatenate((sound, made.silence(0.3), made.laugh(rng, bursts=6)))
    assert len(heard(clip_of(laughed))) == 4


def test_nothing_voiced_nothing_heard() -> None:
    assert heard(clip_from_samples(np.full(4000, 0.01) * np.sin(np.arange(4000)), 16_000)) == ()


def test_the_onset_is_where_the_level_comes_near_the_nucleus() -> None:
    level = np.concatenate((np.full(20, -50.0), np.linspace(-50, -20, 7), np.full(20, -20.0)))
    assert vowel_onset(level, 40, 5, 0.005) in (25, 26)


@dataclass(frozen=True)
class Part:
    """As `audio.words.pronounce.SpokenSyllable`."""

    text: str
    phones: tuple[str, ...]
    stress: int


@dataclass(frozen=True)
class Said:
    """As `audio.words.pronounce.SpokenWord`, what is used of it."""

    syllables: tuple[Part, ...]


@pytest.mark.parametrize(("confidence", "off_s"), [(1.0, 0.02), (0.1, 0.015)])
def test_words_give_their_syllables_with_text_and_stress(confidence: float, off_s: float) -> None:
    """A sure word's phones, 20 ms off here, are taken as they are; a doubtful one's are mended."""
    sound, onsets = made.syllable_train(np.random.default_rng(1), 2)
    clip = clip_of(sound)
    edges = [0.3, 0.3 + onsets[0] + 0.02, 0.51, 0.3 + onsets[1] - 0.02, 0.72]
    names = ("S", "AA1", "S", "IY0")
    phones = tuple(Phone(n, a, b) for n, (a, b) in zip(names, pairwise(edges), strict=True))
    word = Word("sassy", 0.3, 0.72, phones, confidence)
    said = Said((Part("sa", ("S", "AA1"), 1), Part("ssy", ("S", "IY0"), 0)))
    found = syllables_from_words((word,), (said,), find_pitch(clip), find_loudness(clip))
    assert [(s.text, s.word, s.lexical_stress) for s in found] == [("sa", 0, 1), ("ssy", 0, 0)]
    for syllable, onset in zip(found, onsets, strict=True):
        assert abs(syllable.nucleus_s - 0.3 - onset) <= off_s + 1e-9


def test_a_word_without_phones_is_split_by_its_syllables() -> None:
    clip = clip_of(made.syllable_train(np.random.default_rng(1), 2)[0])
    word = Word("sassy", 0.3, 0.7, (), 0.0)
    said = Said((Part("sa", ("S", "AA1"), 1), Part("ssy", ("S", "IY0"), 0)))
    found = syllables_from_words((word,), (said,), find_pitch(clip), find_loudness(clip))
    assert found[0].start_s == pytest.approx(0.3)
    assert found[0].end_s == found[1].start_s == pytest.approx(0.5)
