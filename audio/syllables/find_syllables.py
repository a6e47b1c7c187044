"""Syllables: where each begins, where its vowel sets in (the beat a listener hears), where it ends.

Without a transcript a small network says where vowels begin (`audio.syllables.nuclei`), laughs,
sighs and what has neither a voice nor the sureness of a vowel are left out, and the sonorant level
says how far each syllable reaches. With one, the aligned phones say which vowels there are and when
they begin; where they are in doubt, the vowel's onset is where the level has come up to within a
few dB of the nucleus.

Times in seconds, half-open. It does not judge stress; `audio.stress.find_stress` does.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from audio.clip import VoiceClip
from audio.events.breaths import find_breaths
from audio.events.laughs import find_laughs
from audio.reading import LoudnessTrack, PitchTrack, Syllable, Word
from audio.sound.loudness import smooth
from audio.sound.sounding import is_whisper, speech_mask, voiced_mask
from audio.syllables.nuclei import sureness, vowel_after, vowel_at, vowel_onsets
from audio.words.syllabify import is_vowel

if TYPE_CHECKING:
    from audio.words.pronounce import SpokenWord

SMOOTH_S = 0.035
CLOSEST_S = 0.06  # syllables of 50 ms are the shortest there are (Klatt 1976), and they are rare
PEAK_S = 0.3  # the nucleus's loudest point is looked for this far after its onset
LEAST_VOWEL = 0.08  # sureness under which a beginning is that of a tone or a knock
VOICED_SHARE = 0.15  # of VOICED_S from the onset on: voiced
VOICED_S = 0.10
UNVOICED_VOWEL = 0.35  # a vowel without voice is as sure as this, as in a whisper between words
SURE_VOWEL = 0.5
VOWEL_DB = 25.0  # what is no vowel counts as this much softer where peaks and seams are looked for
ONSET_DB = 8.0  # the vowel is there when the level is this near its nucleus ...
ONSET_SHARE = 0.45  # ... or this share of the depth of a shallower dip
LONGEST_ONSET_S = 0.25  # a drawn-out rise is heard from its last part
EDGE_REACH_S = 0.35  # consonants before the first and after the last vowel of a stretch
SURE_SIGH = 0.6  # certainty from which a sigh is taken out of the syllables ...
SURE_LAUGH = 0.79  # ... and a laugh: evenly spoken words, in noise above all, reach 0.77
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
    sure = sureness(clip)
    onsets_s = _heard_onsets(sure, pitch, loudness)
    onsets_s = onsets_s[_no_laughs(onsets_s, clip, pitch, loudness)]
    if len(onsets_s) == 0:
        return ()
    step_s = loudness.step_s
    lasting = vowel_at(sure, loudness.times_s())
    level = smooth(np.asarray(loudness.sonorant_db), SMOOTH_S) - VOWEL_DB * (1.0 - lasting)
    onsets = np.minimum((onsets_s / step_s).astype(np.int64), len(level) - 1)
    peaks = _peaks(level, onsets, step_s)
    lows = _lows(level, onsets, peaks)
    sounding = speech_mask(loudness, pitch)
    starts, ends = _edges(level, peaks, lows, [int(n) for n in onsets], sounding, step_s)
    vowel = voiced_mask(pitch, loudness) | (lasting > SURE_VOWEL)
    ends.append(_last_end(int(peaks[-1]), sounding, vowel, step_s))
    return tuple(
        Syllable(None, None, min(start * step_s, float(onset_s)), float(onset_s),
                 max(end * step_s, float(onset_s) + step_s))
        for start, onset_s, end in zip(starts, onsets_s, ends, strict=True)
    )  # fmt: skip


def _heard_onsets(
    sure: NDArray[np.float32], pitch: PitchTrack, loudness: LoudnessTrack
) -> FloatArray:
    """Where vowels begin, seconds, in order: those voiced, or vowels even so."""
    onsets_s = vowel_onsets(sure, CLOSEST_S)
    lasting = vowel_after(sure, onsets_s)
    onsets_s, lasting = onsets_s[lasting > LEAST_VOWEL], lasting[lasting > LEAST_VOWEL]
    voiced = voiced_mask(pitch, loudness)
    if is_whisper(voiced) or len(onsets_s) == 0:
        return onsets_s
    first = np.round(onsets_s / loudness.step_s).astype(np.int64)
    reach = round(VOICED_S / loudness.step_s)
    total = np.concatenate(([0.0], np.cumsum(voiced)))
    last = np.minimum(first + reach, len(voiced))
    share = (total[last] - total[np.minimum(first, last)]) / reach
    return onsets_s[(share > VOICED_SHARE) | (lasting > UNVOICED_VOWEL)]


def _peaks(level: FloatArray, onsets: Indexes, step_s: float) -> Indexes:
    """The loudest point of each vowel: after its onset, before the next."""
    reach = max(1, round(PEAK_S / step_s))
    ends = [min(int(b), int(a) + reach) for a, b in pairwise([*onsets, len(level)])]
    found = [
        int(a) + int(np.argmax(level[a : max(b, a + 1)])) for a, b in zip(onsets, ends, strict=True)
    ]
    return np.array(found, dtype=np.int64)


def _no_laughs(
    onsets_s: FloatArray, clip: VoiceClip, pitch: PitchTrack, loudness: LoudnessTrack
) -> BoolArray:
    """Which vowels are no bursts of a laugh and no sigh: those are events, not syllables."""
    keep = np.ones(len(onsets_s), dtype=bool)
    nothing = np.zeros(len(loudness.db), dtype=bool)
    sighs = [e for e in find_breaths(clip, pitch, loudness, nothing) if e.kind == "sigh"]
    spans = [(e.start_s, e.end_s) for e in sighs if e.certainty >= SURE_SIGH]
    laughs = find_laughs(clip, pitch, loudness)
    spans += [(e.start_s, e.end_s) for e in laughs if e.certainty >= SURE_LAUGH]
    for start_s, end_s in spans:
        keep &= (onsets_s < start_s) | (onsets_s > end_s)
    return keep


def _lows(level: FloatArray, onsets: Indexes, peaks: Indexes) -> list[int]:
    """The lowest point before the first vowel, between a peak and the next onset, after the last.

    Length n + 1.
    """
    froms = [0, *(int(p) for p in peaks)]
    tos = [*(int(n) for n in onsets), len(level) - 1]
    return [a + int(np.argmin(level[a : max(b, a) + 1])) for a, b in zip(froms, tos, strict=True)]


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
    """First and last (half-open) index of each syllable; the end of the last is missing.

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
    return starts, ends


def _last_end(peak: int, sounding: BoolArray, vowel: BoolArray, step_s: float) -> int:
    """The (half-open) index at which the last syllable ends: its vowel may be held for long."""
    reach = round(EDGE_REACH_S / step_s)
    held = _sounding_to(vowel, peak, len(vowel) - 1)
    limit = max(peak + 2 * reach, held + reach)
    return _sounding_to(sounding, peak, min(len(sounding) - 1, limit))


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
