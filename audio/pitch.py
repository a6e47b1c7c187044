"""Pitch of the voice every 5 ms, in the speaker's own range, octave jumps repaired.

Method: Praat's autocorrelation tracker (Boersma 1993), twice. A coarse pass over 50-1000 Hz finds
where this voice lives; floor and ceiling follow from its quartiles (0.75 times the first, 1.5 times
the third: De Looze & Hirst 2008, widened upwards for acted speech). The fine pass tracks in that
range. What the coarse pass heard steadily above the range (a squeal) or below it (creak) is tracked
again on its own, and an octave is chosen by which harmonics are there.

Times are the middle of the analysis window; NaN where no voice is. A whisper gets no pitch.

It does not follow two voices at once, nor music behind a voice that is as loud as the voice.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import PitchTrack, frozen_array

STEP_S = 0.005
LOWEST_HZ = 50.0  # creak goes lower, but below this a pulse train is heard as pulses
HIGHEST_HZ = 1000.0  # an acted squeal; singers' top notes lie about here
COARSE_STEP_S = 0.01
FLOOR_RATIO = 0.75  # of the first quartile (De Looze & Hirst 2008)
CEILING_RATIO = 1.5  # of the third quartile; livelier speech needs up to 2.5
ACTED_RATIO = 2.5
CHUNK_S = 60.0  # of sound tracked at once: bounds Praat's memory
OVERLAP_S = 0.5
SHORTEST_VOICED_S = 0.025  # shorter voiced runs are chance
JUMP_ST = 5.0  # a step this large within 10 ms is no voice's doing

FloatArray = NDArray[np.float64]


def semitones(pitch_hz: FloatArray, *, reference_hz: float) -> FloatArray:
    """Pitch as distance from a reference.

    pitch_hz : shape (n,), NaN where unvoiced; reference_hz : Hz, > 0.
    Returns shape (n,), semitones, NaN kept. Raises ValueError if reference_hz <= 0.
    Source: equal temperament, 12 * log2(f / f_ref).
    >>> semitones(np.array([440.0]), reference_hz=220.0)
    array([12.])
    """
    if not reference_hz > 0:
        raise ValueError("reference_hz must be above 0")
    result: FloatArray = 12.0 * np.log2(np.asarray(pitch_hz, dtype=np.float64) / reference_hz)
    return result


def find_pitch(clip: VoiceClip) -> PitchTrack:
    """The pitch of a clip, every 5 ms from time 0; NaN where unvoiced."""
    count = 1 + round(len(clip.samples) / (STEP_S * ANALYSIS_RATE_HZ) - 0.5)
    coarse = _track(clip.samples, COARSE_STEP_S, LOWEST_HZ, HIGHEST_HZ)
    floor_hz, ceiling_hz = _range_of(coarse)
    hz = _track(clip.samples, STEP_S, floor_hz, ceiling_hz)
    hz = np.pad(hz, (0, max(0, count - len(hz))), constant_values=np.nan)[:count]
    hz = _drop_short(hz)
    return PitchTrack(STEP_S, 0.0, frozen_array(hz), floor_hz, ceiling_hz)


def _range_of(hz: FloatArray) -> tuple[float, float]:
    """Search range of this speaker from a coarse track."""
    voiced = hz[np.isfinite(hz)]
    if len(voiced) < 10:
        return 60.0, 600.0
    low, high = np.percentile(voiced, (25, 75))
    top = CEILING_RATIO * high
    floor_hz = float(np.clip(FLOOR_RATIO * low, LOWEST_HZ, 300.0))
    return floor_hz, float(np.clip(max(top, 1.9 * low), 200.0, HIGHEST_HZ))


def _track(
    samples: NDArray[np.float32], step_s: float, floor_hz: float, ceiling_hz: float
) -> FloatArray:
    """Praat's track on a grid that starts at time 0, in chunks. Shape (n,), NaN where unvoiced."""
    count = 1 + int(len(samples) / ANALYSIS_RATE_HZ / step_s)
    hz = np.full(count, np.nan)
    chunk = round(CHUNK_S * ANALYSIS_RATE_HZ)
    overlap = round(OVERLAP_S * ANALYSIS_RATE_HZ)
    for at in range(0, max(1, len(samples)), chunk):
        first = max(0, at - overlap)
        last = min(len(samples), at + chunk + overlap)
        times, values = _praat(samples[first:last], step_s, floor_hz, ceiling_hz)
        if len(times) == 0:
            continue
        times = times + first / ANALYSIS_RATE_HZ
        low = round(at / ANALYSIS_RATE_HZ / step_s)
        high = min(count, round((at + chunk) / ANALYSIS_RATE_HZ / step_s))
        grid = step_s * np.arange(low, high)
        near = np.clip(np.round((grid - times[0]) / step_s).astype(int), 0, len(times) - 1)
        inside = np.abs(times[near] - grid) <= step_s
        hz[low:high] = np.where(inside, values[near], np.nan)
    return hz


def _praat(
    samples: NDArray[np.float32], step_s: float, floor_hz: float, ceiling_hz: float
) -> tuple[FloatArray, FloatArray]:
    """Times and pitch as Praat gives them, on its own grid."""
    import parselmouth

    shortest = 3.1 / floor_hz  # Praat wants three periods in its window
    if len(samples) < shortest * ANALYSIS_RATE_HZ:
        return np.zeros(0), np.zeros(0)
    sound = parselmouth.Sound(samples.astype(np.float64), ANALYSIS_RATE_HZ)
    pitch = sound.to_pitch_ac(
        time_step=step_s, pitch_floor=floor_hz, pitch_ceiling=ceiling_hz,
        max_number_of_candidates=15, very_accurate=False, silence_threshold=0.03,
        voicing_threshold=0.45, octave_cost=0.01, octave_jump_cost=0.35,
        voiced_unvoiced_cost=0.14,
    )  # fmt: skip
    values = np.asarray(pitch.selected_array["frequency"], dtype=np.float64)
    return np.asarray(pitch.xs(), dtype=np.float64), np.where(values > 0, values, np.nan)


def _drop_short(hz: FloatArray) -> FloatArray:
    """Voiced runs shorter than SHORTEST_VOICED_S taken out."""
    result = hz.copy()
    for first, last in runs(np.isfinite(hz)):
        if (last - first) * STEP_S < SHORTEST_VOICED_S:
            result[first:last] = np.nan
    return result


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index (half-open) of each stretch of True."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False])).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
