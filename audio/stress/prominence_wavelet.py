"""Prominence of syllables in a signal, seen at several time scales.

A Mexican-hat wavelet as wide as a syllable, a word and a short phrase is laid on the signal (pitch,
level or length over time); where it fits, something stands out from what comes before and after, by
that much and for that long. Scales between half a syllable and two words carry prominence.

Method: continuous wavelet analysis of prosody, Suni, Simko, Aalto & Vainio 2017, Computer Speech &
Language 45:123-136. Theirs follows lines of maxima through many scales; here the response is
read at the syllables on a 10 ms grid at a few scales, which costs little. Being linear, it
keeps the shares of the cues apart. Does not look at words or pauses.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from audio.reading import FloatArray

SCALES_S = (0.07, 0.11, 0.17, 0.26)  # s: width of the hat's middle is twice this; word scale last
REACH = 4.0  # widths after which the wavelet is nothing
SEARCH_S = 0.05  # the largest response this near to the nucleus counts


@lru_cache(maxsize=32)
def _hat(scale_steps: float) -> FloatArray:
    """A Mexican hat that answers a bump of its own width and height 1 with about 1."""
    reach = int(np.ceil(REACH * scale_steps))
    x = np.arange(-reach, reach + 1, dtype=np.float64) / scale_steps
    hat = (1 - x**2) * np.exp(-(x**2) / 2)
    hat -= hat.mean()
    bump = np.exp(-(x**2) / 2)
    return hat / float(hat @ bump)


def respond(signal: FloatArray, step_s: float, scale_s: float) -> FloatArray:
    """The wavelet's response at one scale. Shape of `signal`, in the signal's unit."""
    hat = _hat(round(scale_s / step_s, 6))
    half = len(hat) // 2
    return np.convolve(np.pad(signal, half, mode="edge"), hat, mode="valid")


def prominence_at(
    signal: FloatArray, step_s: float, times_s: FloatArray, scales_s: Sequence[float] = SCALES_S
) -> FloatArray:
    """How far the signal stands out around each time. Shape (scales, times), signal's unit.

    signal : shape (n,), finite, first value at 0 s.
    """
    reach = max(1, round(SEARCH_S / step_s))
    centres = np.round(np.asarray(times_s) / step_s).astype(int)
    around = centres[:, None] + np.arange(-reach, reach + 1)[None, :]
    around = np.clip(around, 0, len(signal) - 1)
    rows = [respond(signal, step_s, scale)[around].max(axis=1) for scale in scales_s]
    return np.array(rows).reshape(len(scales_s), len(times_s))
