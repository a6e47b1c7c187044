"""Boundaries of phones, settled: where each phone begins, weighed over all ways the sound allows.

Takes the phones as the decoder laid them and moves each boundary by at most REACH_FRAMES. Instead
of the one best path, a boundary is the mean over all paths (forward-backward over the chain of
states, Rabiner 1989), which falls between frames and shuns outliers.
Frames overlap (a window with its changes spans 85 ms, at steps of 10), so one moment is counted
several times; the likelihoods are weighed down for that. Times are in frames of
audio.alignment.cepstra: a boundary of 12.0 lies at 0.120 s.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.alignment.acoustic_model import SILENCE, STATES, AcousticModel, Floats

REACH_FRAMES = 10  # 100 ms: more than a boundary is off where the word is right
WEIGHT = 0.2  # about 50 of the 85 ms carry the weight, so five frames see the same moment
WINDOW_LAG = 1.28  # frames from the start of the decoder's window (its frame time) to its middle
# People's labels lie this much before the settled boundary: mean of the median lags on ARCTIC a0009
# (15 ms), praatio's hand-labelled sentences (0.5) and espeak-ng's phoneme events (-3).
LABEL_LEAD = 0.4  # frames
LEAST_CERTAIN = 0.5  # of the paths must cross a boundary, else the decoder's own is kept
NEVER = np.float32(-1e30)
Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LaidPhone:
    """A phone without its stress digit on frames [first, end) of the decoder.

    senones : of its states in this context. word : index of its word, -1 for a silence.
    """

    phone: str
    first: int
    end: int
    senones: tuple[int, ...]
    word: int


def chain_of(phones: Sequence[LaidPhone], model: AcousticModel, frames: int) -> list[LaidPhone]:
    """The phones with neighbouring silences joined, and a silence (maybe empty) at both ends."""
    book = model.book(SILENCE)
    senones = tuple(range(STATES * book, STATES * book + STATES))
    chain = [LaidPhone(SILENCE, 0, phones[0].first if phones else 0, senones, -1)]
    for phone in phones:
        if phone.word >= 0:
            chain.append(phone)
        elif chain[-1].word >= 0:
            chain.append(LaidPhone(SILENCE, phone.first, phone.end, senones, -1))
        else:
            chain[-1] = LaidPhone(SILENCE, chain[-1].first, phone.end, senones, -1)
    if chain[-1].word >= 0:
        chain.append(LaidPhone(SILENCE, chain[-1].end, frames, senones, -1))
    return chain


@dataclass(frozen=True, slots=True)
class _Trellis:
    """Weighed scores (frames, states) and, per frame, which states [low, high) are possible."""

    scores: Floats
    stay: Floats
    move: Floats
    low: NDArray[np.int64]
    high: NDArray[np.int64]


def _trellis(streams: Floats, chain: Sequence[LaidPhone], model: AcousticModel) -> _Trellis:
    frames = streams.shape[1]
    lag = round(WINDOW_LAG)
    first = np.array([p.first for p in chain]) + lag - REACH_FRAMES
    end = np.array([p.end for p in chain]) + lag + REACH_FRAMES
    first, end = np.clip(first, 0, frames), np.clip(end, 0, frames)
    first[:2], end[-2:] = 0, frames
    scores = np.full((frames, STATES * len(chain)), NEVER, dtype=np.float32)
    stay = np.empty(scores.shape[1], dtype=np.float32)
    for i, phone in enumerate(chain):
        book, states = model.book(phone.phone), slice(STATES * i, STATES * i + STATES)
        part = streams[:, first[i] : end[i]]
        scores[first[i] : end[i], states] = WEIGHT * model.score(part, book, phone.senones)
        stay[states] = model.stay[book]
    time = np.arange(frames)
    low = np.searchsorted(np.maximum.accumulate(end), time, side="right") * STATES
    high = np.searchsorted(np.minimum.accumulate(first[::-1])[::-1], time, side="right") * STATES
    return _Trellis(scores, np.log(stay), np.log1p(-stay), low, high)


def _forward(trellis: _Trellis) -> Floats:
    """Log likelihood of all paths into each state at each frame; begins in silence or speech."""
    reached = np.full(trellis.scores.shape, NEVER, dtype=np.float32)
    reached[0, [0, STATES]] = trellis.scores[0, [0, STATES]]
    for t in range(1, len(reached)):
        a, b = trellis.low[t], trellis.high[t]
        stayed = reached[t - 1, a:b] + trellis.stay[a:b]
        moved = np.full(b - a, NEVER, dtype=np.float32)
        origin = slice(a - 1 if a else 0, b - 1)
        moved[0 if a else 1 :] = reached[t - 1, origin] + trellis.move[origin]
        reached[t, a:b] = np.logaddexp(stayed, moved) + trellis.scores[t, a:b]
    return reached


def _backward(trellis: _Trellis) -> Floats:
    """Log likelihood of all paths from each state at each frame to the end."""
    ahead = np.full(trellis.scores.shape, NEVER, dtype=np.float32)
    ahead[-1, [-1, -1 - STATES]] = 0
    for t in range(len(ahead) - 2, -1, -1):
        a, b = trellis.low[t], trellis.high[t]
        onward = ahead[t + 1, a : b + 1] + trellis.scores[t + 1, a : b + 1]
        stayed = onward[: b - a] + trellis.stay[a:b]
        moved = np.full(b - a, NEVER, dtype=np.float32)
        moved[: len(onward) - 1] = onward[1:] + trellis.move[a : a + len(onward) - 1]
        ahead[t, a:b] = np.logaddexp(stayed, moved)
    return ahead


def settle(streams: Floats, chain: Sequence[LaidPhone], model: AcousticModel) -> Doubles:
    """Where each phone of a chain begins, and the end of the last, in frames: shape (phones + 1,).

    streams : (3, frames, 13) of the same sound. Boundaries rise. Where the sound decides nothing
    the decoder's own boundary stays, moved to the middle of its window.
    """
    frames = streams.shape[1]
    lag = WINDOW_LAG - 0.5 - LABEL_LEAD
    laid = np.array([*(p.first for p in chain), chain[-1].end]) + lag
    laid[0], laid[-1] = 0.0, frames
    if frames < 2 or len(chain) < 3:
        return np.clip(laid, 0, frames)
    trellis = _trellis(streams, chain, model)
    forward, ahead = _forward(trellis), _backward(trellis)
    whole = np.logaddexp(forward[-1, -1], forward[-1, -1 - STATES])
    into = np.arange(STATES, trellis.scores.shape[1], STATES)
    crossing = (forward[:-1, into - 1] + trellis.move[into - 1]).astype(np.float64)
    crossing += trellis.scores[1:, into] + ahead[1:, into]
    chance = np.exp(np.minimum(crossing - float(whole), 0.0))
    certain = chance.sum(axis=0)
    time = np.arange(1, frames)[:, None] - 0.5 - LABEL_LEAD
    mean = (chance * time).sum(axis=0) / np.maximum(certain, 1e-9)
    laid[1:-1] = np.where(certain > LEAST_CERTAIN, mean, laid[1:-1])
    return np.clip(np.maximum.accumulate(laid), 0, frames)
