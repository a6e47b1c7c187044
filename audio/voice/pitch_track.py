"""Praat's autocorrelation tracker on a fixed grid, with the strength of each value.

Method: Boersma 1993, through parselmouth; long sound in chunks of a minute, so that memory does not
grow with the sound. Values stand at multiples of the step from time 0; strength is the normalised
autocorrelation at the period found, 0 where no voice was found.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Samples = NDArray[np.float32]

STEP_S = 0.005
CHUNK_S = 60.0  # of sound tracked at once
OVERLAP_S = 0.5  # heard on both sides of a chunk, so that its edges are tracked as its middle is
SILENCE_SHARE = 0.03  # Praat's standard: frames below 3 % of the loudest peak count as silent
VOICING = 0.45  # Praat's standard settings from here on
OCTAVE_COST = 0.01
OCTAVE_JUMP_COST = 0.35
VOICED_UNVOICED_COST = 0.14
CANDIDATES = 15


@dataclass(frozen=True, slots=True)
class Track:
    """hz : shape (n,), NaN where unvoiced; strength : shape (n,), 0..1."""

    hz: FloatArray
    strength: FloatArray


def frame_count(samples: Samples, rate_hz: int) -> int:
    """Values on the 5 ms grid for a sound of this length."""
    return 1 + len(samples) // round(STEP_S * rate_hz)


def track_whole(
    samples: Samples, rate_hz: int, floor_hz: float, ceiling_hz: float, *, every: int = 1
) -> Track:
    """Praat's track of a whole sound, a chunk at a time.

    every : frames of STEP_S from one value tracked to the next; those between are interpolated.
    """
    count = frame_count(samples, rate_hz)
    hz, strength = np.full(count, np.nan), np.zeros(count)
    step = round(STEP_S * rate_hz)
    size, overlap = round(CHUNK_S / STEP_S), round(OVERLAP_S / STEP_S)
    for low in range(0, count, size):
        high = min(count, low + size)
        first = max(0, low - overlap)
        piece = samples[first * step : (high + overlap) * step]
        part = track(piece, rate_hz, floor_hz, ceiling_hz, every=every)
        hz[low:high] = part.hz[low - first : high - first]
        strength[low:high] = part.strength[low - first : high - first]
    return Track(hz, strength)


def track(
    samples: Samples, rate_hz: int, floor_hz: float, ceiling_hz: float, *, every: int = 1
) -> Track:
    """Praat's track of one piece of sound, on the grid from the piece's start."""
    import parselmouth

    count = frame_count(samples, rate_hz)
    step_s = STEP_S * every
    hz, strength = np.full(count, np.nan), np.zeros(count)
    if len(samples) < 3.1 / floor_hz * rate_hz:  # Praat wants three periods
        return Track(hz, strength)
    sound = parselmouth.Sound(samples.astype(np.float64), rate_hz)
    pitch = sound.to_pitch_ac(
        time_step=step_s, pitch_floor=floor_hz, pitch_ceiling=ceiling_hz,
        max_number_of_candidates=CANDIDATES, very_accurate=False,
        silence_threshold=SILENCE_SHARE, voicing_threshold=VOICING, octave_cost=OCTAVE_COST,
        octave_jump_cost=OCTAVE_JUMP_COST, voiced_unvoiced_cost=VOICED_UNVOICED_COST,
    )  # fmt: skip
    values, times = pitch.selected_array, np.asarray(pitch.xs())
    grid = np.arange(0, count, every)
    near = np.clip(np.round((grid * STEP_S - times[0]) / step_s).astype(int), 0, len(times) - 1)
    inside = np.abs(times[near] - grid * STEP_S) <= step_s
    found = values["frequency"][near]
    hz[grid] = np.where(inside & (found > 0), found, np.nan)
    voiced = np.isfinite(hz[grid])
    strength[grid] = np.where(voiced, np.minimum(values["strength"][near], 1.0), 0.0)
    return Track(hz, strength) if every == 1 else _filled(hz, strength, every)


def _filled(hz: FloatArray, strength: FloatArray, every: int) -> Track:
    """Values between tracked ones: along the pitch where both neighbours have one, else NaN."""
    known = np.arange(0, len(hz), every)
    at = np.arange(len(hz))
    left = at - at % every
    right = np.minimum(left + every, known[-1])
    between = np.exp(np.interp(at, known, np.log(np.where(np.isnan(hz[known]), 1.0, hz[known]))))
    both = np.isfinite(hz[left]) & np.isfinite(hz[right])
    filled = np.where(both, between, np.where(at % every == 0, hz[left], np.nan))
    strong = np.where(np.isfinite(filled), np.minimum(strength[left], strength[right]), 0.0)
    strong = np.where(at % every == 0, strength[left], strong)
    return Track(filled, strong)
