"""The network that hears where vowels begin: its arithmetic, and made sounds."""

from __future__ import annotations

from importlib import resources
from itertools import pairwise

import made_sounds as made
import numpy as np
import pytest
from scipy.ndimage import correlate1d

from audio.clip import VoiceClip, clip_from_samples
from audio.reading import Syllable
from audio.sound.loudness import find_loudness
from audio.syllables.find_syllables import syllables_from_sound
from audio.syllables.nuclei import (
    BANDS,
    DILATIONS,
    WEIGHTS,
    Network,
    band_frames,
    run_network,
    sureness,
    vowel_onsets,
)
from audio.voice.pitch import find_pitch


def clip_of(sound: np.ndarray, *, floor: float = 1e-4) -> VoiceClip:
    lead = made.silence(0.4)
    whole = np.concatenate((lead, 0.1 * sound, lead))
    air = floor * np.random.default_rng(7).standard_normal(len(whole))
    return clip_from_samples(whole + air, made.RATE_HZ)


def heard(clip: VoiceClip) -> tuple[Syllable, ...]:
    return syllables_from_sound(clip, find_pitch(clip), find_loudness(clip))


def held(pitch_hz: float | np.ndarray, length_s: float, formants=made.OPEN_VOWEL) -> np.ndarray:
    """A vowel with soft edges."""
    rng = np.random.default_rng(3)
    tone = made.voiced(pitch_hz, length_s, rng, formants)
    size = len(tone)
    return tone * np.interp(np.arange(size), [0, 320, size - 1600, size], [0, 1, 1, 0])


def test_the_network_is_the_sum_it_says_it_is() -> None:
    """Against scipy's correlation, band by band."""
    rng = np.random.default_rng(1)
    sizes = [BANDS, 6, 6, 6, 6]
    kernels = [rng.normal(0, 0.3, (5, a, b)) for a, b in pairwise(sizes)]
    kernels.append(rng.normal(0, 0.3, (1, 6, 2)))
    biases = [rng.normal(0, 0.3, k.shape[2]) for k in kernels]
    network = Network(
        tuple(k.astype(np.float32) for k in kernels), tuple(b.astype(np.float32) for b in biases)
    )
    frames = rng.uniform(0, 2, (70, BANDS))
    values = frames
    for n, dilation in enumerate(DILATIONS):
        total = np.tile(biases[n], (len(frames), 1))
        for one in range(values.shape[1]):
            for other in range(total.shape[1]):
                spread = np.zeros(4 * dilation + 1)
                spread[::dilation] = kernels[n][:, one, other]
                total[:, other] += correlate1d(values[:, one], spread, mode="constant")
        total = np.maximum(total, 0.0)
        values = total if n == 0 else values + total
    expected = values @ kernels[-1][0] + biases[-1]
    assert run_network(network, frames.astype(np.float32)) == pytest.approx(expected, abs=1e-4)


def test_gain_changes_nothing() -> None:
    sound, _ = made.syllable_train(np.random.default_rng(1), 5)
    loud, soft = (band_frames((g * 0.1 * sound).astype(np.float32)) for g in (3.0, 0.03))
    assert np.abs(loud - soft).max() < 0.01


def test_a_beginning_in_two_minds_is_one_and_lies_between() -> None:
    sure = np.zeros((100, 2), dtype=np.float32)
    at = np.arange(100)
    for centre, share in ((30.4, 1.0), (60.0, 0.55), (63.0, 0.45)):
        sure[:, 0] += (share * np.exp(-0.5 * ((at - centre) / 1.4) ** 2)).astype(np.float32)
    found = vowel_onsets(sure, 0.05)
    assert found == pytest.approx([0.304, 0.6135], abs=0.004)


def test_no_beginnings_in_nothing() -> None:
    assert len(vowel_onsets(np.zeros((0, 2), dtype=np.float32), 0.05)) == 0
    assert len(vowel_onsets(np.zeros((3, 2), dtype=np.float32), 0.05)) == 0


@pytest.mark.parametrize("pitch_hz", [45.0, 110.0, 220.0, 440.0, 650.0])
@pytest.mark.parametrize("length_s", [0.2, 2.0])
def test_a_vowel_is_one_syllable_however_long_and_high(pitch_hz: float, length_s: float) -> None:
    """45 Hz is a creak, 650 Hz a squeal."""
    found = heard(clip_of(held(pitch_hz, length_s)))
    assert len(found) == 1
    assert abs(found[0].nucleus_s - 0.4) < 0.05
    assert abs(found[0].end_s - 0.4 - length_s) < 0.15


@pytest.mark.parametrize(
    ("kind", "most"),
    [("noise", 0), ("tone", 0), ("breath", 0), ("silence", 0), ("hum", 1), ("chord", 1)],
)
def test_what_has_no_vowel_has_no_syllable(kind: str, most: int) -> None:
    """A buzz of many harmonics that sets in at once may pass for one vowel, not for more."""
    rng = np.random.default_rng(4)
    at = np.arange(3 * made.RATE_HZ) / made.RATE_HZ
    sound = {
        "noise": made.noise(3.0, rng),
        "hum": sum(np.sin(2 * np.pi * 50 * k * at) / k for k in range(1, 8)),
        "tone": np.sin(2 * np.pi * 440 * at),
        "chord": sum(np.sin(2 * np.pi * hz * at) for hz in (220, 277, 330)),
        "breath": np.concatenate([made.breath(0.6, rng), made.silence(0.5), made.breath(0.8, rng)]),
        "silence": made.silence(3.0),
    }[kind]
    assert len(heard(clip_of(sound))) <= most


@pytest.mark.parametrize(
    ("hz", "most"), [(100, 0), (200, 0), (300, 0), (700, 1), (880, 1), (1500, 0), (2000, 0)]
)
def test_a_tone_is_no_vowel(hz: int, most: int) -> None:
    """One that sets in at once where first formants lie may pass for one vowel, not for more."""
    at = np.arange(2 * made.RATE_HZ) / made.RATE_HZ
    assert len(heard(clip_of(np.sin(2 * np.pi * hz * at)))) <= most


@pytest.mark.parametrize(("softer_db", "pause_s"), [(18.0, 0.6), (24.0, 2.0)])
def test_a_soft_phrase_after_a_loud_one_is_heard(softer_db: float, pause_s: float) -> None:
    rng = np.random.default_rng(5)
    loud, _ = made.syllable_train(rng, 5)
    soft, _ = made.syllable_train(rng, 5)
    sound = np.concatenate((loud, made.silence(pause_s), 10 ** (-softer_db / 20) * soft))
    assert len(heard(clip_of(sound))) == 10


def test_a_breath_between_phrases_is_no_syllable() -> None:
    rng = np.random.default_rng(6)
    train, _ = made.syllable_train(rng, 4)
    air = 0.15 * made.breath(0.5, rng)
    sound = np.concatenate((train, made.silence(0.2), air, made.silence(0.1), train))
    assert len(heard(clip_of(sound))) == 8


def test_the_weights_are_small_and_long_sound_takes_its_length() -> None:
    with resources.files("audio.syllables").joinpath(WEIGHTS).open("rb") as file:
        assert len(file.read()) < 300_000
    sound, _ = made.syllable_train(np.random.default_rng(1), 8)
    once, many = clip_of(sound), clip_of(np.tile(sound, 12))
    assert sureness(once).shape[1] == sureness(many).shape[1] == 2
    assert len(sureness(many)) == 1 + len(many.samples) // 160
