"""What the sound says about each syllable: pitch, level and length against the neighbours.

Every cue comes in the unit of its ear: semitones, decibels, natural log of a length ratio. Each is
taken twice, as the syllable against those beside it and as a wavelet response at word scale
(`prominence_wavelet`). Times in seconds on a 10 ms grid; arrays have shape (syllables,).

Method: pitch peaks over the phrase's falling line (declination: 't Hart, Collier & Cohen 1990),
movement within the syllable, and dips for low accents; peak of the sonorant band; spectral balance
(Sluijter & van Heuven 1996, JASA 100:2471: stressed vowels carry more level above 500 Hz).
Only differences are used, so that gain and the speaker's own register change nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.expected_length import bare, length_ratios, phones_of
from audio.prominence_wavelet import prominence_at
from audio.reading import FloatArray, LoudnessTrack, PitchTrack, Syllable, Word

STEP_S = 0.01  # s: grid of the contours
LATE_PEAK_S = 0.08  # s: an accent's peak may come this long after its syllable (Ladd 2008)
MOST_ST = 12.0  # semitones: farther from the phrase's line is taken as a tracker's slip
STEEPEST_ST_PER_S = (-6.0, 1.0)  # range a phrase's line may have
LINE_SYLLABLES = 4.0  # syllables' worth of doubt about that line
RANGE_DB = 30.0  # dB under the loudest that still counts
REACH = 3  # neighbours on either side
TILT_FRAME = 1024  # samples, 64 ms
TILT_SPLIT_HZ = (80.0, 500.0, 3500.0)  # bands compared (Sluijter & van Heuven: from 500 Hz up)
VOWEL_DB = {
    "AA": 2.0, "AE": 1.5, "AO": 2.0, "AW": 1.5, "AY": 1.5, "AH": 0.5, "EH": 0.5, "ER": -0.5,
    "EY": -0.5, "IH": -1.0, "IY": -2.0, "OW": 0.5, "OY": 0.5, "UH": -1.5, "UW": -2.5,
}  # fmt: skip  # dB against the mean vowel (rounded after Lehiste & Peterson 1959, JASA 31:428)


@dataclass(frozen=True, slots=True)
class Cues:
    """Cues of all syllables. Shape (n,) each; see the module for what they mean."""

    pitch_height_st: FloatArray
    pitch_move_st: FloatArray
    pitch_dip_st: FloatArray
    pitch_wave_st: FloatArray
    level_db: FloatArray
    level_wave_db: FloatArray
    tilt_db: FloatArray
    length_log: FloatArray
    length_wave_log: FloatArray


def hear_cues(
    syllables: Sequence[Syllable],
    words: Sequence[Word],
    pitch: PitchTrack,
    loudness: LoudnessTrack,
    phrases: Sequence[tuple[int, int]],
    clip: VoiceClip,
) -> Cues:
    """All cues of all syllables. phrases : first and last syllable, inclusive, in order."""
    nuclei = np.array([s.nucleus_s for s in syllables])
    ends = np.array([max(s.end_s, s.nucleus_s + 0.04) for s in syllables])
    middles = np.minimum((nuclei + ends) / 2, nuclei + 0.1)
    contour, voiced = pitch_contour(pitch, clip.duration_s)
    contour = level_phrases(contour, voiced, syllables, phrases)
    height, move, dip = _pitch_cues(contour, voiced, syllables, phrases)
    wave = prominence_at(contour, STEP_S, middles)
    band = level_contour(loudness, clip.duration_s)
    peaks = _peaks(band, nuclei - 0.01, np.minimum(ends, nuclei + 0.15))
    peaks -= np.array([_vowel_db(s, words) for s in syllables])
    level_wave = prominence_at(band, STEP_S, middles)
    ratios = length_ratios(syllables, words, phrases)
    tilt = spectral_tilt(clip, middles)
    return Cues(
        pitch_height_st=height,
        pitch_move_st=move,
        pitch_dip_st=dip,
        pitch_wave_st=wave[1:].mean(axis=0),
        level_db=against_neighbours(peaks, phrases),
        level_wave_db=against_neighbours(level_wave[2:].mean(axis=0), phrases),
        tilt_db=against_neighbours(tilt, phrases),
        length_log=ratios,
        length_wave_log=_length_wave(ratios, middles, clip.duration_s),
    )


def pitch_contour(pitch: PitchTrack, duration_s: float) -> tuple[FloatArray, FloatArray]:
    """Semitones around the speaker's median on the grid, gaps bridged; and where it is voiced."""
    times = np.arange(0.0, max(duration_s, STEP_S) + STEP_S / 2, STEP_S)
    good = np.isfinite(pitch.hz) & (pitch.hz > 0)
    if good.sum() < 3:
        return np.zeros(len(times)), np.zeros(len(times))
    heard_s = pitch.times_s()[good]
    st = 12 * np.log2(pitch.hz[good] / np.median(pitch.hz[good]))
    contour = np.interp(times, heard_s, st)
    kernel = np.hanning(7)[1:-1]
    contour = np.convolve(np.pad(contour, 2, mode="edge"), kernel / kernel.sum(), mode="valid")
    nearest = np.searchsorted(heard_s, times).clip(1, len(heard_s) - 1)
    gap = np.minimum(np.abs(times - heard_s[nearest - 1]), np.abs(times - heard_s[nearest]))
    return contour, (gap < STEP_S).astype(np.float64)


