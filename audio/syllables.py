"""Syllables: where each begins, where its vowel sets in (the beat a listener hears), where it ends.

Without a transcript nuclei are peaks of the sonorant band's level that stand out of the dips around
them and are voiced (the idea of De Jong & Wempe 2009, on the band where vowels live instead of on
all intensity). With one, the aligned phones say which vowels there are. In both cases the vowel's
onset is where the sonorant band has come up to within a few dB of the nucleus.

Times in seconds, half-open. It does not judge stress; `audio.stress` does.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from audio.clip import VoiceClip
from audio.loudness import smooth
from audio.reading import LoudnessTrack, PitchTrack, Syllable, Word

if TYPE_CHECKING:
    from audio.pronounce import SpokenWord

SMOOTH_S = 0.035
DIP_DB = 2.0  # De Jong & Wempe's script, 2010: a peak stands 2 dB above the dip before it
THRESHOLD_DB = 25.0  # same: below the 99th percentile of level
ONSET_DB = 6.0  # the vowel is there when the band is this near its nucleus
CLOSEST_S = 0.07  # Klatt 1976: syllables of 50 ms are the shortest there are
EDGE_DB = 25.0  # a syllable at a pause ends this far below its nucleus
LONGEST_EDGE_S = 0.30
SEARCH_S = 0.06  # an aligned vowel's onset is looked for this far to both sides

FloatArray = NDArray[np.float64]


def syllables_from_sound(
    clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack
) -> tuple[Syllable, ...]:
    """Syllables heard without any text: `text`, `word` and `lexical_stress` are None."""
    level = smooth(np.asarray(loudness.sonorant_db), SMOOTH_S)
    peaks = _nuclei(level, pitch, loudness)
    if len(peaks) == 0:
        return ()
    step_s = loudness.step_s
    dips = [int(a + np.argmin(level[a : b + 1])) for a, b in pairwise(peaks)]
    result = []
    for n, peak in enumerate(int(p) for p in peaks):
        left = dips[n - 1] if n else max(0, peak - round(LONGEST_EDGE_S / step_s))
        right = dips[n] if n < len(dips) else min(len(level) - 1, peak + round(0.5 / step_s))
        first = _back_to(level, peak, left, level[peak] - EDGE_DB)
        last = _on_to(level, peak, right, level[peak] - EDGE_DB)
        onset = _back_to(level, peak, first, level[peak] - ONSET_DB)
        start_s, end_s = first * step_s, max(last, onset + 1) * step_s
        result.append(Syllable(None, None, start_s, onset * step_s, end_s))
    return tuple(result)


def _nuclei(level: FloatArray, pitch: PitchTrack, loudness: LoudnessTrack) -> NDArray[np.int64]:
    """Indexes of the nuclei in the level track."""
    from scipy.signal import find_peaks

    if len(level) < 5:
        return np.zeros(0, dtype=np.int64)
    floor = max(np.percentile(level, 99) - THRESHOLD_DB, np.percentile(level, 5) + 6.0)
    peaks, _ = find_peaks(
        level, height=floor, prominence=DIP_DB, distance=round(CLOSEST_S / loudness.step_s)
    )
    voiced = np.isfinite(pitch_on_grid(pitch, loudness))
    if voiced.mean() < 0.02:  # a whisper: nothing is voiced, so voicing tells nothing
        return np.asarray(peaks, dtype=np.int64)
    near = smooth(voiced.astype(np.float64), 0.04)
    return np.asarray(peaks[near[peaks] > 0.3], dtype=np.int64)


def pitch_on_grid(pitch: PitchTrack, loudness: LoudnessTrack) -> FloatArray:
    """Pitch at the times of the level track. Shape of `loudness.db`, NaN where unvoiced."""
    times = loudness.times_s()
    if len(pitch.hz) == 0:
        return np.full(len(times), np.nan)
    at = np.round((times - pitch.start_s) / pitch.step_s).astype(int)
    inside = (at >= 0) & (at < len(pitch.hz))
    return np.where(inside, pitch.hz[np.clip(at, 0, len(pitch.hz) - 1)], np.nan)


def _back_to(level: FloatArray, peak: int, limit: int, bound_db: float) -> int:
    """Going back from a peak: the first index from which the level stays at or above a bound."""
    at = peak
    while at > limit and level[at - 1] >= bound_db:
        at -= 1
    return at


def _on_to(level: FloatArray, peak: int, limit: int, bound_db: float) -> int:
    """Going on from a peak: the last index at which the level is still at or above a bound."""
    at = peak
    while at < limit and level[at + 1] >= bound_db:
        at += 1
    return at


def syllables_from_words(
    words: tuple[Word, ...],
    spoken: tuple[SpokenWord, ...],
    pitch: PitchTrack,
    loudness: LoudnessTrack,
) -> tuple[Syllable, ...]:
    """Syllables of aligned words; the vowel's onset refined by the sonorant band.

    words, spoken : same length and order. A word whose phones were not laid on the sound is split
    evenly by its syllables' phones.
    """
    level = smooth(np.asarray(loudness.sonorant_db), SMOOTH_S)
    result: list[Syllable] = []
    for index, (word, said) in enumerate(zip(words, spoken, strict=True)):
        counts = [max(1, len(s.phones)) for s in said.syllables]
        if not counts:
            continue
        edges = _phone_edges(word, sum(counts))
        at = 0
        for syllable, count in zip(said.syllables, counts, strict=True):
            start_s, end_s = edges[at][0], edges[at + count - 1][1]
            vowel = at + _vowel_index(syllable.phones)
            onset_s = _refine(level, loudness, edges[vowel], (start_s, end_s))
            result.append(Syllable(syllable.text, index, start_s, onset_s, end_s, syllable.stress))
            at += count
    return tuple(result)


def _vowel_index(phones: tuple[str, ...]) -> int:
    for n, phone in enumerate(phones):
        if phone[-1:].isdigit():
            return n
    return 0


def _phone_edges(word: Word, count: int) -> list[tuple[float, float]]:
    """Start and end of each of `count` phones; evenly spread where the alignment has others."""
    if len(word.phones) == count:
        return [(p.start_s, p.end_s) for p in word.phones]
    cuts = np.linspace(word.start_s, word.end_s, count + 1)
    return [(float(a), float(b)) for a, b in pairwise(cuts)]


def _refine(
    level: FloatArray,
    loudness: LoudnessTrack,
    vowel: tuple[float, float],
    syllable: tuple[float, float],
) -> float:
    """The onset of an aligned vowel, by the level of the sonorant band around it."""
    step_s = loudness.step_s
    low = max(0, round((vowel[0] - SEARCH_S) / step_s))
    first, last = round(vowel[0] / step_s), round(vowel[1] / step_s)
    last = min(max(last, first + 1), len(level) - 1)
    if first >= len(level) or low >= last:
        return vowel[0]
    low = max(low, round(syllable[0] / step_s))
    peak = first + int(np.argmax(level[first : last + 1])) if first <= last else first
    onset = _back_to(level, peak, min(low, peak), level[peak] - ONSET_DB)
    return float(np.clip(onset * step_s, syllable[0], max(syllable[0], syllable[1] - step_s)))
