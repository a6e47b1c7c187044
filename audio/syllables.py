"""Syllables: where each begins, where its vowel sets in (the beat a listener hears), where it ends.

Without a transcript nuclei are peaks of the sonorant level that stand out of the dips around them
and are voiced (the idea of De Jong & Wempe 2009, on the bands that vowels fill instead of on all
intensity), and the vowel's onset is where the level has come up to within a few dB of the nucleus.
With one, the aligned phones say which vowels there are and when they begin.

Times in seconds, half-open. It does not judge stress; `audio.stress` does.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from audio.breaths import find_breaths
from audio.clip import VoiceClip
from audio.laughs import find_laughs
from audio.loudness import smooth
from audio.reading import LoudnessTrack, PitchTrack, Syllable, Word
from audio.sounding import is_whisper, speech_mask, voiced_mask
from audio.syllabify import is_vowel

if TYPE_CHECKING:
    from audio.pronounce import SpokenWord

SMOOTH_S = 0.035
DIP_DB = 1.5  # a peak stands this far above the dips around it; De Jong & Wempe's script: 2
BELOW_DB = 20.0  # peaks this far below the loudest within NEAR_S are no nuclei
NEAR_S = 1.5
ABOVE_NOISE_DB = 3.0
CLOSEST_S = 0.07  # Klatt 1976: syllables of 50 ms are the shortest there are
VOICED_SHARE = 0.15  # around the peak
VOICED_NEAR_S = 0.04
ONSET_DB = 8.0  # the vowel is there when the level is this near its nucleus ...
ONSET_SHARE = 0.45  # ... or this share of the depth of a shallower dip
LONGEST_ONSET_S = 0.25  # a drawn-out rise is heard from its last part
EDGE_REACH_S = 0.35  # consonants before the first and after the last vowel of a stretch
SURE_EVENT = 0.6  # certainty from which a laugh or sigh is taken out of the syllables
SEARCH_S = 0.05  # an aligned vowel's onset is looked for this far to both sides
TRUSTED_S = 0.03  # a refined onset further from the aligned one is taken half
TRUSTED = 0.3  # confidence from which a word's own phone times are better than the level's

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Indexes = NDArray[np.int64]


def syllables_from_sound(
    clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack
) -> tuple[Syllable, ...]:
    """Syllables heard without any text: `text`, `word` and `lexical_stress` are None."""
    level = smooth(np.asarray(loudness.sonorant_db), SMOOTH_S)
    peaks = _nuclei(level, voiced_mask(pitch, loudness), loudness.step_s)
    peaks = _without_laughs(peaks, clip, pitch, loudness)
    if len(peaks) == 0:
        return ()
    sounding = speech_mask(loudness, pitch)
    sharp = smooth(np.asarray(loudness.sonorant_db), 0.02)
    lows = _lows(level, peaks)
    onsets = [
        vowel_onset(sharp, int(peak), low, loudness.step_s)
        for peak, low in zip(peaks, lows[:-1], strict=True)
    ]
    starts, ends = _edges(level, peaks, lows, onsets, sounding, loudness.step_s)
    return tuple(
        Syllable(None, None, start * loudness.step_s, onset * loudness.step_s,
                 max(end, onset + 1) * loudness.step_s)
        for start, onset, end in zip(starts, onsets, ends, strict=True)
    )  # fmt: skip


def _nuclei(level: FloatArray, voiced: BoolArray, step_s: float) -> Indexes:
    """Indexes of the nuclei in the level track."""
    from scipy.ndimage import maximum_filter1d
    from scipy.signal import find_peaks

    if len(level) < 5:
        return np.zeros(0, dtype=np.int64)
    around = maximum_filter1d(level, 2 * round(NEAR_S / step_s) + 1)
    bound = np.maximum(around - BELOW_DB, np.percentile(level, 5) + ABOVE_NOISE_DB)
    peaks, _ = find_peaks(
        level, height=bound, prominence=DIP_DB, distance=round(CLOSEST_S / step_s)
    )
    if not is_whisper(voiced):
        share = smooth(voiced.astype(np.float64), VOICED_NEAR_S)
        peaks = peaks[share[peaks] > VOICED_SHARE]
    return np.asarray(peaks, dtype=np.int64)


def _without_laughs(
    peaks: Indexes, clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack
) -> Indexes:
    """The nuclei that are no bursts of a laugh and no sigh: those are events, not syllables."""
    keep = np.ones(len(peaks), dtype=bool)
    nothing = np.zeros(len(loudness.db), dtype=bool)
    sighs = [e for e in find_breaths(clip, pitch, loudness, nothing) if e.kind == "sigh"]
    spans = [(e.start_s, e.end_s) for e in sighs if e.certainty >= SURE_EVENT]
    laughs = find_laughs(clip, pitch, loudness)
    spans += [(e.start_s, e.end_s) for e in laughs if e.certainty >= SURE_EVENT]
    at_s = peaks * loudness.step_s
    for start_s, end_s in spans:
        keep &= (at_s < start_s) | (at_s > end_s)
    return peaks[keep]


def _lows(level: FloatArray, peaks: Indexes) -> list[int]:
    """The lowest point before the first peak, between peaks, and after the last. Length n + 1."""
    bounds = [0, *(int(p) for p in peaks), len(level) - 1]
    return [int(a + np.argmin(level[a : b + 1])) for a, b in pairwise(bounds)]


def vowel_onset(level: FloatArray, peak: int, low: int, step_s: float) -> int:
    """Where the level has come up to within a few dB of a nucleus.

    level : sonorant level, dB; peak, low : indexes of the nucleus and of the dip before it.
    The last index, going back from the peak, at which the level is still near enough.
    """
    low = max(low, peak - round(LONGEST_ONSET_S / step_s))
    depth = level[peak] - float(level[low : peak + 1].min())
    return _back_to(level, peak, low, level[peak] - min(ONSET_DB, ONSET_SHARE * depth))


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


def _edges(
    level: FloatArray, peaks: Indexes, lows: list[int], onsets: list[int],
    sounding: BoolArray, step_s: float,
) -> tuple[list[int], list[int]]:  # fmt: skip
    """First and last (half-open) index of each syllable.

    Between two nuclei the consonants go to the second (maximal onset): the seam is where the first
    vowel has fallen half of the way. Silence between them belongs to neither.
    """
    reach = round(EDGE_REACH_S / step_s)
    starts, ends = [_sounding_from(sounding, onsets[0], max(0, onsets[0] - reach))], []
    for n in range(len(peaks) - 1):
        peak, low, onset = int(peaks[n]), lows[n + 1], onsets[n + 1]
        half_db = 0.5 * (level[peak] + level[low])
        fallen = _on_to(level, peak, low, half_db) + 1
        silent = np.flatnonzero(~sounding[fallen:onset]) + fallen
        if len(silent) * step_s > 0.1:
            ends.append(int(silent[0]))
            starts.append(int(silent[-1]) + 1)
        else:
            ends.append(min(fallen, onset))
            starts.append(min(fallen, onset))
    last = int(peaks[-1])
    ends.append(_sounding_to(sounding, last, min(len(level) - 1, last + 2 * reach)))
    return starts, ends


def _sounding_from(sounding: BoolArray, at: int, limit: int) -> int:
    """The start of the sounding stretch that holds `at`, bridging closures of 80 ms."""
    silent = 0
    result = at
    for n in range(at, limit - 1, -1):
        silent = 0 if sounding[n] else silent + 1
        if silent == 0:
            result = n
        if silent > 16:
            break
    return result


def _sounding_to(sounding: BoolArray, at: int, limit: int) -> int:
    """The end of the sounding stretch that holds `at`, bridging closures of 80 ms."""
    silent = 0
    result = at
    for n in range(at, limit + 1):
        silent = 0 if sounding[n] else silent + 1
        if silent == 0:
            result = n + 1
        if silent > 16:
            break
    return result


def syllables_from_words(
    words: tuple[Word, ...],
    spoken: tuple[SpokenWord, ...],
    pitch: PitchTrack,
    loudness: LoudnessTrack,
) -> tuple[Syllable, ...]:
    """Syllables of aligned words.

    words, spoken : same length and order. The vowel's phone gives the onset (on speech of known
    times it is nearer than the level's: 5-8 ms against 10-20); where the word is in doubt, or its
    phones were not laid on the sound and are spread evenly, the sonorant level corrects it.
    """
    level = smooth(np.asarray(loudness.sonorant_db), 0.02)
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
            onset_s = edges[vowel][0]
            if word.confidence < TRUSTED or len(word.phones) != sum(counts):
                onset_s = _refine(level, loudness.step_s, edges[vowel], (start_s, end_s))
            result.append(Syllable(syllable.text, index, start_s, onset_s, end_s, syllable.stress))
            at += count
    return tuple(result)


def _vowel_index(phones: tuple[str, ...]) -> int:
    for n, phone in enumerate(phones):
        if is_vowel(phone):
            return n
    return 0


def _phone_edges(word: Word, count: int) -> list[tuple[float, float]]:
    """Start and end of each of `count` phones; evenly spread where the alignment has others."""
    if len(word.phones) == count:
        return [(p.start_s, p.end_s) for p in word.phones]
    cuts = np.linspace(word.start_s, word.end_s, count + 1)
    return [(float(a), float(b)) for a, b in pairwise(cuts)]


def _refine(
    level: FloatArray, step_s: float, vowel: tuple[float, float], syllable: tuple[float, float]
) -> float:
    """The onset of an aligned vowel, by the sonorant level around it.

    Only where the level says something: a vowel after a nasal or another vowel has no clear rise,
    and keeps the aligned time.
    """
    start_s, end_s = vowel
    first = round(start_s / step_s)
    last = min(max(round(end_s / step_s), first + 1), len(level) - 1)
    if first >= last:
        return start_s
    peak = first + int(np.argmax(level[first : last + 1]))
    low = max(0, round((start_s - SEARCH_S) / step_s))
    low += int(np.argmin(level[low : peak + 1]))
    onset_s = vowel_onset(level, peak, low, step_s) * step_s
    moved = onset_s - start_s
    if abs(moved) > TRUSTED_S:
        onset_s = start_s + np.sign(moved) * (TRUSTED_S + 0.5 * (abs(moved) - TRUSTED_S))
    latest = max(syllable[0], min(syllable[1], end_s) - step_s)
    return float(np.clip(onset_s, syllable[0], latest))
