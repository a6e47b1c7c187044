"""How strongly each syllable stands out, whether it bears a sentence accent, and why.

Two ways to an accent are mixed by how likely each is (`accent_odds`):

- *read*: what the words lead one to expect (`word_weight`, lexical stress) plus what the voice does
  against the neighbours (pitch, level, length, at syllable and word scale);
- *leaned on*: the voice alone, judged by what stands around the syllable (`leans`).

So the prior is added, never multiplied, and it fades as the sound gets clear: a function word that
the voice leans on wins ("I AM going"), and read speech keeps its ordinary accents with the
same settings. Without words the sound alone decides.

`prominence` is the probability of an accent, 0..1; `strong` means an accent, `light` another
syllable felt as stressed; `because` holds the signed shares in log-odds. Pitch differences under
1.5 semitones hardly count (Rietveld & Gussenhoven 1985, J. Phonetics 13). At least one
syllable a phrase is strong. The combination is ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
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
from audio.stress.accent_odds import as_read, mixed, one_a_word
from audio.stress.delivery import find_delivery
from audio.stress.expected_sound import KINDS, syllable_kinds
from audio.stress.leans import find_leans
from audio.stress.stress_cues import hear_cues
from audio.stress.word_weight import CONTENT, word_weights

STRONG_FROM = 0.5  # probability of an accent
LIGHT_FROM = 0.2
UNSTRESSED, SECONDARY = -3.0, -1.8  # log-odds of syllables the dictionary has without main stress
LAST_CONTENT = 0.4  # a phrase's last content word usually bears its nucleus (Halliday 1967)
# French accents the end of a group, hardly the single word (Jun & Fougeron 2000, from memory); the
# figure is ours.
LAST_CONTENT_OF = {"fr": 1.2}
UTMOST = 5.0  # log-odds: so that two contrasts still differ


def weigh_syllables(
    syllables: Sequence[Syllable],
    words: Sequence[Word],
    pitch: PitchTrack,
    loudness: LoudnessTrack,
    phrases_or_pauses: Sequence[Phrase] | Sequence[Pause],
    clip: VoiceClip,
    *,
    language: str = "en",
) -> tuple[Syllable, ...]:
    """The syllables with `prominence`, `degree`, `because`, `delivery` and `lean` filled in.

    words : may be empty (no transcript). phrases_or_pauses : either; where phrases end.
    """
    if not syllables:
        return ()
    phrases = phrase_ranges(syllables, phrases_or_pauses)
    cues = hear_cues(syllables, words, pitch, loudness, phrases, clip)
    kinds = syllable_kinds(syllables, words, language)
    lexicon = lexicon_shares(syllables, words, phrases, language) if words else None
    read_odds, read_shares = as_read(cues, syllables, kinds, lexicon, phrases)
    leans = find_leans(cues, kinds, lexicon, phrases)
    odds, shares = mixed(read_odds, read_shares, leans, phrases)
    if words:
        odds = one_a_word(odds, syllables)
    odds = UTMOST * np.tanh(odds / UTMOST)
    prominence = 1 / (1 + np.exp(-odds))
    degrees = _degrees(prominence, syllables, phrases)
    deliveries = find_delivery(syllables, cues, loudness, phrases)
    return tuple(
        replace(
            syllable,
            prominence=float(prominence[i]),
            degree=degrees[i],
            because=Because(**{name: float(share[i]) for name, share in shares.items()}),
            delivery=deliveries[i],
            lean=float(leans.both[i]),
        )
        for i, syllable in enumerate(syllables)
    )


def lexicon_shares(
    syllables: Sequence[Syllable],
    words: Sequence[Word],
    phrases: Sequence[tuple[int, int]],
    language: str = "en",
) -> FloatArray:
    """Log-odds from word class, lexical stress and place in the phrase. Zero without words."""
    out = np.zeros(len(syllables))
    weights = word_weights([w.text for w in words], language)
    for i, (syllable, kind) in enumerate(
        zip(syllables, syllable_kinds(syllables, words, language), strict=True)
    ):
        if KINDS[kind] == "weak":
            out[i] = UNSTRESSED
        elif KINDS[kind] == "second":
            out[i] = SECONDARY
        elif syllable.word is not None:
            out[i] = weights[syllable.word]
    for first, last in phrases:
        content = [i for i in range(first, last + 1) if out[i] >= CONTENT - 0.01]
        if content:
            out[content[-1]] += LAST_CONTENT_OF.get(language.partition("-")[0], LAST_CONTENT)
    return out


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
