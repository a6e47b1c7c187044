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
from audio.reading import FloatArray, LoudnessTrack, PitchTrack, Syllable, Word
from audio.stress.expected_length import VOWELS, bare, length_ratios, phones_of
from audio.stress.expected_sound import (
    FALL_DB,
    FIRST_ST,
    LAST_LEVEL_DB,
    LAST_TILT_DB,
    VOWEL_LEVEL_DB,
    VOWEL_TILT_DB,
)
from audio.stress.prominence_wavelet import prominence_at

STEP_S = 0.01  # s: grid of the contours
LATE_PEAK_S = 0.06  # s: an accent's peak may come this long after its syllable (Ladd 2008)
MOST_ST = 10.0  # semitones: higher over the phrase's line is taken as a tracker's slip
LEAST_ST = -4.5  # lower under it is taken as creak, whose depth says nothing
STEEPEST_ST_PER_S = (-6.0, 1.0)  # range a phrase's line may have
LINE_SYLLABLES = 4.0  # syllables' worth of doubt about that line
NUCLEUS_S = 0.13  # s of a vowel that say how loud it is
ACROSS = 0.15  # how much a neighbour beyond a pause counts
WORD_SCALES_S = (0.17,)  # s: a word and its neighbours
RANGE_DB = 30.0  # dB under the loudest that still counts
TILT_FRAME = 1024  # samples, 64 ms
TILT_BLOCK = 128  # syllables
TILT_SPLIT_HZ = (80.0, 500.0, 3500.0)  # bands compared (Sluijter & van Heuven: from 500 Hz up)


@dataclass(frozen=True, slots=True)
class Cues:
    """Cues of all syllables. Shape (n,) each; see the module for what they mean."""

    pitch_body_st: FloatArray
    pitch_top_st: FloatArray
    pitch_move_st: FloatArray
    pitch_wave_st: FloatArray
    level_db: FloatArray
    level_wave_db: FloatArray
    tilt_db: FloatArray
    length_log: FloatArray
    vowel_log: FloatArray
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
    body, top, move = _pitch_cues(contour, voiced, syllables, phrases)
    place, last = _places(phrases, len(syllables))
    vowels = [_vowel(s, words) for s in syllables]
    level = _nucleus_levels(level_contour(loudness, clip.duration_s), nuclei, ends)
    level -= np.array([VOWEL_LEVEL_DB.get(v, 0.0) for v in vowels])
    level += FALL_DB * place - LAST_LEVEL_DB * last
    tilt = spectral_tilt(clip, middles) - np.array([VOWEL_TILT_DB.get(v, 0.0) for v in vowels])
    whole, vowel = length_ratios(syllables, words, phrases)
    return Cues(
        pitch_body_st=body,
        pitch_top_st=top,
        pitch_move_st=move,
        pitch_wave_st=prominence_at(contour, STEP_S, middles)[1:3].mean(axis=0),
        level_db=level,
        level_wave_db=_wave_between(level, middles, clip.duration_s),
        tilt_db=tilt - LAST_TILT_DB * last,
        length_log=whole,
        vowel_log=vowel,
        length_wave_log=_wave_between(whole, middles, clip.duration_s),
    )


def _places(phrases: Sequence[tuple[int, int]], count: int) -> tuple[FloatArray, FloatArray]:
    """How far along its phrase each syllable stands, 0..1, and 1 where it is the last."""
    place, last = np.zeros(count), np.zeros(count)
    for first, final in phrases:
        place[first : final + 1] = np.linspace(0.0, 1.0, final - first + 1)
        last[final] = 1.0
    return place, last


def _vowel(syllable: Syllable, words: Sequence[Word]) -> str:
    return next((n for n in map(bare, phones_of(syllable, words)) if n in VOWELS), "")


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
    times = np.arange(len(contour), dtype=np.float64) * STEP_S
    centre = float(np.median(contour[voiced > 0])) if voiced.any() else 0.0
    out = contour - centre
    for number, (first, last) in enumerate(phrases):
        span = (syllables[first].start_s, syllables[last].end_s)
        inside = (times >= span[0]) & (times <= span[1])
        heard = inside & (voiced > 0)
        if heard.sum() < 3:
            continue
        creak_st = float(np.median(contour[heard])) + LEAST_ST
        voice_st = np.array(np.maximum(contour[heard], creak_st), dtype=np.float64)
        slope, middle_s, middle_st = _line(times[heard], voice_st, last - first + 1, centre)
        left = 0.0 if number == 0 else _halfway(syllables, phrases[number - 1][1], first)
        right = times[-1] if number + 1 == len(phrases) else _halfway(syllables, last, last + 1)
        own = (times >= left) & (times <= right)
        line = middle_st + slope * (np.clip(times[own], *span) - middle_s)
        out[own] = contour[own] - line
    return np.clip(out, LEAST_ST, MOST_ST)


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
    """Where most of the syllable lies, its top, and how far it moves. In semitones."""
    n = len(syllables)
    body, top, move = np.zeros(n), np.zeros(n), np.zeros(n)
    for i, syllable in enumerate(syllables):
        end_s = max(syllable.end_s, syllable.nucleus_s + 0.03)
        inner = _voiced_part(contour, voiced, syllable.nucleus_s, end_s)
        late = _voiced_part(contour, voiced, syllable.nucleus_s, end_s + LATE_PEAK_S)
        around = _voiced_part(contour, voiced, syllable.start_s, end_s + LATE_PEAK_S)
        body[i] = 0.5 * _share(inner, 0.5) + 0.5 * _share(inner, 0.1)
        top[i] = _share(late, 0.9)
        move[i] = _share(around, 0.95) - _share(around, 0.05)
    firsts = [first for first, _ in phrases]
    body[firsts] -= FIRST_ST
    top[firsts] -= FIRST_ST
    return body, top, move