def level_phrases(
    contour: FloatArray,
    voiced: FloatArray,
    syllables: Sequence[Syllable],
    phrases: Sequence[tuple[int, int]],
) -> FloatArray:
    """The contour with every phrase's own falling line taken away."""
    times = np.arange(len(contour)) * STEP_S
    centre = float(np.median(contour[voiced > 0])) if voiced.any() else 0.0
    out = contour - centre
    for number, (first, last) in enumerate(phrases):
        span = (syllables[first].start_s, syllables[last].end_s)
        inside = (times >= span[0]) & (times <= span[1])
        heard = inside & (voiced > 0)
        if heard.sum() < 3:
            continue
        slope, middle_s, middle_st = _line(times[heard], contour[heard], last - first + 1, centre)
        left = 0.0 if number == 0 else _halfway(syllables, phrases[number - 1][1], first)
        right = times[-1] if number + 1 == len(phrases) else _halfway(syllables, last, last + 1)
        own = (times >= left) & (times <= right)
        line = middle_st + slope * (np.clip(times[own], *span) - middle_s)
        out[own] = contour[own] - line
    return np.clip(out, -MOST_ST, MOST_ST)


def _halfway(syllables: Sequence[Syllable], before: int, after: int) -> float:
    return (syllables[before].end_s + syllables[after].start_s) / 2


def _line(
    times: FloatArray, st: FloatArray, count: int, centre: float
) -> tuple[float, float, float]:
    """Slope in semitones a second, and a point of the line (s, semitones), both held back."""
    middle = float(times.mean())
    spread = float(np.sum((times - middle) ** 2))
    slope = float(np.sum((times - middle) * (st - st.mean()))) / max(spread, 1e-9)
    slope = float(np.clip(slope, *STEEPEST_ST_PER_S)) * count / (count + LINE_SYLLABLES)
    level = float(np.median(st))
    return slope, middle, (count * level + centre) / (count + 1)


