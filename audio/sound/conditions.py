"""What may spoil a reading, said in plain words: noise, a room, music, a telephone, singing, two.

Each is measured on the sound alone and named from a bound on; what the reading loses is said with
it. Bounds were set on mixtures of known speech with noise, rooms, tones and other speech
(tests/benchmarks/conditions.py says how often each is named, and named wrongly).

- noise: level of the quietest tenth of the clip against the voice.
- bandwidth: the loudest of what lies above 4 kHz against the loudest below.
- room: the quickest falls of the level; in a room nothing falls faster than the room lets it
  (60 dB in its reverberation time).
- tones behind: peaks of the spectrum in the quietest frames; noise has none.
- sung: how much of the voiced time stands on steady notes.
- two at once: what is left between the harmonics of the pitch, in voiced frames, against them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import FloatArray, LoudnessTrack, PitchTrack
from audio.sound.loudness import smooth
from audio.sound.sounding import find_levels, is_whisper, voiced_mask

NOISY_DB, LOUD_NOISE_DB = 17.0, 9.0  # voice over noise
NARROW_DB = -38.0  # loudest above 4 kHz, re the loudest below
ROOM_S = 0.42  # measured like that; a dry voice has 0.1 to 0.27, one in a room of 1 s 0.4 to 0.65
DRY_S = 0.3  # a ringing room fills the space between harmonics as another voice does
ROOM_OVER_NOISE_DB = 22.0  # with less, noise hides how the level falls
TONES_DB = 17.0  # peaks over their surroundings in the quietest frames; noise has 8 to 12
TONES_BEHIND_DB = 32.0  # under the voice, tones are not heard
SUNG = 0.55  # share of the voiced time on steady notes; speech has 0.1 to 0.3
TWO = 0.22  # energy between the harmonics: a dry voice 0.03 (one in ten 0.14), two 0.09 to 0.28
TWO_PERCENT = 90.0  # of the frames: two overlap now and then only
FRAME = 1024  # samples, 64 ms: parts the harmonics of a voice of 80 Hz
MOST_FRAMES = 64  # that a measure looks at, however long the sound
LEAST_VOICED_S = 0.6  # with less voice nothing is said of it
NOTE_S, NOTE_ST = 0.15, 0.35  # a steady note lasts this long within this much
FALL_S = 0.06
LEVEL_SMOOTH_S = 0.02


@dataclass(frozen=True, slots=True)
class Conditions:
    """What was measured; NaN where there is too little sound to tell."""

    over_noise_db: float
    above_4k_db: float
    room_s: float
    tones_db: float
    tones_below_db: float
    sung: float
    between: float
    whispered: bool


def find_conditions(clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack) -> Conditions:
    """All of it, for a clip that holds sound."""
    voiced = voiced_mask(pitch, loudness)
    levels = find_levels(loudness, voiced)
    level = smooth(np.asarray(loudness.db), LEVEL_SMOOTH_S)
    enough = voiced.sum() * loudness.step_s >= LEAST_VOICED_S
    at = _some(np.flatnonzero(voiced))
    quiet = np.argsort(level, kind="stable")[: max(1, len(level) // 8)]
    return Conditions(
        over_noise_db=levels.voice_db - levels.noise_db,
        above_4k_db=_above_4k_db(clip, level, loudness.step_s),
        room_s=room_s(level, levels.noise_db, loudness.step_s) if enough else np.nan,
        tones_db=_tones_db(clip, _some(quiet, 12), loudness.step_s),
        tones_below_db=levels.voice_db - float(np.mean(level[quiet])),
        sung=sung_share(pitch) if enough else np.nan,
        between=between_harmonics(clip, pitch, at, loudness.step_s) if enough else np.nan,
        whispered=is_whisper(voiced),
    )


def _some(at: NDArray[np.intp], most: int = MOST_FRAMES) -> NDArray[np.intp]:
    """Not more than so many of these, evenly chosen."""
    return at[:: max(1, -(-len(at) // most))]


def spectra(clip: VoiceClip, at: NDArray[np.intp], step_s: float) -> FloatArray:
    """Power spectra around steps of the level track. Shape (len(at), FRAME // 2 + 1)."""
    samples = np.pad(clip.samples, FRAME // 2)
    starts = np.round(at * step_s * ANALYSIS_RATE_HZ).astype(int)
    starts = np.clip(starts, 0, max(len(samples) - FRAME, 0))
    frames = samples[starts[:, None] + np.arange(FRAME)].astype(np.float64)
    power: FloatArray = np.abs(np.fft.rfft(frames * np.hanning(FRAME), axis=1)) ** 2
    return power


def _above_4k_db(clip: VoiceClip, level: FloatArray, step_s: float) -> float:
    """The loudest there is from 4.2 to 7.5 kHz, re the loudest from 0.3 to 3.4 kHz."""
    loud = _some(np.flatnonzero(level > np.percentile(level, 40)))
    if not len(loud):
        return 0.0
    hz = np.fft.rfftfreq(FRAME, 1 / ANALYSIS_RATE_HZ)
    power = spectra(clip, loud, step_s)
    high = power[:, (hz > 4200) & (hz < 7500)].mean(axis=1)
    low = power[:, (hz > 300) & (hz < 3400)].mean(axis=1)
    return 10 * float(
        np.log10((np.percentile(high, 95) + 1e-20) / (np.percentile(low, 95) + 1e-20))
    )


def room_s(level: FloatArray, noise_db: float, step_s: float) -> float:
    """Reverberation time from the quickest falls of the level, seconds; NaN where none is deep."""
    lag = round(FALL_S / step_s)
    if len(level) <= lag:
        return float("nan")
    fall = level[:-lag] - level[lag:]
    deep = (fall > 2.0) & (level[lag:] > noise_db + 6.0)
    if deep.sum() < 10:
        return float("nan")
    return 60.0 * FALL_S / float(np.percentile(fall[deep], 90))


def _tones_db(clip: VoiceClip, at: NDArray[np.intp], step_s: float) -> float:
    """How far peaks stand over their surroundings, 150 to 3000 Hz, in these frames (median)."""
    hz = np.fft.rfftfreq(FRAME, 1 / ANALYSIS_RATE_HZ)
    power = spectra(clip, at, step_s)[:, (hz > 150) & (hz < 3000)]
    if power.max(initial=0.0) < 1e-9:
        return 0.0
    db = 10 * np.log10(power + 1e-12)
    around = np.median(np.lib.stride_tricks.sliding_window_view(db, 21, axis=1), axis=2)
    over = db[:, 10:-10] - around
    return float(np.median(np.sort(over, axis=1)[:, -4]))


def sung_share(pitch: PitchTrack) -> float:
    """Share of the voiced time that stands on notes of NOTE_S or more."""
    st = 12 * np.log2(pitch.hz)
    size = round(NOTE_S / pitch.step_s)
    if len(st) < size:
        return 0.0
    windows = np.lib.stride_tricks.sliding_window_view(st, size)
    steady = windows.max(axis=1) - windows.min(axis=1) < 2 * NOTE_ST  # NaN compares as False
    on_note = np.convolve(steady, np.ones(size)) > 0
    return float(on_note.sum() / max(1, np.isfinite(st).sum()))


def between_harmonics(
    clip: VoiceClip, pitch: PitchTrack, at: NDArray[np.intp], step_s: float
) -> float:
    """Share of the energy from 150 to 1500 Hz that lies between the harmonics of the pitch.

    at : steps of the level track where the voice has a pitch. A high percentile of the steadier
    frames.
    """
    reach = round(FRAME / 2 / ANALYSIS_RATE_HZ / step_s)
    hz = pitch.hz
    inside = [n for n in at if reach <= n < len(hz) - reach]
    if len(inside) < 10:
        return float("nan")
    here = np.array([hz[n - reach : n + reach + 1] for n in inside])
    steady = np.isfinite(here).all(axis=1)
    steady[steady] = np.ptp(12 * np.log2(here[steady]), axis=1) < 1.0
    steady &= here[:, reach] > 90.0  # lower, the harmonics run together
    chosen = np.array(inside)[steady]
    if len(chosen) < 10:
        return float("nan")
    bins = np.fft.rfftfreq(FRAME, 1 / ANALYSIS_RATE_HZ)
    band = (bins > 150) & (bins < 1500)
    power = spectra(clip, chosen, step_s)[:, band]
    order = bins[band] / hz[chosen][:, None]
    away_hz = np.abs(order - np.round(order)) * hz[chosen][:, None]
    width_hz = 2.0 * ANALYSIS_RATE_HZ / FRAME  # half the main lobe of the window
    between = np.where(away_hz > width_hz + 0.01 * bins[band], power, 0.0)
    room = (away_hz > width_hz + 0.01 * bins[band]).mean(axis=1)
    share = between.sum(axis=1) / power.sum(axis=1) / np.maximum(room, 0.05)
    return float(np.percentile(share, TWO_PERCENT))


def warnings_of(found: Conditions) -> Iterable[str]:
    """What to say, the gravest first."""
    rings = found.room_s > ROOM_S and found.over_noise_db >= ROOM_OVER_NOISE_DB
    if found.whispered:
        yield "whispered: stress is read from level and length alone, and is less sure"
    if found.over_noise_db < LOUD_NOISE_DB:
        yield "hardly more voice than noise: what is read here is mostly guessed"
    elif found.between > TWO and found.over_noise_db >= ROOM_OVER_NOISE_DB and found.room_s < DRY_S:
        yield "there may be two people at once: words and stresses of the louder one, at best"
    elif found.tones_db > TONES_DB and found.tones_below_db < TONES_BEHIND_DB:
        yield "music or tones behind the voice: pauses and breaths may be missed"
    elif found.over_noise_db < NOISY_DB:
        yield "noise under the voice: breaths may be missed, word ends lie less exactly"
    if rings:
        yield "the room rings on after the voice: word ends may lie late, short pauses be missed"
    if found.above_4k_db < NARROW_DB:
        yield "nothing above 4 kHz, as on a telephone: s, f and th are heard less well"
    if found.sung > SUNG:
        yield "the pitch stands on steady notes, as if sung: stress is read less surely"
