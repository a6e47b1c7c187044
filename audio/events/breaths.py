"""Breaths and sighs: air that is heard, and is no consonant.

breath : unvoiced noise, 0.15-1.2 s, of a smooth swell, on all bands (a hiss that stands out at the
         top is an "s"), 8-40 dB below the voice, and apart from it: a consonant touches its vowel.
sigh   : a breath let go, 0.45-2 s, loud at the start and falling; it may begin with a falling tone
         that dissolves into noise.

Method: stretches without pitch that stand clear of the clip's noise, described by length, level,
slope and spectrum; each description is worth a share of the certainty (0..1; no measured
probability). Breaths under the room's noise or under music are not found. Source of the ranges: an
in-breath lasts under 1 s (Autesserre et al. 1989), before speech 0.5-0.6 s (from memory); levels
are from common practice in dialogue editing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import LoudnessTrack, PitchTrack, VoiceEvent
from audio.sound.loudness import STEP_S, band_levels, smooth
from audio.sound.sounding import find_levels, is_whisper, pitch_on_grid
from audio.voice.pitch_repair import runs

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SMOOTH_S = 0.04
CLEAR_DB = 4.0  # above the clip's noise
BRIDGE_S = 0.03
SEAM_DB = 6.0
BREATH_S = (0.15, 1.2)
SIGH_S = (0.45, 2.0)
LEVEL_DB = (-42.0, -34.0, -10.0, -5.0)  # re the voice: nothing, sure from, sure to, nothing
TOUCHES_S = 0.025  # nearer to voice than this, it is part of a syllable
LONG_CONSONANT_S = 0.28  # ... unless no consonant lasts as long
HISS_HZ = ((500.0, 2500.0), (3500.0, 8000.0))
HISS_DB = 8.0  # upper band over lower: above it a sibilant
ROUGH_DB = 4.0  # departure from a smooth swell, root mean square
SWELLS_DB = 4.0  # what stays as loud as it is, is room
BEFORE_SPEECH_S = 0.6
SIGH_FALL_DB = 8.0
SIGH_EARLY = 0.45  # its loudest point lies in this first share
SIGH_TAIL_S = 0.15  # of noise after its tone
SWELL_DB = 3.0  # a second swell this high is a second syllable
SIGH_TONE_ST = 2.0  # how far the tone of a voiced sigh falls at least
LEAST_CERTAINTY = 0.35


@dataclass(frozen=True, slots=True)
class _Air:
    """A stretch of noise between voiced stretches."""

    first: int
    last: int  # half-open
    level_db: float  # its loudest, re the voice
    rough_db: float
    swell_db: float  # from softest to loudest in its middle three quarters
    fall_db: float  # from its loudest to its end
    early: float  # where its loudest lies, 0..1
    hiss_db: float
    after_voice_s: float
    before_voice_s: float

    @property
    def length_s(self) -> float:
        return (self.last - self.first) * STEP_S


def find_breaths(
    clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack, taken: BoolArray
) -> tuple[VoiceEvent, ...]:
    """Breaths and sighs in order of time. taken : where words or other events stand."""
    hz = pitch_on_grid(pitch, loudness)
    voiced = np.isfinite(hz)
    if len(hz) < 50 or is_whisper(voiced):
        return ()
    levels = find_levels(loudness, voiced)
    level = smooth(np.asarray(loudness.db), SMOOTH_S)
    clear = level > levels.noise_db + CLEAR_DB
    found = [e for e in _toned_sighs(hz, level, clear, taken) if e.certainty >= LEAST_CERTAINTY]
    busy = taken.copy()
    for event in found:
        busy[round(event.start_s / STEP_S) : round(event.end_s / STEP_S)] = True
    for first, last in _parted(level, runs(_bridged(clear & ~voiced) & ~voiced)):
        if BREATH_S[0] <= (last - first) * STEP_S <= SIGH_S[1] and busy[first:last].mean() < 0.4:
            event_or_none = _as_event(_describe(clip, level, voiced, levels.voice_db, first, last))
            if event_or_none is not None:
                found.append(event_or_none)
    return tuple(sorted(found, key=lambda e: e.start_s))


def _bridged(mask: BoolArray) -> BoolArray:
    """The mask with gaps shorter than BRIDGE_S closed."""
    result = mask.copy()
    for first, last in runs(~mask):
        if first > 0 and last < len(mask) and (last - first) * STEP_S < BRIDGE_S:
            result[first:last] = True
    return result


def _parted(level: FloatArray, stretches: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The stretches, cut at dips of SEAM_DB: a breath and the "s" after it are two things."""
    from scipy.signal import find_peaks

    result: list[tuple[int, int]] = []
    for first, last in stretches:
        seams, _ = find_peaks(-level[first:last], prominence=SEAM_DB)
        edges = [first, *(first + int(n) for n in seams), last]
        result.extend(pairwise(edges))
    return result