def _pitch_cues(
    contour: FloatArray,
    voiced: FloatArray,
    syllables: Sequence[Syllable],
    phrases: Sequence[tuple[int, int]],
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Height over the neighbours, movement within, dip under the neighbours. In semitones."""
    n = len(syllables)
    high, low, middle = np.zeros(n), np.zeros(n), np.zeros(n)
    for i, syllable in enumerate(syllables):
        part = _voiced_part(contour, voiced, syllable.nucleus_s, syllable.end_s + LATE_PEAK_S)
        inner = _voiced_part(contour, voiced, syllable.nucleus_s, syllable.end_s)
        high[i], low[i] = np.percentile(part, 90), np.percentile(inner, 10)
        middle[i] = np.median(inner)
    move = np.maximum(high - low, 0.0)
    height = against_neighbours(0.5 * high + 0.5 * middle, phrases)
    dip = np.maximum(-against_neighbours(low, phrases), 0.0)
    for _, last in phrases:  # a phrase's last fall is its ending, not a low accent
        dip[last] = 0.0
    return height, move, dip


def _voiced_part(
    contour: FloatArray, voiced: FloatArray, start_s: float, end_s: float
) -> FloatArray:
    first = min(max(round(start_s / STEP_S), 0), len(contour) - 1)
    last = max(first + 1, round(end_s / STEP_S) + 1)
    part, sure = contour[first:last], voiced[first:last] > 0
    return part[sure] if sure.sum() >= 2 else part


def level_contour(loudness: LoudnessTrack, duration_s: float) -> FloatArray:
    """The sonorant band's level on the grid, cut off RANGE_DB under its loudest."""
    times = np.arange(0.0, max(duration_s, STEP_S) + STEP_S / 2, STEP_S)
    if not len(loudness.sonorant_db):
        return np.zeros(len(times))
    band = np.interp(times, loudness.times_s(), loudness.sonorant_db)
    return np.maximum(band, np.percentile(band, 98) - RANGE_DB)


def _peaks(signal: FloatArray, starts_s: FloatArray, ends_s: FloatArray) -> FloatArray:
    out = np.zeros(len(starts_s))
    for i, (start, end) in enumerate(zip(starts_s, ends_s, strict=True)):
        first = min(max(round(start / STEP_S), 0), len(signal) - 1)
        out[i] = signal[first : max(first + 1, round(end / STEP_S) + 1)].max()
    return out


def _vowel_db(syllable: Syllable, words: Sequence[Word]) -> float:
    names = [bare(p) for p in phones_of(syllable, words)]
    return next((VOWEL_DB[name] for name in names if name in VOWEL_DB), 0.0)


def spectral_tilt(clip: VoiceClip, middles_s: FloatArray) -> FloatArray:
    """Level above 500 Hz against below, in dB, in 64 ms around each time. Shape (n,)."""
    samples = np.pad(clip.samples.astype(np.float64), TILT_FRAME)
    starts = np.round(middles_s * ANALYSIS_RATE_HZ).astype(int) + TILT_FRAME // 2
    starts = np.clip(starts, 0, len(samples) - TILT_FRAME)
    frames = samples[starts[:, None] + np.arange(TILT_FRAME)] * np.hanning(TILT_FRAME)
    power = np.abs(np.fft.rfft(frames, axis=1)) ** 2
    hz = np.fft.rfftfreq(TILT_FRAME, 1 / ANALYSIS_RATE_HZ)
    low, split, high = TILT_SPLIT_HZ
    under = power[:, (hz >= low) & (hz < split)].sum(axis=1) + 1e-12
    over = power[:, (hz >= split) & (hz < high)].sum(axis=1) + 1e-12
    return 10 * np.log10(over / under)


def _length_wave(ratios: FloatArray, middles_s: FloatArray, duration_s: float) -> FloatArray:
    times = np.arange(0.0, max(duration_s, STEP_S) + STEP_S / 2, STEP_S)
    signal = np.interp(times, middles_s, ratios) if len(ratios) else np.zeros(len(times))
    return prominence_at(signal, STEP_S, middles_s)[1:].mean(axis=0)


def against_neighbours(values: FloatArray, phrases: Sequence[tuple[int, int]]) -> FloatArray:
    """Each value less the mean of its neighbours in the phrase, nearer ones counting more.

    A syllable alone in its phrase is compared with the nearest syllables of other phrases.
    """
    n = len(values)
    phrase_of = np.zeros(n, dtype=int)
    for number, (first, last) in enumerate(phrases):
        phrase_of[first : last + 1] = number
    total, weight = np.zeros(n), np.zeros(n)
    for step in range(1, REACH + 1):
        for sign in (-1, 1):
            other = np.arange(n) + sign * step
            there = (other >= 0) & (other < n)
            own = np.where(there, other, 0)
            same = phrase_of[own] == phrase_of
            share = np.where(there, np.where(same, 1.0, 0.15), 0.0) * 0.75 ** (step - 1)
            total += share * values[own]
            weight += share
    return np.where(weight > 0, values - total / np.maximum(weight, 1e-9), 0.0)
