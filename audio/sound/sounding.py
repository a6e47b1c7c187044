"""Where in a clip the voice sounds: the ground on which pauses, syllables and breaths are found.

A frame sounds when it is voiced, or when its level stands clear of the clip's own noise and it is
tied to something voiced. Weak unvoiced stretches longer than a fricative, and noises far from any
voice, are breaths and room, not speech. In a whisper, where nothing is voiced, level alone decides.

All masks have the shape of the level track.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import LoudnessTrack, PitchTrack
from audio.sound.loudness import smooth
from audio.voice.pitch_repair import runs

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SMOOTH_S = 0.03
QUIETEST_SHARE = 0.1  # of the frames: what they hold is the clip's noise
LEAST_ABOVE_DB = 5.0  # a steady noise's own ripple in 20 ms windows stays below this
MOST_ABOVE_DB = 10.0
DEEPEST_DB = 38.0  # further below the voice nothing counts as its sound, however quiet the room
WHISPER_SHARE = 0.02  # less voicing than this in the whole clip: a whisper
WEAK = ((20.0, 0.13), (12.0, 0.22))  # unvoiced, so many dB below the voice for so many seconds or
# more: a breath. Weak fricatives last about 100 ms, strong ones up to 200 (Klatt 1976)
REACH_S = 0.30  # how far from voice a consonant can be: closure, burst and a final cluster


@dataclass(frozen=True, slots=True)
class Levels:
    """The clip's own yardsticks, dB re full scale."""

    noise_db: float
    voice_db: float

    @property
    def bound_db(self) -> float:
        """Above it something sounds."""
        room = self.voice_db - self.noise_db
        above = float(np.clip(0.3 * room, LEAST_ABOVE_DB, MOST_ABOVE_DB))
        return max(self.noise_db + above, self.voice_db - DEEPEST_DB)


def pitch_on_grid(pitch: PitchTrack, loudness: LoudnessTrack) -> FloatArray:
    """Pitch at the times of the level track. Shape of `loudness.db`, NaN where unvoiced."""
    times = loudness.times_s()
    if len(pitch.hz) == 0:
        return np.full(len(times), np.nan)
    at = np.round((times - pitch.start_s) / pitch.step_s).astype(int)
    inside = (at >= 0) & (at < len(pitch.hz))
    return np.where(inside, pitch.hz[np.clip(at, 0, len(pitch.hz) - 1)], np.nan)


def voiced_mask(pitch: PitchTrack, loudness: LoudnessTrack) -> BoolArray:
    """Where the voice has a pitch."""
    return np.isfinite(pitch_on_grid(pitch, loudness))


def is_whisper(voiced: BoolArray) -> bool:
    """Whether so little is voiced that voicing says nothing."""
    return len(voiced) == 0 or float(voiced.mean()) < WHISPER_SHARE


def find_levels(loudness: LoudnessTrack, voiced: BoolArray) -> Levels:
    """Noise and voice level of a clip; `loudness` not empty."""
    return _levels_of(smooth(np.asarray(loudness.db), SMOOTH_S), voiced)


def _levels_of(level: FloatArray, voiced: BoolArray) -> Levels:
    count = max(1, round(QUIETEST_SHARE * len(level)))
    noise = float(np.partition(level, count - 1)[:count].mean())
    source = np.asarray(level[voiced] if not is_whisper(voiced) else level)
    return Levels(noise, float(np.percentile(source, 75)))


@dataclass(frozen=True, slots=True)
class Masks:
    """Where the voice sounds, and where nothing is heard but the clip's own noise."""

    sounding: BoolArray
    quiet: BoolArray


def masks_of(loudness: LoudnessTrack, pitch: PitchTrack) -> Masks:
    """Both masks of a clip."""
    quiet = quiet_mask(loudness, pitch)
    return Masks(speech_mask(loudness, pitch, quiet), quiet)


def speech_mask(
    loudness: LoudnessTrack, pitch: PitchTrack, quiet: BoolArray | None = None
) -> BoolArray:
    """Where the voice sounds. quiet : from `quiet_mask`, where it is known already."""
    if len(loudness.db) == 0:
        return np.zeros(0, dtype=bool)
    voiced = voiced_mask(pitch, loudness)
    levels = find_levels(loudness, voiced)
    level = smooth(np.asarray(loudness.db), SMOOTH_S)
    active = ~(quiet_mask(loudness, pitch) if quiet is None else quiet)
    if is_whisper(voiced):
        return active
    for below_db, longest_s in WEAK:
        weak = active & ~voiced & (level < levels.voice_db - below_db)
        for first, last in runs(weak):
            if (last - first) * loudness.step_s >= longest_s:
                active[first:last] = False
    return active & (distance_to(voiced) * loudness.step_s <= REACH_S) & _tied(active, voiced)


def quiet_mask(loudness: LoudnessTrack, pitch: PitchTrack) -> BoolArray:
    """Where nothing is heard but the clip's own noise, on all bands and on the vowels' bands.

    Noise is mostly low: the mean over the vowels' bands often still shows a consonant that the
    level of everything has lost.
    """
    if len(loudness.db) == 0:
        return np.zeros(0, dtype=bool)
    voiced = voiced_mask(pitch, loudness)
    quiet = ~voiced
    for track in (loudness.db, loudness.sonorant_db):
        level = smooth(np.asarray(track), SMOOTH_S)
        quiet &= level <= _levels_of(level, voiced).bound_db
    return quiet


def _tied(active: BoolArray, voiced: BoolArray) -> BoolArray:
    """Active stretches longer than a click."""
    result = active.copy()
    for first, last in runs(active):
        if last - first < 4 and not voiced[first:last].any():
            result[first:last] = False
    return result


def distance_to(mask: BoolArray) -> FloatArray:
    """Steps to the nearest True; inf where there is none."""
    spots = np.flatnonzero(mask)
    if len(spots) == 0:
        return np.full(len(mask), np.inf)
    at = np.arange(len(mask))
    after = np.searchsorted(spots, at)
    left = np.abs(at - spots[np.maximum(after - 1, 0)])
    right = np.abs(spots[np.minimum(after, len(spots) - 1)] - at)
    nearest: FloatArray = np.minimum(left, right).astype(np.float64)
    return nearest
