"""Where vowels begin, from sound alone: what a small network learned from speech of known vowels.

Levels of 24 bands every 10 ms, taken relative to the loudest around them, go through a few layers
of convolution over time (70,000 weights, 0.6 s of context), which say for each frame how surely a
vowel begins here and how surely one lasts here. Learned (tests/training/nuclei.py) from synthetic
and joined voices in noise, rooms, whispers and squeals; no voice tests listen to was among them.

It finds vowels of any language and of any loudness; a laugh's bursts are vowels to it, and so is
whatever else sounds like one. `audio.syllables.find_syllables` decides what is a syllable.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip

FloatArray = NDArray[np.float32]
WEIGHTS = "nuclei.npz"
STEP_S = 0.010
STEP_SAMPLES = 160
WINDOW_SAMPLES = 400  # 25 ms
FFT_SAMPLES = 512
BANDS = 24
LOW_HZ, HIGH_HZ = 60.0, 7000.0
BLOCK_FRAMES = 25
NEAR_BLOCKS = 6  # the loudest within 1.5 s to both sides is the yardstick ...
DEEPEST_DB = 30.0  # ... but not where all is so far below the clip's loudest
FLOOR_DB = 45.0  # below the yardstick nothing is told apart
SCALE_DB = 20.0
CHUNK_FRAMES = 4096  # bounds memory on long sound
LEAST = 0.38  # onsets that sum up to less than this share of a sure one are none
REACH_FRAMES = 5  # around a beginning what is summed up, falling to both sides
BELL_FRAMES = 1.4  # width of a sure onset, as learned
AFTER_FRAMES = 8  # of a vowel that are looked at
DILATIONS = (1, 2, 4, 8)
TAPS = 5


@cache
def _bank() -> FloatArray:
    """Triangles, evenly spaced in mel. Shape (FFT_SAMPLES // 2 + 1, BANDS)."""
    mel = np.linspace(_mel(LOW_HZ), _mel(HIGH_HZ), BANDS + 2)
    hz = 700.0 * (10.0 ** (mel / 2595.0) - 1.0)
    bins = np.arange(FFT_SAMPLES // 2 + 1) * ANALYSIS_RATE_HZ / FFT_SAMPLES
    # a triangle narrower than a bin still takes its share of the nearest ones
    width = np.maximum(np.diff(hz), ANALYSIS_RATE_HZ / FFT_SAMPLES)
    up = 1.0 - (hz[1:-1] - bins[:, None]) / width[:-1]
    down = 1.0 - (bins[:, None] - hz[1:-1]) / width[1:]
    return np.clip(np.minimum(up, down), 0.0, None).astype(np.float32)


def _mel(hz: float) -> float:
    return float(2595.0 * np.log10(1.0 + hz / 700.0))


def band_frames(samples: FloatArray) -> FloatArray:
    """Levels of the bands, in steps of SCALE_DB above a floor. Shape (frames, BANDS).

    samples : shape (n,), float32, 16 kHz. Frame k is centred on k * STEP_S.
    """
    from scipy.fft import rfft

    count = 1 + len(samples) // STEP_SAMPLES
    padded = np.pad(samples, (WINDOW_SAMPLES // 2, WINDOW_SAMPLES // 2 + STEP_SAMPLES))
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW_SAMPLES)[::STEP_SAMPLES]
    window = np.hanning(WINDOW_SAMPLES + 1)[:-1].astype(np.float32)
    power = np.empty((count, BANDS), dtype=np.float32)
    for at in range(0, count, CHUNK_FRAMES):
        spectrum = rfft(frames[at : min(at + CHUNK_FRAMES, count)] * window, FFT_SAMPLES, axis=1)
        energy = np.square(spectrum.real) + np.square(spectrum.imag)
        power[at : at + CHUNK_FRAMES] = energy @ _bank()
    level = 10.0 * np.log10(power + np.float32(1e-9))
    above = level - _yardstick(power)[:, None] + FLOOR_DB
    return np.asarray(np.clip(above / SCALE_DB, 0.0, None), dtype=np.float32)


def _yardstick(power: FloatArray) -> FloatArray:
    """The level that counts as loud around each frame, dB. Shape (frames,)."""
    whole = 10.0 * np.log10(power.sum(axis=1) + np.float32(1e-9))
    blocks = -(-len(whole) // BLOCK_FRAMES)
    filled = np.pad(whole, (0, blocks * BLOCK_FRAMES - len(whole)), mode="edge")
    loudest = filled.reshape(blocks, BLOCK_FRAMES).max(axis=1)
    wide = np.pad(loudest, NEAR_BLOCKS, mode="edge")
    near = np.lib.stride_tricks.sliding_window_view(wide, 2 * NEAR_BLOCKS + 1).max(axis=1)
    near = np.maximum(near, whole.max() - DEEPEST_DB)
    middle = (np.arange(blocks) + 0.5) * BLOCK_FRAMES
    return np.asarray(np.interp(np.arange(len(whole)), middle, near), dtype=np.float32)


@dataclass(frozen=True, slots=True)
class Network:
    """Convolutions over time. kernels : each (taps, in, out); biases : each (out,).

    All layers but the last are followed by a rectifier, all but the first and last are added to
    what they were given; layer k looks DILATIONS[k] frames apart, the last at one frame only.
    """

    kernels: tuple[FloatArray, ...]
    biases: tuple[FloatArray, ...]


@cache
def shipped_network() -> Network:
    """The network that comes with the house."""
    with resources.files("audio.syllables").joinpath(WEIGHTS).open("rb") as file:
        stored = np.load(file, allow_pickle=False)
        layers = range(len(DILATIONS) + 1)
        return Network(
            tuple(stored[f"kernel{n}"].astype(np.float32) for n in layers),
            tuple(stored[f"bias{n}"].astype(np.float32) for n in layers),
        )


def run_network(network: Network, frames: FloatArray) -> FloatArray:
    """Scores of each frame, before the logistic. Shape (frames, outputs)."""
    values = frames
    for n, (kernel, bias) in enumerate(zip(network.kernels, network.biases, strict=True)):
        if n == len(DILATIONS):
            return np.asarray(values @ kernel[0] + bias)
        made = np.maximum(_over_time(values, kernel, DILATIONS[n]) + bias, 0.0)
        values = made if n == 0 else values + made
    return values


def _over_time(values: FloatArray, kernel: FloatArray, dilation: int) -> FloatArray:
    """A convolution over the first axis, zeros beyond both ends. Same length."""
    reach = dilation * (len(kernel) // 2)
    padded = np.pad(values, ((reach, reach), (0, 0)))
    result = np.zeros((len(values), kernel.shape[2]), dtype=np.float32)
    for tap, weights in enumerate(kernel):
        at = tap * dilation
        result += padded[at : at + len(values)] @ weights
    return result


def sureness(clip: VoiceClip, network: Network | None = None) -> FloatArray:
    """How surely a vowel begins, and how surely one lasts, 0..1. Shape (frames, 2)."""
    scores = run_network(network or shipped_network(), band_frames(clip.samples))
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(scores, -30.0, 30.0))), dtype=np.float32)


def vowel_onsets(sure: FloatArray, closest_s: float) -> NDArray[np.float64]:
    """Where vowels begin, seconds, in order.

    sure : what `sureness` gives. An onset spread over some frames, or shared by two places near
    each other, counts as one: beginnings are summed up under a triangle, and the peaks of that sum
    stand for vowels; each lies at the centre of what was summed.
    """
    from scipy.signal import find_peaks

    if len(sure) == 0:
        return np.zeros(0)
    here = np.pad(sure[:, 0].astype(np.float64), REACH_FRAMES)
    around = np.lib.stride_tricks.sliding_window_view(here, 2 * REACH_FRAMES + 1)
    offsets = np.arange(-REACH_FRAMES, REACH_FRAMES + 1)
    weights = 1.0 - np.abs(offsets) / (REACH_FRAMES + 1)
    one = float(weights @ np.exp(-0.5 * np.square(offsets / BELL_FRAMES)))
    total = np.pad(around @ weights / one, 1)
    peaks, _ = find_peaks(total, height=LEAST, distance=max(1, round(closest_s / STEP_S)))
    peaks -= 1
    mass = around[peaks]
    centre = peaks + (mass @ offsets) / np.maximum(mass.sum(axis=1), 1e-9)
    return np.asarray(np.maximum(centre, 0.0) * STEP_S)


def vowel_after(sure: FloatArray, onsets_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """How surely a vowel lasts after each onset, 0..1: the median over 80 ms."""
    first = np.round(onsets_s / STEP_S).astype(np.int64)
    last = len(sure) - 1
    rows = np.minimum(first[:, None] + np.arange(AFTER_FRAMES), last)
    return np.asarray(np.median(sure[rows, 1], axis=1), dtype=np.float64)


def vowel_at(sure: FloatArray, times_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """How surely a vowel lasts at each of the times, 0..1. Shape of `times_s`."""
    return np.interp(times_s, STEP_S * np.arange(len(sure)), sure[:, 1])
