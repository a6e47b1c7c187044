"""What a syllable of its kind sounds like when nobody leans on it: level, balance, pitch, length.

Open vowels are louder and brighter than close ones, the level falls along a phrase, a phrase begins
high and ends long; and words of grammar are said lower, softer and shorter than words of content.
Cues are compared with these, so that what is left is what the speaker did.

Units: dB, semitones, natural log of a length ratio. Vowel values follow the order of Lehiste &
Peterson 1959 (JASA 31:428) and kind values the order of van Bergem 1993 (Speech Communication
12:1); the figures are rounded means over readings by five voices (three of them synthetic),
measured with this package. They hold for English; other languages get the kinds only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from audio.reading import FloatArray, Syllable, Word
from audio.stress.word_weight import BOUND, COMMON, CONTENT, LOOSE, word_weight

VOWEL_LEVEL_DB = {
    "AA": 2.5, "AE": 1.2, "AH": -1.5, "AO": 1.0, "AW": 2.5, "AY": 2.5, "EH": 0.3, "ER": -0.3,
    "EY": 0.3, "IH": -2.0, "IY": -3.0, "OW": 1.2, "OY": 2.0, "UH": -2.5, "UW": -3.5,
}  # fmt: skip  # against the mean vowel
VOWEL_TILT_DB = {
    "AA": 7.0, "AE": 4.0, "AH": -1.0, "AO": 3.0, "AW": 5.0, "AY": 6.0, "EH": 2.0, "ER": 1.0,
    "EY": -3.0, "IH": -3.0, "IY": -7.0, "OW": -1.0, "OY": 0.0, "UH": -4.0, "UW": -8.0,
}  # fmt: skip  # against the mean vowel
FALL_DB = 4.0  # dB from a phrase's first to its last syllable
LAST_LEVEL_DB = -2.5  # the last syllable lies so much lower again
LAST_TILT_DB = 7.0  # and is so much brighter, its low band fading first
FIRST_ST = 1.2  # semitones a phrase's first syllable lies above its line

KINDS = ("bound", "loose", "common", "content", "weak", "second", "unknown")
# Means of each kind, in the order of KINDS; "unknown" is a syllable of no known word.
KIND_MEANS: Mapping[str, tuple[float, ...]] = {
    "pitch_body_st": (-0.6, -0.3, 0.8, 0.8, -0.5, -0.6, 0.0),
    "pitch_top_st": (-0.7, -0.3, 0.9, 1.1, -0.5, -0.6, 0.0),
    "pitch_move_st": (2.2, 2.4, 2.8, 2.9, 2.2, 2.2, 2.4),
    "pitch_wave_st": (0.3, 0.2, 1.9, 1.9, 0.7, 0.0, 0.7),
    "level_db": (-1.8, 0.4, 1.2, 1.9, -1.6, 0.6, 0.0),
    "tilt_db": (-1.5, 0.6, 0.6, 0.9, -2.4, 1.9, 0.0),
    "length_log": (-0.18, 0.01, 0.11, 0.15, -0.08, 0.0, 0.0),
    "vowel_log": (-0.3, -0.08, 0.22, 0.17, -0.13, 0.12, 0.0),
    "level_wave_db": (-1.2, 0.3, 1.3, 2.0, -0.9, 1.2, 0.0),
    "length_wave_log": (-0.1, -0.06, 0.2, 0.17, 0.0, 0.1, 0.0),
}


def syllable_kinds(
    syllables: Sequence[Syllable], words: Sequence[Word], language: str = "en"
) -> list[int]:
    """The kind of each syllable, as an index into KINDS."""
    per_word: dict[int, int] = {}
    for syllable in syllables:
        if syllable.word is not None:
            per_word[syllable.word] = per_word.get(syllable.word, 0) + 1
    return [_kind(syllable, words, per_word, language) for syllable in syllables]


def _kind(
    syllable: Syllable, words: Sequence[Word], per_word: Mapping[int, int], language: str
) -> int:
    if syllable.word is None or syllable.word >= len(words):
        return KINDS.index("unknown")
    if per_word[syllable.word] > 1 and syllable.lexical_stress == 0:
        return KINDS.index("weak")
    if per_word[syllable.word] > 1 and syllable.lexical_stress == 2:
        return KINDS.index("second")
    weight = word_weight(words[syllable.word].text, language)
    ranks = ((BOUND, "bound"), (LOOSE, "loose"), (COMMON, "common"), (CONTENT, "content"))
    return KINDS.index(next((name for top, name in ranks if weight <= top + 1e-6), "content"))


def kind_means(cue: str, kinds: Sequence[int]) -> FloatArray:
    """What each syllable's kind leads one to expect of a cue. Shape (n,)."""
    means = np.array(KIND_MEANS[cue], dtype=np.float64)
    return np.take(means, np.asarray(kinds, dtype=int))
