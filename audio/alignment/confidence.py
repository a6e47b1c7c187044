"""Does the sound say this word: 0 (anything else would fit better) to 1 (nothing fits better).

Each frame of a phone is asked how well it fits the phone it was given, and how well the phone that
fits it best: the log ratio, meant over the phone's frames and the word's phones, is the "goodness
of pronunciation" (Witt & Young 2000), here over the model's phones regardless of neighbours.
A curve fitted to right and wrong words of natural and synthetic speech turns it into 0..1.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audio.alignment.acoustic_model import STATES, AcousticModel, Floats
from audio.alignment.settle import LABEL_LEAD, LaidPhone

CHUNK = 78  # frames scored at a time
EVERY = 2  # frames: neighbours overlap, so every second one tells as much
HALF_AT = -3.9  # nats a frame: one right word in twenty is below -3.3, one wrong in four above -5.3
SLOPE = 1.4  # per nat


def phone_fits(
    streams: Floats, model: AcousticModel, wanted: NDArray[np.bool_] | None = None
) -> Floats:
    """How well each phone fits every EVERY-th frame at its best state: shape (frames, phones).

    Log ratios to the phone that fits best, 0 at best, and 0 in frames that are not `wanted`: shape
    (frames,), None for all. A few frames go at a time: the products then stay in the processor's
    cache, and small enough that no linear algebra library starts threads.
    """
    some = np.ascontiguousarray(streams[:, ::EVERY])
    if wanted is not None:
        whole = np.zeros((some.shape[1], len(model.phones)), dtype=np.float32)
        whole[wanted] = _fits(np.ascontiguousarray(some[:, wanted]), model)
        return whole
    return _fits(some, model)


def _fits(some: Floats, model: AcousticModel) -> Floats:
    fits = np.zeros((some.shape[1], len(model.phones)), dtype=np.float32)
    if not len(fits):
        return fits
    for start in range(0, len(fits), CHUNK):
        total = np.zeros((len(model.phones), len(fits[start : start + CHUNK]), STATES), np.float32)
        for number, stream in enumerate(some[:, start : start + CHUNK]):
            near = np.concatenate([stream * stream, stream], axis=1) @ model.gauss[number]
            near += model.offset[number][:, None, :]
            best = near.max(axis=2, keepdims=True)
            near -= best
            mixed = np.exp(near, out=near) @ model.own_weights[number]
            total += np.log(mixed + np.float32(1e-30)) + best
        fits[start : start + CHUNK] = total.max(axis=2).T
    fits -= fits.max(axis=1, keepdims=True)
    return fits


def goodness(
    ratios: Floats, chain: Sequence[LaidPhone], edges: NDArray[np.float64], model: AcousticModel
) -> list[float]:
    """Log ratio to the best phone for each phone of the chain, meant over its frames (<= 0).

    ratios : from phone_fits; edges : in frames of audio.alignment.cepstra.
    """
    return [
        float(ratios[first:last, model.book(phone.phone)].mean())
        for phone, (first, last) in zip(chain, _frames(edges, len(ratios)), strict=True)
    ]


def _frames(edges: NDArray[np.float64], count: int) -> list[tuple[int, int]]:
    """First and last (half-open) of `count` fits that each phone between edges is judged by."""
    middles = edges + LABEL_LEAD  # back from where people put boundaries to where the model does
    marks = np.ceil(middles / EVERY).astype(int).tolist()
    firsts = [min(mark, count - 1) for mark in marks[:-1]]
    return [(first, max(last, first + 1)) for first, last in zip(firsts, marks[1:], strict=True)]


def said_frames(
    chain: Sequence[LaidPhone], edges: NDArray[np.float64], count: int
) -> NDArray[np.bool_]:
    """Which of `count` fits are asked for: those of phones, not of silence. Shape (count,)."""
    said = np.zeros(count, dtype=bool)
    for phone, (first, last) in zip(chain, _frames(edges, count), strict=True):
        said[first:last] |= phone.word >= 0
    return said


def word_confidence(
    ratios: Floats,
    chain: Sequence[LaidPhone],
    edges: NDArray[np.float64],
    model: AcousticModel,
    words: int,
) -> list[float]:
    """Confidence 0..1 of each of `words` words laid in a chain with these edges (in frames)."""
    mine: list[list[float]] = [[] for _ in range(words)]
    for phone, mean in zip(chain, goodness(ratios, chain, edges, model), strict=True):
        if phone.word >= 0:
            mine[phone.word].append(mean)
    return [confidence_of(float(np.mean(values))) for values in mine]


def confidence_of(ratio: float) -> float:
    """0..1 for a word whose phones fit this much worse than the best (nats a frame, <= 0)."""
    return 1.0 / (1.0 + float(np.exp(-SLOPE * (ratio - HALF_AT))))
