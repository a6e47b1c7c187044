"""A voice made to lean on one syllable, by Praat's overlap-add: where the truth is known.

Takes recorded (or synthetic) speech and moves pitch, length and level of one syllable, nothing
else; what was moved is the truth that a stress finder is asked for. Sounds are shape (n,) float64.
The move is smooth (raised cosine at both edges), as an accent is. This proves that a cue is heard,
not that people lean in this way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

EDGE_S = 0.04  # s: ramp of pitch and level at both ends
FLOOR_HZ, CEILING_HZ = 60.0, 500.0
SEED_PRAAT = "random_initializeWithSeedUnsafelyButPredictably (11)"  # overlap-add draws at random

Stretch = tuple[float, float, float]  # start s, end s, times longer


@dataclass(frozen=True, slots=True)
class Move:
    """What is done to a syllable: semitones up, times longer, dB louder."""

    pitch_st: float = 0.0
    length: float = 1.0
    gain_db: float = 0.0


def bump(times_s: np.ndarray, start_s: float, end_s: float) -> np.ndarray:
    """1 within [start, end], 0 outside, raised cosine of EDGE_S at both ends."""
    rise = np.clip((times_s - (start_s - EDGE_S)) / EDGE_S, 0, 1)
    fall = np.clip(((end_s + EDGE_S) - times_s) / EDGE_S, 0, 1)
    return (0.5 - 0.5 * np.cos(np.pi * rise)) * (0.5 - 0.5 * np.cos(np.pi * fall))


def lean_on(
    sound: np.ndarray, rate_hz: int, span_s: tuple[float, float], vowel_s: float, move: Move
) -> np.ndarray:
    """The sound with one syllable moved.

    span_s : its start and end; vowel_s : onset of its vowel, from which the length is stretched
    (onset consonants keep theirs).
    """
    import parselmouth
    from parselmouth.praat import call

    parselmouth.praat.run(SEED_PRAAT)
    times = np.arange(len(sound)) / rate_hz
    gain = 10 ** (move.gain_db * bump(times, *span_s) / 20)
    source = parselmouth.Sound(sound * gain, rate_hz)
    work = call(source, "To Manipulation", 0.005, FLOOR_HZ, CEILING_HZ)
    if move.pitch_st:
        tier = call(work, "Extract pitch tier")
        lifted = call("Create PitchTier", "lifted", 0.0, source.duration)
        for n in range(1, int(call(tier, "Get number of points")) + 1):
            at = call(tier, "Get time from index", n)
            up = move.pitch_st * float(bump(np.array([at]), *span_s)[0])
            call(lifted, "Add point", at, call(tier, "Get value at index", n) * 2 ** (up / 12))
        call([lifted, work], "Replace pitch tier")
    if move.length != 1.0:
        _replace_lengths(work, source.duration, [(vowel_s, span_s[1], move.length)])
    result: np.ndarray = call(work, "Get resynthesis (overlap-add)").values[0]
    return result


def levelled(
    sound: np.ndarray,
    rate_hz: int,
    vowels_s: np.ndarray,
    *,
    keep: float = 0.4,
    stretches: Sequence[Stretch] = (),
) -> np.ndarray:
    """The same reading said flatly: what other accents it has is held back.

    vowels_s : onset of every vowel. Pitch keeps its falling line and `keep` of what departs from
    it; vowels keep `keep` of their differences in level; `stretches` change lengths (see
    `even_lengths`), without them times stay. As around a contrast, where the rest of the phrase is
    compressed (Xu & Xu 2005, J. Phonetics 33:159).
    """
    import parselmouth
    from parselmouth.praat import call

    parselmouth.praat.run(SEED_PRAAT)
    levels = np.array([_vowel_db(sound, rate_hz, at) for at in vowels_s])
    even_db = np.clip((1 - keep) * (np.median(levels) - levels), -6.0, 8.0)
    times = np.arange(len(sound)) / rate_hz
    gain = 10 ** (np.interp(times, vowels_s + 0.05, even_db) / 20)
    source = parselmouth.Sound(sound * gain, rate_hz)
    work = call(source, "To Manipulation", 0.005, FLOOR_HZ, CEILING_HZ)
    tier = call(work, "Extract pitch tier")
    count = int(call(tier, "Get number of points"))
    at = np.array([call(tier, "Get time from index", n) for n in range(1, count + 1)])
    hz = np.array([call(tier, "Get value at index", n) for n in range(1, count + 1)])
    line = np.polyval(np.polyfit(at, np.log(hz), 1), at)
    flat = call("Create PitchTier", "flat", 0.0, source.duration)
    for time_s, value in zip(at, np.exp(line + keep * (np.log(hz) - line)), strict=True):
        call(flat, "Add point", float(time_s), float(value))
    call([flat, work], "Replace pitch tier")
    if stretches:
        _replace_lengths(work, source.duration, stretches)
    result: np.ndarray = call(work, "Get resynthesis (overlap-add)").values[0]
    return result


def even_lengths(
    spans_s: Sequence[tuple[float, float]], lengths_log: np.ndarray, *, keep: float
) -> list[Stretch]:
    """What brings syllables near the length their phones lead one to expect.

    spans_s : start and end of each syllable; lengths_log : log of heard over expected length, shape
    (n,). `keep` of what departs from the median is left; no syllable changes by more than 1.6.
    """
    factors = np.exp(-(1 - keep) * (lengths_log - np.median(lengths_log))).clip(1 / 1.6, 1.6)
    return [(a, b, float(f)) for (a, b), f in zip(spans_s, factors, strict=True) if b - a > 0.03]


def after_stretches(at_s: float, stretches: Sequence[Stretch]) -> float:
    """Where a time of the untouched sound lies after its lengths were changed."""
    return at_s + sum((f - 1) * (min(at_s, b) - a) for a, b, f in stretches if a < at_s)


def _replace_lengths(work: Any, duration_s: float, stretches: Sequence[Stretch]) -> None:
    from parselmouth.praat import call

    tier = call("Create DurationTier", "lengths", 0.0, duration_s)
    edge_s = 0.002
    kept = sorted(stretches)
    for number, (start_s, end_s, factor) in enumerate(kept):
        if number == 0 or kept[number - 1][1] < start_s - edge_s:
            call(tier, "Add point", start_s - edge_s, 1.0)
        call(tier, "Add point", start_s + edge_s, factor)
        call(tier, "Add point", end_s - edge_s, factor)
        if number + 1 == len(kept) or kept[number + 1][0] > end_s + edge_s:
            call(tier, "Add point", end_s + edge_s, 1.0)
    call([tier, work], "Replace duration tier")


def _vowel_db(sound: np.ndarray, rate_hz: int, at_s: float) -> float:
    part = sound[int(at_s * rate_hz) : int((at_s + 0.09) * rate_hz)]
    return 10 * float(np.log10(np.mean(part**2) + 1e-9)) if len(part) else -90.0


def with_noise(sound: np.ndarray, snr_db: float, seed: int) -> np.ndarray:
    """The sound with pink-ish noise under it, at a ratio to the sounding part's power."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft(rng.standard_normal(len(sound)))
    shape = 1 / np.sqrt(np.maximum(np.arange(len(spectrum)), len(spectrum) // 400 + 1))
    noise = np.fft.irfft(spectrum * shape, len(sound))
    power = sound**2
    sounding = power[power > 0.01 * power.max()].mean() if len(sound) else 0.0
    speech = np.mean(power[np.abs(sound) > 0.02 * np.abs(sound).max()]) or sounding
    noise *= np.sqrt(speech / np.mean(noise**2)) * 10 ** (-snr_db / 20)
    return sound + noise
