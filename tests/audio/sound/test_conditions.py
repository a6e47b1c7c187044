"""What may spoil a reading is said; a clean voice is left in peace.

How often on real speech: tests/benchmarks/conditions.py.
"""

from __future__ import annotations

import made_sounds as made
import numpy as np
import pytest
from scipy.signal import butter, fftconvolve, sosfilt

from audio.clip import clip_from_samples
from audio.sound.conditions import Conditions, find_conditions, warnings_of
from audio.sound.loudness import find_loudness
from audio.voice.pitch import find_pitch

RATE_HZ = made.RATE_HZ


def talk() -> np.ndarray:
    """Syllables with consonant noise, two phrases and silence round them; pitch wanders."""
    rng = np.random.default_rng(3)
    parts = [made.silence(0.3)]
    for seed in (1, 2, 3):
        parts += [made.syllable_train(np.random.default_rng(seed), 6)[0]]
        parts += [0.3 * rng.standard_normal(RATE_HZ // 8), made.silence(0.4)]
    return 0.05 * np.concatenate(parts)


def measured(sound: np.ndarray) -> Conditions:
    quiet = 1e-5 * np.random.default_rng(8).standard_normal(len(sound))
    clip = clip_from_samples(sound + quiet, RATE_HZ)
    return find_conditions(clip, find_pitch(clip), find_loudness(clip))


def said(sound: np.ndarray) -> str:
    return "; ".join(warnings_of(measured(sound)))


def test_a_clean_voice_is_left_in_peace() -> None:
    assert said(talk()) == ""


@pytest.mark.parametrize(
    ("snr_db", "word"), [(10.0, "noise under the voice"), (0.0, "mostly guessed")]
)
def test_noise_is_named_by_what_it_costs(snr_db: float, word: str) -> None:
    assert word in said(made.with_noise(talk(), snr_db))


def test_a_telephone_is_named() -> None:
    band = butter(6, [300, 3400], "bandpass", fs=RATE_HZ, output="sos")
    assert "telephone" in said(sosfilt(band, talk()))


def test_in_a_ringing_room_the_level_falls_slowly() -> None:
    times = np.arange(round(1.5 * RATE_HZ)) / RATE_HZ
    tail = np.random.default_rng(4).standard_normal(len(times)) * 10 ** (-3 * times / 1.2)
    tail *= 2.0 / np.sqrt(np.sum(tail**2))
    tail[0] += 1.0
    sound = 0.5 * fftconvolve(talk(), tail)
    assert measured(sound).room_s > 1.3 * measured(talk()).room_s


def test_music_behind_is_named() -> None:
    sound = talk()
    times = np.arange(len(sound)) / RATE_HZ
    chord = sum(np.sin(2 * np.pi * hz * times) for hz in (196.0, 247.0, 294.0, 588.0, 882.0))
    sound = sound + np.asarray(chord) * np.std(sound) / np.std(chord) * 0.15
    assert "music" in said(sound)


def test_steady_notes_are_named() -> None:
    rng = np.random.default_rng(5)
    notes = [made.voiced(hz, 0.4, rng) for hz in (196.0, 220.0, 247.0, 220.0, 196.0)]
    gaps = [np.concatenate((n, made.silence(0.1))) for n in notes]
    assert "sung" in said(0.05 * np.concatenate((made.silence(0.3), *gaps)))


def test_a_whisper_is_named() -> None:
    rng = np.random.default_rng(6)
    parts = [np.concatenate((made.whispered(0.2, rng), made.silence(0.1))) for _ in range(8)]
    assert "whispered" in said(0.05 * np.concatenate((made.silence(0.3), *parts)))
