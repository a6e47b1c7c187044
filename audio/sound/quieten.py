"""Steady noise taken down, so that the pitch tracker hears the voice in it.

Method: spectral subtraction (Boll 1979) with a floor. The noise is what the quietest tenth of the
frames hold on average; where those are nearly as loud as the voice (no pause to learn from) or far
below it (a clean recording), the sound is returned as it is. Meant for a minute or two at once.

Pitch and the places of words are read from the result: it keeps periods and the order of sounds,
not levels. In noise at 10 dB it takes word edges from three in four within a frame to nine in ten
(tests/benchmarks/word_edges.py). It does not remove music.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]

FRAME_SAMPLES = 512  # 32 ms at 16 kHz: splits the harmonics of a voice above 100 Hz
HOP_SAMPLES = 256
QUIETEST_SHARE = 0.1
CLEAN_DB = 25.0  # noise this far under the loud frames does not disturb the tracker
NO_PAUSE_DB = 8.0  # quietest frames nearer to the voice than this are voice themselves
TAKEN_OFF = 3.0  # times the noise's mean power: over-subtraction, Berouti et al. 1979
DITHER = 1e-4  # root mean square, full scale 1
LEFT_GAIN = 0.2  # what stays of a bin that is all noise, so that no tones are left standing


CHUNK_SAMPLES = 960_000  # a minute at 16 kHz


def quieter(samples: Samples) -> Samples:
    """A whole sound with its steady noise taken down, a minute at a time, as rooms may change."""
    if len(samples) <= CHUNK_SAMPLES:
        return quieten(samples)
    starts = range(0, len(samples), CHUNK_SAMPLES)
    return np.concatenate([quieten(samples[at : at + CHUNK_SAMPLES]) for at in starts])


def dithered(samples: Samples) -> Samples:
    """The sound with noise 80 dB under full scale: an aligner has never heard digital silence.

    Edited dialogue has it between phrases. With the noise more words end where they are heard to
    (espeak-ng: 87 % within a frame, 80 % without). The same noise every time.
    """
    noise = np.random.default_rng(0).standard_normal(len(samples), dtype=np.float32)
    return samples + np.float32(DITHER) * noise


def quieten(samples: Samples) -> Samples:
    """The sound with its steady noise taken down. samples : shape (n,), 16 kHz; same shape back."""
    count = (len(samples) - FRAME_SAMPLES) // HOP_SAMPLES + 1
    if count < 20:
        return samples
    frames = np.lib.stride_tricks.sliding_window_view(samples, FRAME_SAMPLES)[::HOP_SAMPLES]
    power = np.square(frames, dtype=np.float32).mean(axis=1, dtype=np.float64) + 1e-12
    quiet_share = max(5, round(QUIETEST_SHARE * count))
    order = np.argsort(power)
    quiet = order[:quiet_share]
    quiet = quiet[power[quiet] > 1e-9] if (power > 1e-9).any() else quiet
    loud_db = 10.0 * np.log10(np.percentile(power, 90))
    if len(quiet) < 5:
        return samples
    noise_db = 10.0 * np.log10(power[quiet].mean())
    if not NO_PAUSE_DB <= loud_db - noise_db <= CLEAN_DB:
        return samples
    return _subtract(samples, frames, quiet)


def _subtract(samples: Samples, frames: Samples, quiet: NDArray[np.intp]) -> Samples:
    """Overlap-add with square-root Hann windows, each bin scaled by what is above the noise."""
    from scipy.fft import irfft, rfft

    window = np.sqrt(np.hanning(FRAME_SAMPLES + 1)[:-1]).astype(np.float32)
    spectrum: Any = rfft(frames * window, axis=1)
    power = np.square(spectrum.real) + np.square(spectrum.imag)
    noise = power[quiet].mean(axis=0, keepdims=True)
    gain = np.sqrt(np.maximum(1.0 - TAKEN_OFF * noise / np.maximum(power, 1e-20), LEFT_GAIN**2))
    cleaned = irfft(spectrum * gain, FRAME_SAMPLES, axis=1).astype(np.float32) * window
    result = np.zeros(len(frames) * HOP_SAMPLES + HOP_SAMPLES, dtype=np.float32)
    half = HOP_SAMPLES
    blocks = result.reshape(-1, half)
    blocks[:-1] += cleaned[:, :half]
    blocks[1:] += cleaned[:, half:]
    whole = np.array(samples, dtype=np.float32)
    whole[half : len(result) - half] = result[half:-half]
    return whole
