"""Level of a clip every 5 ms: of everything, and of the band where vowels live.

Conventions: dB re full scale (a sine of amplitude 1 reads -3 dB), values at the middle of a 20 ms
Hann window; the first stands at time 0. Method: short-time Fourier power, summed over bins.

The sonorant level is the mean, in dB, of two things: the level of 300-2500 Hz (the first and second
formant of nearly every vowel; hum, thumps and the voice bar of a closure lie below, fricative noise
above) and the average of the levels of six bands from 300 to 3500 Hz. The first is steady in noise;
the second asks that all bands be filled, as a vowel fills them, and falls in nasals and liquids,
which are nearly as loud as vowels (the idea of Wang & Narayanan 2007, who correlate such bands).

It does not weight by loudness models: accents and onsets are read from changes, where dB serves.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import LoudnessTrack, frozen_array

STEP_S = 0.005  # the pitch track's step
WINDOW_SAMPLES = 320  # 20 ms: two periods at 100 Hz, short enough to place an onset
FFT_SAMPLES = 512
SONORANT_HZ = (300.0, 2500.0)
VOWEL_BANDS_HZ = (
    (300.0, 500.0),
    (500.0, 800.0),
    (800.0, 1200.0),
    (1200.0, 1800.0),
    (1800.0, 2500.0),
    (2500.0, 3500.0),
)  # about two Bark wide each
BAND_DEPTH_DB = 40.0  # a band counts as empty this far below its loud frames
BAND_SMOOTH_S = 0.02
WHOLE_LOW_HZ = 60.0  # rumble below is no voice
CHUNK_FRAMES = 4096  # bounds memory on long sound
QUIETEST_DB = -100.0


def band_levels(
    clip: VoiceClip,
    bands_hz: tuple[tuple[float, float], ...],
    *,
    window_samples: int = WINDOW_SAMPLES,
) -> NDArray[np.float64]:
    """Level of each band. Returns shape (frames, bands), dB re full scale, every STEP_S."""
    from scipy.fft import rfft

    step = round(STEP_S * ANALYSIS_RATE_HZ)
    count = 1 + len(clip.samples) // step
    half = window_samples // 2
    padded = np.pad(clip.samples, (half, half + step))
    frames = np.lib.stride_tricks.sliding_window_view(padded, window_samples)[::step][:count]
    window = np.hanning(window_samples + 1)[:-1].astype(np.float32)
    scale = 2.0 / (FFT_SAMPLES * float(np.square(window).sum()))
    edges = _band_edges(bands_hz)
    power = np.empty((count, len(bands_hz)), dtype=np.float64)
    for at in range(0, count, CHUNK_FRAMES):
        spectrum: Any = rfft(frames[at : at + CHUNK_FRAMES] * window, FFT_SAMPLES, axis=1)
        energy = np.square(spectrum.real) + np.square(spectrum.imag)
        for column, (low, high) in enumerate(edges):
            power[at : at + CHUNK_FRAMES, column] = energy[:, low:high].sum(axis=1)
    result: NDArray[np.float64] = np.maximum(10.0 * np.log10(power * scale + 1e-20), QUIETEST_DB)
    return result


def _band_edges(bands_hz: tuple[tuple[float, float], ...]) -> list[tuple[int, int]]:
    """First and last bin (half-open) of each band."""
    bin_hz = ANALYSIS_RATE_HZ / FFT_SAMPLES
    last = FFT_SAMPLES // 2 + 1
    return [
        (max(0, round(low / bin_hz)), max(round(low / bin_hz) + 1, min(last, round(high / bin_hz))))
        for low, high in bands_hz
    ]


def find_loudness(clip: VoiceClip) -> LoudnessTrack:
    """Level of the clip and of its sonorant band, every 5 ms from time 0."""
    whole_hz = (WHOLE_LOW_HZ, ANALYSIS_RATE_HZ / 2)
    levels = band_levels(clip, (whole_hz, SONORANT_HZ, *VOWEL_BANDS_HZ))
    filled = np.zeros(len(levels))
    for column in levels[:, 2:].T:
        band = smooth(column, BAND_SMOOTH_S)
        filled += np.maximum(band, np.percentile(band, 98) - BAND_DEPTH_DB)
    sonorant = 0.5 * levels[:, 1] + 0.5 * filled / len(VOWEL_BANDS_HZ)
    return LoudnessTrack(
        STEP_S, 0.0, db=frozen_array(levels[:, 0]), sonorant_db=frozen_array(sonorant)
    )


def smooth(values: NDArray[np.float64], width_s: float) -> NDArray[np.float64]:
    """A track smoothed by two box passes, about `width_s` wide at half height."""
    size = max(1, round(width_s / STEP_S / 1.4)) | 1
    if size == 1 or len(values) == 0:
        return values
    result = values
    for _ in range(2):
        padded = np.pad(result, size // 2, mode="edge")
        total = np.cumsum(np.concatenate(([0.0], padded)))
        result = (total[size:] - total[:-size]) / size
    return result
