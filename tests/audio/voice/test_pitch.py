"""Pitch of made voices: exact where it is known, absent where there is none."""

from __future__ import annotations

import made_sounds as made
import numpy as np
import pytest

from audio.clip import clip_from_samples
from audio.sound.quieten import quieten
from audio.voice.pitch import find_pitch, semitones
from audio.voice.pitch_repair import drop_chance, mend_leaps, runs, stretches
from audio.voice.pitch_track import Track, frame_count, track_whole

RNG = np.random.default_rng


def pitch_of(sound: np.ndarray):
    return find_pitch(clip_from_samples(made.level_db(sound, -20.0), made.RATE_HZ))


def padded(*sounds: np.ndarray) -> np.ndarray:
    floor = 1e-3 * RNG(9).standard_normal(sum(map(len, sounds)) + 9600)
    floor[4800 : len(floor) - 4800] += np.concatenate(sounds)
    return floor


@pytest.mark.parametrize(
    ("hz", "reference", "expected"),
    [(200.0, 100.0, 12.0), (180.0, 120.0, 7.0196), (130.86, 120.0, 1.5)],
)
def test_semitones_worked_examples(hz: float, reference: float, expected: float) -> None:
    """Praat manual, hertzToSemitones (reference 100 Hz) and arithmetic."""
    assert semitones(np.array([hz]), reference_hz=reference)[0] == pytest.approx(expected, abs=1e-3)


def test_semitones_keep_unvoiced_and_refuse_no_reference() -> None:
    assert np.isnan(semitones(np.array([np.nan]), reference_hz=100.0))[0]
    with pytest.raises(ValueError, match="above 0"):
        semitones(np.array([100.0]), reference_hz=0.0)


@pytest.mark.parametrize("hz", [55.0, 80.0, 120.0, 210.0, 350.0, 500.0, 700.0, 900.0])
def test_a_steady_voice_is_measured_within_a_quarter_semitone(hz: float) -> None:
    """From creak to squeal: never doubled, never halved, never cut off."""
    track = pitch_of(padded(made.voiced(hz, 1.0, RNG(1))))
    voiced = track.hz[np.isfinite(track.hz)]
    assert len(voiced) * track.step_s > 0.85
    assert np.abs(12 * np.log2(np.median(voiced) / hz)) < 0.25
    assert np.mean(np.abs(12 * np.log2(voiced / hz)) < 1.0) > 0.97


def test_a_squeal_in_a_low_voice_is_followed() -> None:
    low, squeal = (
        made.voiced(110.0, 1.5, RNG(1)),
        made.voiced(made.glide(600, 900, 0.4), 0.4, RNG(2)),
    )
    track = pitch_of(padded(low, made.silence(0.1), squeal, made.silence(0.1), low))
    inside = track.hz[(track.times_s() > 1.95) & (track.times_s() < 2.25)]
    assert np.isfinite(inside).mean() > 0.9
    assert 600 < np.nanmedian(inside) < 900
    before = track.hz[(track.times_s() > 0.5) & (track.times_s() < 1.6)]
    assert np.abs(before / 110.0 - 1).max() < 0.06


def test_creak_after_a_high_voice_is_not_doubled() -> None:
    track = pitch_of(padded(made.voiced(220.0, 1.2, RNG(1)), made.voiced(58.0, 0.4, RNG(2))))
    creak = track.hz[(track.times_s() > 1.6) & (track.times_s() < 1.8)]
    assert np.nanmedian(creak) == pytest.approx(58.0, rel=0.05)


def test_a_whisper_and_noise_get_no_pitch() -> None:
    rng = RNG(4)
    bursts = [made.noise(0.2, rng) * made.swell(3200, 0.4) for _ in range(6)]
    gap = made.silence(0.05)
    track = pitch_of(padded(*[part for b in bursts for part in (b, gap)]))
    assert np.isfinite(track.hz).mean() == 0.0


