"""Laughs: trains of like bursts at four to six a second, dying away.

Method: the peaks of the sonorant level are linked into trains while they come evenly (0.13-0.32 s
apart), stand out of deep dips that hold unvoiced breath, sound alike (a laugh repeats one vowel;
speech changes it), and do not grow louder. Three bursts make a laugh, more make it surer.

Source of the numbers: laughs run at 4-6 bursts a second, with notes of like shape and falling level
(Provine & Yong 1991, from memory). Silent, snorted and one-burst laughs are not found, nor laughter
through words. Certainty 0..1 says how well a train fits, it is no measured probability.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import LoudnessTrack, PitchTrack
from audio.sound.loudness import STEP_S, VOWEL_BANDS_HZ, band_levels, smooth
from audio.sound.sounding import find_levels, voiced_mask

FloatArray = NDArray[np.float64]

SMOOTH_S = 0.035
APART_S = (0.13, 0.32)  # 3-8 a second: 4-6 and some room
UNEVEN = 1.35  # ratio of two following distances
DIP_DB = 6.0  # between bursts, under the lower of the two
GROWS_DB = 3.0  # a burst this much louder than the one before begins something else
FADES_DB = 14.0  # ... and one this much softer is something else
UNLIKE_DB = 5.5  # root mean square over the bands, level taken off
UNLIKE_FEW_DB = 4.2  # for a train of three, which speech makes by chance ("Papa pays")
GROWS_FEW_DB = 1.5
HISS_HZ = ((300.0, 2500.0), (3500.0, 8000.0))
HISS_DB = -8.0  # between bursts, re the bursts' own band: above it a fricative or a stop's burst
UNVOICED_S = 0.02  # breath between two bursts
FEWEST = 3
BELOW_VOICE_DB = 28.0
BANDS_HZ = (*VOWEL_BANDS_HZ, (3500.0, 5000.0))


@dataclass(frozen=True, slots=True)
class Laugh:
    """A train of bursts: bounds, times of the burst's peaks, certainty 0..1."""

    start_s: float
    end_s: float
    bursts_s: tuple[float, ...]
    certainty: float


def find_laughs(clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack) -> tuple[Laugh, ...]:
    """The laughs of a clip, in order of time."""
    from scipy.signal import find_peaks

    level = smooth(np.asarray(loudness.sonorant_db), SMOOTH_S)
    voiced = voiced_mask(pitch, loudness)
    if len(level) < 50 or not voiced.any():
        return ()
    bound = float(np.percentile(level[voiced], 75)) - BELOW_VOICE_DB
    peaks, _ = find_peaks(level, height=bound, prominence=DIP_DB, distance=round(0.1 / STEP_S))
    result = []
    for first, last in _trains(level, peaks, voiced):
        laugh = _weigh(clip, loudness, level, voiced, peaks[first:last])
        if laugh is not None:
            result.append(laugh)
    return tuple(result)


def _trains(
    level: FloatArray, peaks: NDArray[np.intp], voiced: NDArray[np.bool_]
) -> list[tuple[int, int]]:
    """Half-open ranges of peaks that follow each other as bursts do, by time and level alone."""
    trains = []
    start = 0
    for n in range(1, len(peaks) + 1):
        if n < len(peaks) and _follows(level, peaks, voiced, n, start):
            continue
        if n - start >= FEWEST:
            trains.append((start, n))
        start = n
    return trains


def _follows(
    level: FloatArray, peaks: NDArray[np.intp], voiced: NDArray[np.bool_], n: int, start: int
) -> bool:
    one, two = int(peaks[n - 1]), int(peaks[n])
    apart_s = (two - one) * STEP_S
    low = float(level[one:two].min())
    unvoiced_s = float((~voiced[one:two]).sum()) * STEP_S
    step_db = float(level[two] - level[one])
    if not APART_S[0] <= apart_s <= APART_S[1] or unvoiced_s < UNVOICED_S:
        return False
    if not -FADES_DB < step_db < GROWS_DB or min(level[one], level[two]) - low < DIP_DB:
        return False
    before_s = (one - int(peaks[n - 2])) * STEP_S if n - 2 >= start else apart_s
    return max(apart_s, before_s) / min(apart_s, before_s) <= UNEVEN


