"""What the acoustic model hears: 13 cepstra every 10 ms, and how they change.

Frame k is centred on k * FRAME_S (its window reaches 12.8 ms to both sides), so a boundary between
frames k - 1 and k lies at (k - 0.5) * FRAME_S: no bias from the window.
Method: pre-emphasis, Hamming window of 25.6 ms, power spectrum, 25 triangular mel bands from 130 to
6800 Hz, logarithm, cosine transform, lifter 22, mean taken off; the parameters are those the
pocketsphinx English model was trained with (its feat.params). Change and change of change are
differences over 4 frames, as its "1s_c_d_dd" stream layout has them.
It does not remove noise.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 16_000
FRAME_S = 0.010
HOP = 160  # samples, FRAME_S at RATE_HZ
WINDOW = 410  # samples, 25.6 ms
FFT_SIZE = 512
BANDS, LOWEST_HZ, HIGHEST_HZ = 25, 130.0, 6800.0
CEPSTRA = 13
LIFTER = 22
PRE_EMPHASIS = 0.97
FULL_SCALE = 32768.0  # the model was trained on 16-bit samples
FLOOR = 1e-4  # of band energy, before the logarithm

Floats = NDArray[np.float32]


@cache
def _mel_bank() -> Floats:
    """Triangular bands of unit area, shape (FFT_SIZE // 2 + 1, BANDS), edges on spectrum lines."""
    line_hz = RATE_HZ / FFT_SIZE
    low_mel, high_mel = (2595.0 * np.log10(1 + f / 700.0) for f in (LOWEST_HZ, HIGHEST_HZ))
    mels = np.linspace(low_mel, high_mel, BANDS + 2)
    edges = np.floor(700.0 * (10 ** (mels / 2595.0) - 1) / line_hz + 0.5) * line_hz
    low, middle, high = edges[:-2], edges[1:-1], edges[2:]
    hz = np.arange(FFT_SIZE // 2 + 1)[:, None] * line_hz
    triangles = np.minimum((hz - low) / (middle - low), (high - hz) / (high - middle))
    return np.asarray(np.maximum(triangles, 0) * 2 / (high - low), dtype=np.float32)


@cache
def _cosines() -> Floats:
    """Cosine transform with the lifter in it, shape (BANDS, CEPSTRA)."""
    order = np.arange(CEPSTRA)
    table = np.cos(np.pi / BANDS * (np.arange(BANDS)[:, None] + 0.5) * order) * np.sqrt(2 / BANDS)
    table[:, 0] /= np.sqrt(2)
    table *= 1 + LIFTER // 2 * np.sin(order * np.pi / LIFTER)
    return np.asarray(table, dtype=np.float32)


@cache
def _window() -> Floats:
    return np.hamming(WINDOW).astype(np.float32)


def cepstra(samples: Floats) -> Floats:
    """Shape (n, 13) for samples at 16 kHz, full scale 1; n = len(samples) // HOP + 1."""
    emphasised = np.empty(len(samples) + 2 * WINDOW, dtype=np.float32)
    emphasised[: WINDOW // 2] = 0
    body = emphasised[WINDOW // 2 : WINDOW // 2 + len(samples)]
    body[:1] = samples[:1]
    body[1:] = samples[1:] - np.float32(PRE_EMPHASIS) * samples[:-1]
    body *= FULL_SCALE
    emphasised[WINDOW // 2 + len(samples) :] = 0
    count = len(samples) // HOP + 1
    frames = np.lib.stride_tricks.sliding_window_view(emphasised, WINDOW)[::HOP][:count] * _window()
    spectrum = np.fft.rfft(frames, FFT_SIZE)
    power = (np.square(spectrum.real) + np.square(spectrum.imag)).astype(np.float32)
    return np.asarray(np.log(power @ _mel_bank() + np.float32(FLOOR)) @ _cosines())


def streams(coefficients: Floats) -> Floats:
    """Cepstra less their mean, their change and its change: shape (3, n, 13)."""
    level = coefficients - coefficients.mean(axis=0)
    last = len(level) - 1
    index = np.arange(len(level))

    def shifted(frames: int) -> Floats:
        return np.asarray(level[np.clip(index + frames, 0, last)])

    change = shifted(2) - shifted(-2)
    return np.stack([level, change, (shifted(3) - shifted(-1)) - (shifted(1) - shifted(-3))])
