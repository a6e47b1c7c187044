"""How strongly each syllable stands out, whether it bears a sentence accent, and why.

`weigh_syllables` adds what the voice does (pitch, level, length; `stress_cues`) to what the words
lead one to expect (`word_weight`, lexical stress) as log-odds of "bears an accent".
`prominence` is that as a probability, 0..1; `strong` means an accent, `light` another syllable that
is felt as stressed. `because` holds the signed shares. Without words the sound decides alone.

The prior is added, never multiplied, and fades where the sound is clear: a function word that
the voice leans on wins. Pitch differences under 1.5 semitones hardly count (Rietveld &
Gussenhoven 1985, J. Phonetics 13). At least one syllable a phrase is strong.
The combination is ours; its weights are rounded from trials with moved syllables.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from audio.clip import VoiceClip
from audio.reading import (
    Because,
    Degree,
    FloatArray,
    LoudnessTrack,
    Pause,
    Phrase,
    PitchTrack,
    Syllable,
    Word,
)
from audio.stress_cues import Cues, hear_cues
from audio.word_weight import CONTENT, word_weights

STRONG_FROM = 0.5  # probability of an accent
LIGHT_FROM = 0.2
EVEN_ST = 1.5  # semitones under which two excursions sound alike (Rietveld & Gussenhoven 1985)
MOST = 3.5  # log-odds: no cue alone counts more


@dataclass(frozen=True, slots=True)
class _Weights:
    """Log-odds a unit of each cue."""

    base: float
    pitch_height: float = 0.28  # a semitone
    pitch_move: float = 0.10
    pitch_dip: float = 0.12
    pitch_wave: float = 0.22
    level: float = 0.10  # a dB
    level_wave: float = 0.06
    tilt: float = 0.04
    length: float = 1.3  # a factor e
    length_wave: float = 0.8


WITH_WORDS = _Weights(base=-0.9)
SOUND_ALONE = _Weights(base=-1.3)
UNSTRESSED = -2.2  # log-odds: a syllable the dictionary has without stress
SECONDARY = -1.2
LAST_CONTENT = 0.5  # the phrase's last content word usually bears its nucleus (Halliday 1967)


def weigh_syllables(
    syllables: Sequence[Syllable],
    words: Sequence[Word],
    pitch: PitchTrack,
    loudness: LoudnessTrack,
    phrases_or_pauses: Sequence[Phrase] | Sequence[Pause],
    clip: VoiceClip,
) -> tuple[Syllable, ...]:
    """The syllables with `prominence`, `degree` and `because` filled in.

    words : may be empty (no transcript). phrases_or_pauses : either; where phrases end.
    """
    if not syllables:
        return ()
    phrases = phrase_ranges(syllables, phrases_or_pauses)
    cues = hear_cues(syllables, words, pitch, loudness, phrases, clip)
    weights = WITH_WORDS if words else SOUND_ALONE
    shares = sound_shares(cues, weights)
    lexicon = lexicon_shares(syllables, words, phrases)
    heard = shares["pitch"] + shares["loudness"] + shares["length"]
    lexicon = lexicon * fade(heard)
    odds = weights.base + heard + lexicon
    prominence = 1 / (1 + np.exp(-odds))
    degrees = _degrees(prominence, syllables, phrases)
    return tuple(
        replace(
            syllable,
            prominence=float(prominence[i]),
            degree=degrees[i],
            because=Because(
                pitch=float(shares["pitch"][i]),
                loudness=float(shares["loudness"][i]),
                length=float(shares["length"][i]),
                lexicon=float(lexicon[i]),
            ),
        )
        for i, syllable in enumerate(syllables)
    )


def phrase_ranges(
    syllables: Sequence[Syllable], phrases_or_pauses: Sequence[Phrase] | Sequence[Pause]
) -> list[tuple[int, int]]:
    """First and last syllable of each stretch between pauses, inclusive; all are covered."""
    breaks: set[int] = set()
    starts = np.array([s.nucleus_s for s in syllables])
    for item in phrases_or_pauses:
        if isinstance(item, Phrase):
            breaks.add(item.syllables[0])
        else:
            breaks.add(int(np.searchsorted(starts, (item.start_s + item.end_s) / 2)))
    edges = sorted({0, *(b for b in breaks if 0 < b < len(syllables)), len(syllables)})
    return [(a, b - 1) for a, b in pairwise(edges)]


def _past_even(semitones: FloatArray) -> FloatArray:
    """Semitones with small differences taken as none: half of it is left at EVEN_ST."""
    return semitones**3 / (semitones**2 + EVEN_ST**2)


def sound_shares(cues: Cues, weights: _Weights) -> dict[str, FloatArray]:
    """Log-odds of each cue, signed, limited to MOST."""
    pitch = (
        weights.pitch_height * _past_even(cues.pitch_height_st)
        + weights.pitch_move * (_past_even(cues.pitch_move_st) - 1.0)
        + weights.pitch_dip * _past_even(cues.pitch_dip_st)
        + weights.pitch_wave * _past_even(cues.pitch_wave_st)
    )
    loudness = (
        weights.level * cues.level_db
        + weights.level_wave * cues.level_wave_db
        + weights.tilt * cues.tilt_db
    )
    length = weights.length * cues.length_log + weights.length_wave * cues.length_wave_log
    return {
        "pitch": _limit(pitch),
        "loudness": _limit(loudness),
        "length": _limit(length),
    }


def _limit(share: FloatArray) -> FloatArray:
    return MOST * np.tanh(share / MOST)


def fade(heard: FloatArray) -> FloatArray:
    """How much of the prior is left: all where the sound says little, a third where it is clear."""
    return 1.0 - 0.65 / (1 + np.exp(-(np.abs(heard) - 3.0) * 1.2))


def lexicon_shares(
    syllables: Sequence[Syllable], words: Sequence[Word], phrases: Sequence[tuple[int, int]]
) -> FloatArray:
    """Log-odds from word class, lexical stress and place in the phrase. Zero without words."""
    out = np.zeros(len(syllables))
    if not words:
        return out
    weights = word_weights([w.text for w in words])
    for i, syllable in enumerate(syllables):
        if syllable.word is None:
            continue
        weight = weights[syllable.word]
        if syllable.lexical_stress == 0:
            weight = min(weight, CONTENT) + UNSTRESSED if _has_others(i, syllables) else weight
        elif syllable.lexical_stress == 2:
            weight += SECONDARY
        out[i] = weight
    for first, last in phrases:
        content = [
            i
            for i in range(first, last + 1)
            if out[i] >= CONTENT - 0.01 and syllables[i].lexical_stress == 1
        ]
        if content:
            out[content[-1]] += LAST_CONTENT
    return out


def _has_others(index: int, syllables: Sequence[Syllable]) -> bool:
    word = syllables[index].word
    near = syllables[max(0, index - 1) : index + 2]
    return sum(s.word == word for s in near) > 1


def _degrees(
    prominence: FloatArray, syllables: Sequence[Syllable], phrases: Sequence[tuple[int, int]]
) -> list[Degree]:
    strong = prominence >= STRONG_FROM
    for first, last in phrases:
        if not strong[first : last + 1].any():
            strong[first + int(np.argmax(prominence[first : last + 1]))] = True
    degrees: list[Degree] = []
    for i, syllable in enumerate(syllables):
        if strong[i]:
            degrees.append("strong")
        elif prominence[i] >= LIGHT_FROM and syllable.lexical_stress != 0:
            degrees.append("light")
        else:
            degrees.append("none")
    return degrees