def _weigh(
    clip: VoiceClip, loudness: LoudnessTrack, level: FloatArray, voiced: NDArray[np.bool_],
    peaks: NDArray[np.intp],
) -> Laugh | None:  # fmt: skip
    """A train as a laugh with its certainty, or None where its bursts do not sound alike."""
    shapes = np.array([_shape(clip, int(p)) for p in peaks])
    unlike = np.sqrt(np.square(np.diff(shapes, axis=0)).mean(axis=1))
    keep = _longest(unlike <= UNLIKE_DB)
    if keep is None or keep[1] - keep[0] + 1 < FEWEST:
        return None
    peaks = peaks[keep[0] : keep[1] + 1]
    unlike = unlike[keep[0] : keep[1]]
    steps_db = np.diff(level[peaks])
    few = len(peaks) == FEWEST
    if few and (unlike.max() > UNLIKE_FEW_DB or steps_db.max() > GROWS_FEW_DB):
        return None
    if _hiss_between(clip, peaks) > HISS_DB:
        return None
    apart = np.diff(peaks) * STEP_S
    fall_db = float(level[peaks[0]] - level[peaks[-1]])
    burst_voiced = float(np.mean([voiced[max(0, p - 4) : p + 5].any() for p in peaks]))
    marks = (
        np.clip((len(peaks) - 2) / 3.0, 0.0, 1.0),
        np.clip(1.0 - float(apart.std() / apart.mean()) / 0.25, 0.0, 1.0),
        np.clip(1.2 - float(unlike.mean()) / UNLIKE_DB, 0.0, 1.0),
        np.clip((fall_db + 2.0) / 8.0, 0.0, 1.0),
        np.clip(burst_voiced, 0.0, 1.0),
    )
    certainty = float(np.mean(marks))
    start, end = _bounds(loudness, voiced, peaks)
    return Laugh(start * STEP_S, end * STEP_S, tuple(float(p) * STEP_S for p in peaks), certainty)


def _shape(clip: VoiceClip, peak: int) -> FloatArray:
    """Band levels around a burst's peak, their mean taken off. Shape (bands,), dB."""
    step = round(STEP_S * ANALYSIS_RATE_HZ)
    low, high = max(0, (peak - 5) * step), (peak + 6) * step
    part = replace(clip, samples=clip.samples[low:high])
    levels = 10.0 * np.log10(np.mean(10.0 ** (band_levels(part, BANDS_HZ) / 10.0), axis=0))
    levels = np.maximum(levels, levels.max() - 35.0)
    shape: FloatArray = levels - levels.mean()
    return shape


def _hiss_between(clip: VoiceClip, peaks: NDArray[np.intp]) -> float:
    """Median over the gaps of the strongest high-band level, dB re the bursts' sonorant band."""
    step = round(STEP_S * ANALYSIS_RATE_HZ)
    found = []
    for one, two in pairwise(int(p) for p in peaks):
        part = replace(clip, samples=clip.samples[one * step : two * step])
        levels = band_levels(part, HISS_HZ)
        gap = levels[:, 0] < levels[:, 0].max() - 3.0
        if gap.any():
            found.append(float(levels[gap, 1].max() - levels[:, 0].max()))
    return float(np.median(found)) if found else -np.inf


def _longest(like: NDArray[np.bool_]) -> tuple[int, int] | None:
    """First and last burst (inclusive) of the longest stretch of links that are all alike."""
    from audio.voice.pitch_repair import runs

    found = runs(like)
    if not found:
        return None
    first, last = max(found, key=lambda r: r[1] - r[0])
    return first, last


def _bounds(
    loudness: LoudnessTrack, voiced: NDArray[np.bool_], peaks: NDArray[np.intp]
) -> tuple[int, int]:
    """From the breath before the first burst to the end of the last."""
    level = smooth(np.asarray(loudness.db), SMOOTH_S)
    bound = find_levels(loudness, voiced).bound_db
    reach = int(np.median(np.diff(peaks)))
    start, end = int(peaks[0]), int(peaks[-1])
    while start > max(0, peaks[0] - reach) and level[start - 1] > bound:
        start -= 1
    while end < min(len(level) - 1, peaks[-1] + reach) and level[end + 1] > bound:
        end += 1
    return start, end + 1
