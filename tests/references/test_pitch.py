"""Pitch against trackers of other make, and against pitch that was put into the sound.

Independent trackers: swift-f0 (a small neural network, PyPI) and librosa.pyin (probabilistic YIN,
Mauch & Dixon 2014). Speech: the public-domain LibriVox clips in the source distribution of
pocketsphinx 5.1.1. Gross error: more than 20 % off, over jointly voiced frames (the usual measure,
Rabiner et al. 1976). Known pitch: overlap-add (PSOLA, Moulines & Charpentier 1990) by Praat.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import made_sounds as made
import numpy as np
import pytest
import soundfile

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip, clip_from_samples, load_clip
from audio.voice.pitch import find_pitch

pytestmark = pytest.mark.reference
GROSS = 0.2
ALLOWED = 0.05
SQUEALS = {
    "squeal at the end": [(0.0, 120.0), (0.55, 140.0), (0.65, 500.0), (0.8, 900.0), (1.0, 850.0)],
    "squeal inside": [(0.0, 180.0), (0.3, 200.0), (0.4, 600.0), (0.6, 900.0), (0.68, 220.0),
                      (1.0, 150.0)],
    "falsetto": [(0.0, 400.0), (0.5, 600.0), (1.0, 450.0)],
    "swoop": [(0.0, 80.0), (0.5, 600.0), (1.0, 90.0)],
    "creak at the end": [(0.0, 180.0), (0.6, 140.0), (0.7, 60.0), (1.0, 52.0)],
}  # fmt: skip


@pytest.fixture(scope="module")
def librivox(source_package: Callable[[str, str], Path]) -> list[Path]:
    folder = source_package("pocketsphinx", "5.1.1") / "test" / "data" / "librivox"
    return sorted(folder.glob("*.wav"))


def gross_errors(
    clip: VoiceClip, times_s: np.ndarray, reference_hz: np.ndarray
) -> tuple[int, int, int]:
    """Wrong, jointly voiced, and voiced in the reference alone."""
    track = find_pitch(clip)
    at = np.clip(np.round(times_s / track.step_s).astype(int), 0, len(track.hz) - 1)
    ours = track.hz[at]
    both = np.isfinite(ours) & np.isfinite(reference_hz)
    wrong = np.abs(ours[both] / reference_hz[both] - 1.0) > GROSS
    return int(wrong.sum()), int(both.sum()), int((np.isfinite(reference_hz) & ~both).sum())


@lru_cache(maxsize=1)
def swift():
    from swift_f0 import SwiftF0

    return SwiftF0(threads=1)


def swift_track(samples: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    found = swift().detect(samples, ANALYSIS_RATE_HZ)
    sure = np.asarray(found.confidence) > 0.5
    return np.asarray(found.timestamps), np.where(sure, found.pitch_hz, np.nan)


def test_librivox_against_swift_f0(librivox: list[Path]) -> None:
    total = np.zeros(3)
    for path in librivox:
        clip = load_clip(path)
        total += gross_errors(clip, *swift_track(clip.samples))
    print(f"\nswift-f0: {100 * total[0] / total[1]:.2f} % of {total[1]:.0f} frames off")
    assert total[1] > 500
    assert total[0] / total[1] < ALLOWED
    assert total[2] / total[1] < 0.1


def test_librivox_against_pyin(librivox: list[Path]) -> None:
    import librosa

    total = np.zeros(3)
    for path in librivox[:3]:
        clip = load_clip(path)
        hz, _, _ = librosa.pyin(clip.samples, fmin=50, fmax=600, sr=ANALYSIS_RATE_HZ,
                                frame_length=1024, hop_length=160)  # fmt: skip
        total += gross_errors(clip, np.arange(len(hz)) * 0.01, hz)
    print(f"\npyin: {100 * total[0] / total[1]:.2f} % of {total[1]:.0f} frames off")
    assert total[1] > 500
    assert total[0] / total[1] < ALLOWED


@pytest.mark.parametrize("snr_db", [None, 20.0, 10.0])
@pytest.mark.parametrize("name", SQUEALS)
def test_pitch_put_in_by_overlap_add_is_found(
    librivox: list[Path], name: str, snr_db: float | None
) -> None:
    """Squeals up to 900 Hz, falsetto and creak, on real speech, clean and in noise."""
    wrong = joint = missed = 0
    for path in librivox[:2]:
        speech, rate_hz = soundfile.read(path)
        sound, asked_hz, inside = made.repitched(speech, rate_hz, SQUEALS[name])
        sound = sound if snr_db is None else made.with_noise(sound, snr_db)
        truth = np.where(inside, asked_hz, np.nan)
        clip = clip_from_samples(sound, rate_hz)
        errors = gross_errors(clip, np.arange(len(truth)) * 0.005, truth)
        wrong, joint, missed = (a + b for a, b in zip((wrong, joint, missed), errors, strict=True))
    print(
        f"\n{name} {snr_db}: {100 * wrong / joint:.2f} % off, {100 * missed / joint:.1f} % missed"
    )
    assert wrong / joint < ALLOWED
    assert missed / (joint + missed) < (0.15 if snr_db is None else 0.25)


def test_squeals_against_swift_f0(librivox: list[Path]) -> None:
    """Where the overlap-add itself is in doubt, the other tracker is the judge."""
    total = np.zeros(3)
    for path in librivox[:2]:
        speech, rate_hz = soundfile.read(path)
        for contour in SQUEALS.values():
            clip = clip_from_samples(made.repitched(speech, rate_hz, contour)[0], rate_hz)
            total += gross_errors(clip, *swift_track(clip.samples))
    print(f"\nsqueals against swift-f0: {100 * total[0] / total[1]:.2f} %")
    assert total[0] / total[1] < ALLOWED


@pytest.mark.parametrize("voice", ["en-us+whisper", "en-us+whisperf"])
def test_a_whisper_of_espeak_gets_no_pitch(espeak, voice: str) -> None:
    said = espeak.say("Did anybody leave a violin in the kitchen last night?", voice=voice)
    track = find_pitch(clip_from_samples(said.samples, said.rate_hz))
    assert np.isfinite(track.hz).mean() < 0.01
