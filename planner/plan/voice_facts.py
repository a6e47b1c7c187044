"""What the sound does on a syllable, in numbers a person can check: semitones, lengths, decibels.

Conventions: each figure compares a syllable with its neighbours, up to two on either side in the
same phrase: pitch by the highest voiced value, level by the loudest value of the vowels' band.
Length is against the line's mean syllable. NaN where nothing could be measured. The figures explain
a stress; the decision that it is one was made by `audio.stress.find_stress`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import VoiceReading

NEIGHBOURS = 2  # syllables on either side
ATTACK_DB = 6.0  # under a syllable's top: half the sound pressure
LEVEL_ST = 0.5  # semitones; under it no difference is worth a word


@dataclass(frozen=True, slots=True)
class SyllableFacts:
    """A syllable against its neighbours: semitones, times the usual length, decibels.

    `peak_s` is when the later of pitch and level is at its top in it; NaN where it is not stressed.
    `attack_s` is how long its level takes from half way up to its top: a hard beginning is short.
    """

    pitch_st: float
    length_ratio: float
    level_db: float
    peak_s: float = math.nan
    attack_s: float = math.nan

    def said(self, word: str) -> str:
        """As words: `"third" rises 4.8 st over its neighbours, +3.0 dB, 1.4x the usual length`."""
        parts: list[str] = []
        if math.isfinite(self.pitch_st):
            if self.pitch_st >= LEVEL_ST:
                parts.append(f"rises {self.pitch_st:.1f} st over its neighbours")
            elif self.pitch_st <= -LEVEL_ST:
                parts.append(f"lies {-self.pitch_st:.1f} st under its neighbours")
            else:
                parts.append("is no higher than its neighbours")
        if math.isfinite(self.level_db):
            parts.append(f"{self.level_db:+.1f} dB")
        if math.isfinite(self.length_ratio):
            parts.append(f"{self.length_ratio:.1f}x the usual length")
        return f"{word} {', '.join(parts)}" if parts else f"{word} alone in its phrase"


def syllable_facts(reading: VoiceReading) -> tuple[SyllableFacts, ...]:
    """One per syllable, in order."""
    syllables = reading.syllables
    if not syllables:
        return ()
    spans = [(s.nucleus_s, s.end_s) for s in syllables]
    pitch, loudness = reading.pitch, reading.loudness
    with np.errstate(all="ignore"):
        tops_st = 12 * np.log2(_highest(pitch.hz, pitch.start_s, pitch.step_s, spans))
    tops_db = _highest(loudness.sonorant_db, loudness.start_s, loudness.step_s, spans)
    lengths_s = np.array([s.end_s - s.start_s for s in syllables])
    usual_s = float(lengths_s.mean())
    facts: list[SyllableFacts] = []
    for first, last in _stretches(reading):
        for i in range(first, last + 1):
            near = [j for j in range(max(first, i - NEIGHBOURS), min(last, i + NEIGHBOURS) + 1)
                    if j != i]  # fmt: skip
            facts.append(
                SyllableFacts(
                    float(tops_st[i]) - _mean([float(tops_st[j]) for j in near]),
                    float(lengths_s[i]) / usual_s if usual_s > 0 else math.nan,
                    float(tops_db[i]) - _mean([float(tops_db[j]) for j in near]),
                    _peak_s(reading, spans[i]) if syllables[i].degree != "none" else math.nan,
                    _attack_s(reading, syllables[i].start_s, syllables[i].end_s)
                    if syllables[i].degree != "none"
                    else math.nan,
                )
            )
    return tuple(facts)


def _peak_s(reading: VoiceReading, span: tuple[float, float]) -> float:
    """The later of the moments at which pitch and level are highest in a stretch (seconds)."""
    pitch, loudness = reading.pitch, reading.loudness
    found = [
        _top_s(pitch.hz, pitch.start_s, pitch.step_s, span),
        _top_s(loudness.sonorant_db, loudness.start_s, loudness.step_s, span),
    ]
    known = [t for t in found if math.isfinite(t)]
    return max(known) if known else math.nan


def _attack_s(reading: VoiceReading, start_s: float, end_s: float) -> float:
    """How long the level of a syllable takes from `ATTACK_DB` under its top to the top (seconds).

    NaN where the track does not reach. The measure follows the rise time of a sound's envelope;
    its lower end is our own choice.
    """
    track = reading.loudness
    low = max(int((start_s - track.start_s) / track.step_s), 0)
    part = track.sonorant_db[low : int((end_s - track.start_s) / track.step_s) + 1]
    if len(part) < 2:
        return math.nan
    top = int(np.argmax(part))
    under = np.flatnonzero(part[: top + 1] < float(part[top]) - ATTACK_DB)
    first = int(under[-1]) + 1 if len(under) else 0
    return (top - first) * track.step_s


def _top_s(
    values: NDArray[np.float64], start_s: float, step_s: float, span: tuple[float, float]
) -> float:
    """When a track is first at its highest in a stretch; NaN where it has no value there."""
    low = max(int((span[0] - start_s) / step_s), 0)
    part = values[low : max(int((span[1] - start_s) / step_s), low + 1)]
    if not len(part):
        return math.nan
    top = int(np.argmax(np.where(np.isnan(part), -np.inf, part)))
    return math.nan if math.isnan(part[top]) else start_s + (low + top) * step_s


def _stretches(reading: VoiceReading) -> list[tuple[int, int]]:
    """First and last syllable of each phrase, filled up so that every syllable is in one."""
    cuts = sorted({p.syllables[0] for p in reading.phrases} | {0})
    ends = [*(c - 1 for c in cuts[1:]), len(reading.syllables) - 1]
    return [(a, b) for a, b in zip(cuts, ends, strict=True) if b >= a]


def _mean(values: Sequence[float]) -> float:
    finite = [v for v in values if math.isfinite(v)]
    return sum(finite) / len(finite) if finite else math.nan


def _highest(
    values: NDArray[np.float64], start_s: float, step_s: float, spans: Sequence[tuple[float, float]]
) -> NDArray[np.float64]:
    """The highest value in each span, NaN where the track has none."""
    n = len(values)
    if n < 2:
        return np.full(len(spans), np.nan)
    edges = (np.asarray(spans, dtype=np.float64) - start_s) / step_s
    low = np.clip(edges[:, 0].astype(np.int64), 0, n - 2)
    high = np.clip(edges[:, 1].astype(np.int64), low + 1, n - 1)
    pairs = np.stack([low, high], axis=1).ravel()
    top: NDArray[np.float64] = np.fmax.reduceat(values, pairs)[::2]
    return top