def test_steady_noise_costs_little() -> None:
    sound = padded(made.voiced(made.glide(120, 240, 1.0), 1.0, RNG(1)))
    clean, noisy = pitch_of(sound).hz, pitch_of(made.with_noise(sound, 10.0)).hz
    both = np.isfinite(clean) & np.isfinite(noisy)
    assert both.sum() > 0.85 * np.isfinite(clean).sum()
    assert np.mean(np.abs(np.log2(noisy[both] / clean[both])) < 0.05) > 0.97


def test_quieten_leaves_clean_sound_and_sound_without_pause_alone() -> None:
    clean = made.level_db(padded(made.voiced(120.0, 1.0, RNG(1))), -20.0).astype(np.float32)
    assert quieten(clean) is clean
    steady = made.voiced(120.0, 1.0, RNG(1)).astype(np.float32)
    assert quieten(steady) is steady


def test_quieten_takes_noise_down_and_keeps_the_voice() -> None:
    voice = np.pad(made.level_db(made.voiced(150.0, 1.0, RNG(1)), -20.0), 8000)
    noisy = made.with_noise(voice, 12.0).astype(np.float32)
    left = quieten(noisy)
    assert np.std(left[2000:6000]) < 0.5 * np.std(noisy[2000:6000])
    assert np.corrcoef(left[9000:23000], voice[9000:23000])[0, 1] > 0.95


def test_very_short_sound_has_a_track_without_pitch() -> None:
    track = pitch_of(made.noise(0.06, RNG(0)))
    assert len(track.hz) == pytest.approx(0.06 / track.step_s, abs=2)


def test_long_sound_is_tracked_as_its_parts_are() -> None:
    """Across the border between two chunks of a minute nothing is lost."""
    second = np.concatenate((made.voiced(130.0, 0.8, RNG(1)), made.silence(0.2)))
    track = pitch_of(np.tile(second, 63) + 1e-4 * RNG(3).standard_normal(63 * 16_000))
    voiced = np.isfinite(track.hz[: 63 * 200]).reshape(63, 200).sum(axis=1)
    assert voiced.min() > 150
    assert np.ptp(voiced[1:-1]) <= 4


def test_an_octave_slip_is_moved_back_and_a_stray_is_dropped() -> None:
    hz = np.full(200, 120.0)
    hz[80:92] = 240.0
    hz[140:150] = 700.0
    mended = mend_leaps(hz)
    assert mended[85] == pytest.approx(120.0)
    assert np.isnan(mended[145])
    assert mended[50] == 120.0


def test_a_long_leap_is_kept() -> None:
    hz = np.concatenate((np.full(100, 120.0), np.full(60, 480.0), np.full(100, 120.0)))
    assert mend_leaps(hz)[130] == 480.0


def test_weak_voicing_far_from_any_sure_voice_is_dropped() -> None:
    hz, strength = np.full(600, np.nan), np.zeros(600)
    hz[20:60], strength[20:60] = 120.0, 0.95
    hz[100:120], strength[100:120] = 118.0, 0.6
    hz[500:520], strength[500:520] = 400.0, 0.6
    kept = drop_chance(Track(hz, strength))
    assert np.isfinite(kept[100:120]).all()
    assert np.isnan(kept[500:520]).all()


def test_runs_and_stretches_are_half_open() -> None:
    assert runs(np.array([True, True, False, True])) == [(0, 2), (3, 4)]
    assert runs(np.zeros(3, dtype=bool)) == []
    hz = np.array([100.0, 101.0, 200.0, 201.0, np.nan, 100.0])
    assert stretches(hz) == [(0, 2), (2, 4), (5, 6)]


def test_a_last_piece_of_any_length_is_tracked() -> None:
    """Counted in floats, this sound's last piece was a value short of its place."""
    rate, size = 8000, 480_520
    tone = np.sin(2 * np.pi * 150 * np.arange(size) / rate).astype(np.float32)
    track = track_whole(tone, rate, 75.0, 400.0, every=2)
    assert track.hz.shape == (frame_count(tone, rate),) == (12_014,)
    assert np.nanmedian(track.hz[-14:]) == pytest.approx(150, rel=0.01)
