"""Level of sounds whose level is known."""

from __future__ import annotations

import made_sounds as made
import numpy as np
import pytest

from audio.clip import clip_from_samples
from audio.sound.loudness import CHUNK_FRAMES, STEP_S, band_levels, find_loudness, smooth


def sine(hz: float, amplitude: float, length_s: float = 1.0) -> np.ndarray:
    at = np.arange(round(length_s * made.RATE_HZ)) / made.RATE_HZ
    return amplitude * np.sin(2 * np.pi * hz * at)


@pytest.mark.parametrize(("amplitude", "expected_db"), [(1.0, -3.01), (0.1, -23.01)])
def test_a_sine_reads_its_level_re_full_scale(amplitude: float, expected_db: float) -> None:
    track = find_loudness(clip_from_samples(sine(1000.0, amplitude), made.RATE_HZ))
    assert track.db[100] == pytest.approx(expected_db, abs=0.1)


def test_ten_times_the_amplitude_is_twenty_db_in_both_tracks() -> None:
    vowel = made.voiced(120.0, 0.5, np.random.default_rng(0)) / 20
    soft = find_loudness(clip_from_samples(vowel / 10, made.RATE_HZ))
    loud = find_loudness(clip_from_samples(vowel, made.RATE_HZ))
    np.testing.assert_allclose(loud.db - soft.db, 20.0, atol=0.05)
    steps = (loud.sonorant_db - soft.sonorant_db)[5:-5]  # before that: the lowest level there is
    np.testing.assert_allclose(steps, 20.0, atol=0.05)


def test_the_sonorant_level_hears_a_vowel_and_not_hiss_or_hum() -> None:
    rng = np.random.default_rng(0)
    sounds = {
        "vowel": made.voiced(120.0, 0.5, rng),
        "hiss": made.noise(0.5, rng, low_hz=4500.0),
        "hum": sine(100.0, 1.0, 0.5),
    }
    at = {}
    for name, sound in sounds.items():
        track = find_loudness(clip_from_samples(made.level_db(sound, -20.0), made.RATE_HZ))
        at[name] = float(track.sonorant_db[50])
    assert at["vowel"] > at["hiss"] + 8
    assert at["vowel"] > at["hum"] + 15


def test_values_stand_every_five_ms_from_time_zero() -> None:
    click = np.zeros(made.RATE_HZ)
    click[8000] = 0.5
    track = find_loudness(clip_from_samples(click, made.RATE_HZ))
    assert track.step_s == STEP_S == 0.005
    assert len(track.db) == 201
    assert int(track.db.argmax()) == 100
    assert not track.db.flags.writeable


def test_chunks_leave_no_seam() -> None:
    long = np.tile(sine(440.0, 0.3), round(CHUNK_FRAMES * STEP_S) + 3)
    db = find_loudness(clip_from_samples(long, made.RATE_HZ)).db
    assert np.ptp(db[10:-10]) < 0.1


def test_a_band_takes_only_what_lies_in_it() -> None:
    clip = clip_from_samples(sine(1000.0, 0.5), made.RATE_HZ)
    inside, outside = band_levels(clip, ((800.0, 1200.0), (3000.0, 4000.0)))[100]
    assert inside > outside + 50


def test_smooth_keeps_a_constant_and_the_length() -> None:
    np.testing.assert_allclose(smooth(np.full(50, -20.0), 0.04), -20.0)
    assert len(smooth(np.zeros(0), 0.04)) == 0
