"""Praat's autocorrelation tracker on a fixed grid, with the strength of each value.

Method: Boersma 1993, through parselmouth; long sound in chunks of a minute, so that memory does not
grow with the sound. Values stand at multiples of the step from time 0; strength is the normalised
autocorrelation at the period found, 0 where no voice was found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ

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


def frame_count(samples: Samples) -> int:
    """Values on the grid for a sound of this length."""
    return 1 + int(len(samples) / ANALYSIS_RATE_HZ / STEP_S)


def chunks(samples: Samples) -> Iterator[tuple[Samples, int, int, int]]:
    """Pieces of a sound with overlap: samples, first grid index of the piece's samples, and the
    first and last (half-open) grid index the piece is to answer for."""
    step = round(STEP_S * ANALYSIS_RATE_HZ)
    size, overlap = round(CHUNK_S / STEP_S), round(OVERLAP_S / STEP_S)
    count = frame_count(samples)
    for low in range(0, count, size):
        high = min(count, low + size)
        first = max(0, low - overlap)
        yield samples[first * step : (high + overlap) * step], first, low, high


def track(samples: Samples, floor_hz: float, ceiling_hz: float) -> Track:
    """Praat's track of one piece of sound, on the grid from the piece's start."""
    import parselmouth

    count = frame_count(samples)
    hz, strength = np.full(count, np.nan), np.zeros(count)
    if len(samples) < 3.1 / floor_hz * ANALYSIS_RATE_HZ:  # Praat wants three periods
        return Track(hz, strength)
    sound = parselmouth.Sound(samples.astype(np.float64), ANALYSIS_RATE_HZ)
    pitch = sound.to_pitch_ac(
        time_step=STEP_S, pitch_floor=floor_hz, pitch_ceiling=ceiling_hz,
        max_number_of_candidates=CANDIDATES, very_accurate=False,
        silence_threshold=SILENCE_SHARE, voicing_threshold=VOICING, octave_cost=OCTAVE_COST,
        octave_jump_cost=OCTAVE_JUMP_COST, voiced_unvoiced_cost=VOICED_UNVOICED_COST,
    )  # fmt: skip
    values, times = pitch.selected_array, np.asarray(pitch.xs())
    grid = STEP_S * np.arange(count)
    near = np.clip(np.round((grid - times[0]) / STEP_S).astype(int), 0, len(times) - 1)
    inside = np.abs(times[near] - grid) <= STEP_S
    found = values["frequency"][near]
    voiced = inside & (found > 0)
    hz[voiced] = found[voiced]
    strength[voiced] = np.minimum(values["strength"][near][voiced], 1.0)
    return Track(hz, strength)