def _voiced_part(
    contour: FloatArray, voiced: FloatArray, start_s: float, end_s: float
) -> FloatArray:
    """Values between two times in order of size, the voiced ones if there are any."""
    first = min(max(round(start_s / STEP_S), 0), len(contour) - 1)
    last = max(first + 1, round(end_s / STEP_S) + 1)
    part, sure = contour[first:last], voiced[first:last] > 0
    return np.sort(part[sure] if sure.sum() >= 2 else part)


def _share(ordered: FloatArray, share: float) -> float:
    """A percentile of ordered values, between neighbours (many small ones: numpy's own is slow)."""
    at = share * (len(ordered) - 1)
    below = int(at)
    above = min(below + 1, len(ordered) - 1)
    return float(ordered[below] + (at - below) * (ordered[above] - ordered[below]))


def level_contour(loudness: LoudnessTrack, duration_s: float) -> FloatArray:
    """The sonorant band's level on the grid, cut off RANGE_DB under its loudest."""
    times = np.arange(0.0, max(duration_s, STEP_S) + STEP_S / 2, STEP_S)
    if not len(loudness.sonorant_db):
        return np.zeros(len(times))
    band = np.interp(times, loudness.times_s(), loudness.sonorant_db)
    floor_db = float(np.percentile(band, 98)) - RANGE_DB
    return np.array(np.maximum(band, floor_db), dtype=np.float64)


def _nucleus_levels(band: FloatArray, nuclei_s: FloatArray, ends_s: FloatArray) -> FloatArray:
    """Level of each vowel's first part: between its peak and its mean. Shape (n,), dB."""
    out = np.zeros(len(nuclei_s))
    stops_s = np.minimum(ends_s, nuclei_s + NUCLEUS_S)
    for i, (start_s, stop_s) in enumerate(zip(nuclei_s, stops_s, strict=True)):
        first = min(max(round(start_s / STEP_S) - 1, 0), len(band) - 1)
        part = band[first : max(first + 2, round(stop_s / STEP_S))]
        out[i] = 0.5 * part.max() + 0.5 * part.mean()
    return out


def spectral_tilt(clip: VoiceClip, middles_s: FloatArray) -> FloatArray:
    """Level above 500 Hz against below, in dB, in 64 ms around each time. Shape (n,)."""
    samples = np.pad(clip.samples, TILT_FRAME)
    starts = np.round(middles_s * ANALYSIS_RATE_HZ).astype(int) + TILT_FRAME // 2
    starts = np.clip(starts, 0, len(samples) - TILT_FRAME)
    hz = np.fft.rfftfreq(TILT_FRAME, 1 / ANALYSIS_RATE_HZ)
    low, split, high = TILT_SPLIT_HZ
    under, over, most = [], [], 0.0
    for first in range(0, len(starts), TILT_BLOCK):  # bounds memory on long sound
        at = starts[first : first + TILT_BLOCK, None] + np.arange(TILT_FRAME)
        power = (
            np.abs(np.fft.rfft(samples[at].astype(np.float64) * np.hanning(TILT_FRAME), axis=1))
            ** 2
        )
        under.append(power[:, (hz >= low) & (hz < split)].sum(axis=1))
        over.append(power[:, (hz >= split) & (hz < high)].sum(axis=1))
        most = max(most, float(power.max()))
    quiet = 1e-9 * most + 1e-30  # so that silence has no tilt
    tilt: FloatArray = 10 * np.log10((np.hstack(over) + quiet) / (np.hstack(under) + quiet))
    return tilt


def _wave_between(values: FloatArray, middles_s: FloatArray, duration_s: float) -> FloatArray:
    """Response at word scale to a value a syllable, drawn as a line between their middles."""
    times = np.arange(0.0, max(duration_s, STEP_S) + STEP_S / 2, STEP_S)
    signal = np.interp(times, middles_s, values)
    answer: FloatArray = prominence_at(signal, STEP_S, middles_s, WORD_SCALES_S)[0]
    return answer


def around(
    values: FloatArray, phrases: Sequence[tuple[int, int]], *, reach: int, decay: float
) -> FloatArray:
    """Mean of each syllable's neighbours in the phrase, nearer ones counting more. Shape (n,).

    Neighbours in other phrases count little; a syllable that has none keeps its own value.
    """
    n = len(values)
    phrase_of = np.zeros(n, dtype=int)
    for number, (first, last) in enumerate(phrases):
        phrase_of[first : last + 1] = number
    total, weight = np.zeros(n), np.zeros(n)
    for step in [s for r in range(1, reach + 1) for s in (-r, r)]:
        other = np.arange(n) + step
        there = (other >= 0) & (other < n)
        own = np.where(there, other, 0)
        share = np.where(phrase_of[own] == phrase_of, 1.0, ACROSS) * decay ** (abs(step) - 1)
        share = np.where(there, share, 0.0)
        total += share * values[own]
        weight += share
    return np.where(weight > 0, total / np.maximum(weight, 1e-9), values)