def _describe(
    clip: VoiceClip, level: FloatArray, voiced: BoolArray, voice_db: float, first: int, last: int
) -> _Air:
    part = level[first:last]
    at = np.linspace(-1.0, 1.0, len(part))
    swell = np.polyval(np.polyfit(at, part, 3), at)
    core = part[len(part) // 8 : -(len(part) // 8)]
    loudest = int(part.argmax())
    step = round(STEP_S * ANALYSIS_RATE_HZ)
    sound = replace(clip, samples=clip.samples[first * step : last * step])
    bands = 10.0 * np.log10(np.mean(10.0 ** (band_levels(sound, HISS_HZ) / 10.0), axis=0))
    left = np.flatnonzero(voiced[:first])
    right = np.flatnonzero(voiced[last:])
    return _Air(
        first, last, float(part.max()) - voice_db,
        float(np.sqrt(np.square(part - swell).mean())), float(np.ptp(core)),
        float(part.max() - part[-3:].mean()),
        loudest / max(1, len(part) - 1), float(bands[1] - bands[0]),
        (first - left[-1] - 1) * STEP_S if len(left) else np.inf,
        right[0] * STEP_S if len(right) else np.inf,
    )  # fmt: skip


def _as_event(air: _Air) -> VoiceEvent | None:
    """A breath, a sigh, or None where it is a consonant or room."""
    touches = min(air.after_voice_s, air.before_voice_s) < TOUCHES_S
    if air.swell_db < SWELLS_DB or (touches and air.length_s < LONG_CONSONANT_S):
        return None
    if air.after_voice_s < TOUCHES_S and air.before_voice_s < TOUCHES_S:
        return None
    marks = [
        float(np.interp(air.level_db, LEVEL_DB, (0.0, 1.0, 1.0, 0.0))),
        float(np.clip((HISS_DB - air.hiss_db) / 6.0, 0.0, 1.0)),
        float(np.clip(1.5 - air.rough_db / ROUGH_DB, 0.0, 1.0)),
        float(np.interp(air.length_s, (BREATH_S[0], 0.25, 1.0, 2.0), (0.3, 1.0, 1.0, 0.5))),
    ]
    if min(marks) <= 0.0:
        return None
    start_s, end_s = air.first * STEP_S, air.last * STEP_S
    let_go = (
        air.length_s >= SIGH_S[0]
        and air.early <= SIGH_EARLY
        and air.fall_db >= SIGH_FALL_DB
        and air.before_voice_s > 0.1
    )
    if let_go:
        marks.append(float(np.clip(air.fall_db / 14.0, 0.0, 1.0)))
        return _kept("sigh", start_s, end_s, float(np.mean(marks)))
    if air.length_s > BREATH_S[1]:
        return None
    marks.append(1.0 if air.before_voice_s <= BEFORE_SPEECH_S else 0.6)
    marks.append(0.4 if touches else 1.0)
    return _kept("breath", start_s, end_s, float(np.mean(marks)))


def _kept(kind: str, start_s: float, end_s: float, certainty: float) -> VoiceEvent | None:
    if certainty < LEAST_CERTAINTY:
        return None
    return VoiceEvent("sigh" if kind == "sigh" else "breath", start_s, end_s, certainty)


def _toned_sighs(
    hz: FloatArray, level: FloatArray, clear: BoolArray, taken: BoolArray
) -> list[VoiceEvent]:
    """Sighs that begin with a tone: alone, one falling tone, then noise that falls on."""
    from scipy.signal import find_peaks

    found = []
    sounding = _bridged(clear | np.isfinite(hz))
    for first, last in runs(sounding):
        if not SIGH_S[0] <= (last - first) * STEP_S <= SIGH_S[1] or taken[first:last].mean() > 0.4:
            continue
        part, tone = level[first:last], hz[first:last]
        heard = np.flatnonzero(np.isfinite(tone))
        if len(heard) < 10 or heard[-1] > 0.85 * len(part):
            continue
        fall_st = 12.0 * np.log2(np.median(tone[heard[:8]]) / np.median(tone[heard[-8:]]))
        tail_s = (len(part) - 1 - heard[-1]) * STEP_S
        early = part.argmax() / len(part)
        down = np.diff(smooth(part, 0.12)[int(part.argmax()) :])
        falling = float((down < 0.05).mean()) if len(down) else 0.0
        swells, _ = find_peaks(np.pad(part, 1, constant_values=-np.inf), prominence=SWELL_DB)
        if fall_st < SIGH_TONE_ST or tail_s < SIGH_TAIL_S or early > SIGH_EARLY:
            continue
        if falling < 0.75 or len(swells) != 1:
            continue
        certainty = float(
            np.mean([min(1.0, fall_st / 6.0), min(1.0, tail_s / 0.3), falling, 1.0 - early])
        )
        found.append(VoiceEvent("sigh", first * STEP_S, last * STEP_S, certainty))
    return found
