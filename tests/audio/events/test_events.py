"""Breaths, laughs and sighs whose times are known, between made phrases; see made_sounds."""

from __future__ import annotations

import made_sounds as made
import numpy as np
import pytest

from audio.clip import clip_from_samples
from audio.events.find_events import SPELLED_LAUGH, find_events
from audio.reading import VoiceEvent, Word
from audio.sound.loudness import find_loudness
from audio.voice.pitch import find_pitch

TALK_S = 6 * 0.21


def events(
    *parts: np.ndarray, words: tuple[Word, ...] = (), floor: float = 1e-4
) -> tuple[VoiceEvent, ...]:
    whole = 0.1 * np.concatenate((made.silence(0.3), *parts, made.silence(0.3)))
    whole = whole + floor * np.random.default_rng(8).standard_normal(len(whole))
    clip = clip_from_samples(whole, made.RATE_HZ)
    return find_events(clip, find_pitch(clip), find_loudness(clip), words, ())


def talk(seed: int = 1) -> np.ndarray:
    return made.syllable_train(np.random.default_rng(seed), 6)[0]


@pytest.mark.parametrize("below_db", [15, 20, 28])
@pytest.mark.parametrize("length_s", [0.25, 0.5, 0.8])
def test_a_breath_before_a_phrase_is_found_with_its_times(length_s: float, below_db: int) -> None:
    air = made.breath(length_s, np.random.default_rng(2)) * 10 ** (-below_db / 20)
    (found,) = events(talk(), made.silence(0.3), air, made.silence(0.06), talk(3))
    start_s = 0.3 + TALK_S + 0.3
    assert found.kind == "breath"
    assert found.start_s == pytest.approx(start_s, abs=0.3 * length_s)
    assert found.end_s == pytest.approx(start_s + length_s, abs=0.08)
    assert 0.35 <= found.certainty <= 1.0


@pytest.mark.parametrize(("bursts", "per_s", "pitch_hz"),
                         [(4, 4.2, 150.0), (5, 5.0, 240.0), (7, 5.8, 380.0)])  # fmt: skip
def test_a_laugh_is_one_event_of_its_length(bursts: int, per_s: float, pitch_hz: float) -> None:
    sound = made.laugh(np.random.default_rng(4), bursts=bursts, per_s=per_s, pitch_hz=pitch_hz)
    (found,) = events(talk(), made.silence(0.2), sound)
    start_s = 0.3 + TALK_S + 0.2
    assert found.kind == "laugh"
    assert found.start_s == pytest.approx(start_s, abs=0.1)
    assert found.end_s == pytest.approx(start_s + len(sound) / made.RATE_HZ, abs=0.1)
    assert found.certainty > 0.6


@pytest.mark.parametrize("pitch_hz", [None, 130.0, 240.0])
def test_a_sigh_is_no_breath(pitch_hz: float | None) -> None:
    sound = 0.3 * made.sigh(1.0, np.random.default_rng(5), pitch_hz=pitch_hz)
    (found,) = events(talk(), made.silence(0.25), sound)
    assert found.kind == "sigh"
    assert found.start_s == pytest.approx(0.3 + TALK_S + 0.25, abs=0.08)
    assert found.end_s - found.start_s > 0.6


def test_speech_with_its_hiss_gives_no_events() -> None:
    assert events(talk(), talk(2), made.silence(0.4), talk(3)) == ()


@pytest.mark.parametrize("floor", [1e-3, 5e-3, 1e-2])
def test_steady_room_noise_is_no_breath(floor: float) -> None:
    assert events(talk(), made.silence(0.6), talk(2), floor=floor) == ()


def test_a_word_that_is_there_keeps_its_bursts_and_a_spelled_laugh_gives_them_up() -> None:
    sound = made.laugh(np.random.default_rng(4))
    start_s = 0.3 + TALK_S + 0.2
    end_s = start_s + len(sound) / made.RATE_HZ
    kinds = {}
    for text in ("papa", "ha ha", "Hahaha!"):
        word = Word(text, start_s, end_s, (), 0.9)
        found = events(talk(), made.silence(0.2), sound, words=(word,))
        kinds[text] = [e.kind for e in found]
    assert kinds == {"papa": [], "ha ha": ["laugh"], "Hahaha!": ["laugh"]}


@pytest.mark.parametrize("text", ["harbour", "he", "hello", "", "hat"])
def test_other_words_are_no_laughs(text: str) -> None:
    if text != "he":  # the word and the sound are spelled alike; the sound decides
        assert not SPELLED_LAUGH.fullmatch(text)


def test_nothing_voiced_no_events() -> None:
    assert events(made.breath(0.4, np.random.default_rng(0))) == ()
