"""How strongly each syllable stands out, whether it bears a sentence accent, and why.

Two ways to an accent are weighed against each other, in log-odds, and the likelier one counts:

- *read*: what the words lead one to expect (`word_weight`, lexical stress) plus what the voice does
  against the neighbours (pitch, level, length, at syllable and word scale);
- *leaned on*: the voice alone, measured against how a syllable of its kind is usually said
  there (`expected_sound`). Every cue is limited, so that several have to agree.

So the prior is added, never multiplied, and it fades as the sound gets clear: a function word that
the voice leans on wins ("I AM going"), and read speech keeps its ordinary accents with the
same settings. Without words the sound alone decides.

`prominence` is the probability of an accent, 0..1; `strong` means an accent, `light` another
syllable felt as stressed; `because` holds the signed shares in log-odds. Pitch differences under
1.5 semitones hardly count (Rietveld & Gussenhoven 1985, J. Phonetics 13). At least one
syllable a phrase is strong. The combination is ours; weights are rounded from trials in which
pitch, length and level of single syllables were moved by overlap-add, and from ordinary readings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from audio.clip import VoiceClip
from audio.expected_sound import KINDS, kind_means, syllable_kinds
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
from audio.stress_cues import Cues, around, hear_cues
from audio.word_weight import CONTENT, word_weights

STRONG_FROM = 0.5  # probability of an accent
LIGHT_FROM = 0.2
EVEN_ST = 1.5  # semitones under which two excursions sound alike (Rietveld & Gussenhoven 1985)
LOWEST_ST = -2.5  # a lower pitch speaks no more against an accent: accents may be low
UNSTRESSED, SECONDARY = -3.0, -1.8  # log-odds of syllables the dictionary has without main stress
LAST_CONTENT = 0.4  # a phrase's last content word usually bears its nucleus (Halliday 1967)
SUREST = 2.5  # log-odds: an ordinary accent is never surer than this, a contrast may be
USUAL_SPREAD_ST = 1.9  # semitones between syllables, less what their kind explains
DOUBT_SYLLABLES, LIVELY = 4.0, (0.5, 1.5)
FOCUS = 0.7  # log-odds: a contrast takes so much from the phrase's other accents
CONTRAST, UNDER_MAIN = 1.5, 2.0  # log-odds; see one_a_word
BESIDE = 0.8  # log-odds; see one_of_two
CUES = {  # cue: (share it belongs to, spread among syllables of one kind)
    "pitch_body_st": ("pitch", 1.9),
    "pitch_top_st": ("pitch", 1.9),
    "pitch_move_st": ("pitch", 1.6),
    "pitch_wave_st": ("pitch", 2.4),
    "level_db": ("loudness", 3.6),
    "level_wave_db": ("loudness", 4.0),
    "tilt_db": ("loudness", 5.5),
    "length_log": ("length", 0.25),
    "vowel_log": ("length", 0.39),
    "length_wave_log": ("length", 0.25),
}


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to an accent: log-odds at rest, and what a spread of each cue adds (order of CUES).

    reach, decay : neighbours compared with; likeness : share of their mean taken off, by cue kind;
    most : spreads after which a cue says no more.
    """

    base: float
    weights: tuple[float, ...]
    reach: int
    decay: float
    likeness: dict[str, float]
    most: float


ALL_OFF = {"pitch": 0.0, "loudness": 1.0, "length": 1.0}
LIKE_NEIGHBOURS = {"pitch": 0.5, "loudness": 0.8, "length": 0.8}
READ = _Way(0.0, (0.34, 0.11, 0.17, 0.29, 0.40, 0.23, 0.09, 0.29, 0.06, 0.40), 5, 0.95, ALL_OFF, 4)
LEANED_ON = _Way(
    -6.0, (2.2, 0.4, 0.0, 1.2, 1.1, 0.0, 0.0, 1.5, 0.9, 0.0), 5, 0.9, LIKE_NEIGHBOURS, 2.5
)
SOUND_ALONE = _Way(
    -0.85, (0.40, 0.10, 0.15, 0.25, 0.60, 0.05, 0.08, 0.55, 0.28, 0.15), 5, 0.9, ALL_OFF, 4
)
LEAN_ALLOWED = {"weak": -2.0, "second": -1.0}  # log-odds: seldom is such a syllable leaned on


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
    kinds = syllable_kinds(syllables, words)
    if words:
        lexicon = lexicon_shares(syllables, words, phrases)
        odds, shares = _two_ways(cues, kinds, lexicon, phrases)
        odds = one_a_word(odds, syllables)
    else:
        shares = sound_shares(cues, kinds, phrases, SOUND_ALONE)
        odds = SOUND_ALONE.base + sum(shares.values(), np.zeros(len(syllables)))
        odds = one_of_two(odds)
        shares["lexicon"] = np.zeros(len(syllables))
    prominence = 1 / (1 + np.exp(-odds))
    degrees = _degrees(prominence, syllables, phrases)
    return tuple(
        replace(
            syllable,
            prominence=float(prominence[i]),
            degree=degrees[i],
            because=Because(**{name: float(share[i]) for name, share in shares.items()}),
        )
        for i, syllable in enumerate(syllables)
    )


def _two_ways(
    cues: Cues, kinds: Sequence[int], lexicon: FloatArray, phrases: Sequence[tuple[int, int]]
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Log-odds that a syllable is accented in either way, and the shares of the likelier one."""
    read = sound_shares(cues, kinds, phrases, READ)
    leaned = sound_shares(cues, kinds, phrases, LEANED_ON)
    none = np.zeros(len(kinds))
    read_odds = READ.base + lexicon + sum(read.values(), none)
    read_odds = np.where(read_odds > 0, SUREST * np.tanh(read_odds / SUREST), read_odds)
    allowed = np.array([LEAN_ALLOWED.get(KINDS[kind], 0.0) for kind in kinds])
    leaned_odds = LEANED_ON.base + allowed + sum(leaned.values(), none)
    read_odds = read_odds - FOCUS * elsewhere(leaned_odds, phrases)
    by_voice = 1 / (1 + np.exp(read_odds - leaned_odds))
    shares = {name: (1 - by_voice) * read[name] + by_voice * leaned[name] for name in read}
    shares["lexicon"] = (1 - by_voice) * lexicon
    return np.logaddexp(read_odds, leaned_odds), shares


def elsewhere(leaned_odds: FloatArray, phrases: Sequence[tuple[int, int]]) -> FloatArray:
    """How surely the voice leans on another syllable of the phrase, 0..1. Shape (n,)."""
    sure = 1 / (1 + np.exp(-leaned_odds))
    out = np.zeros(len(sure))
    for first, last in phrases:
        own = sure[first : last + 1]
        if len(own) > 1:
            top = int(np.argmax(own))
            out[first : last + 1] = own[top]
            out[first + top] = np.max(np.delete(own, top))
    return out


def one_a_word(odds: FloatArray, syllables: Sequence[Syllable]) -> FloatArray:
    """Log-odds with the unstressed syllables of a word held under its main stress.

    An accent's pitch peak often comes late, on the syllable after. Only one that stands out by more
    than CONTRAST over the main stress is let be ("IMport, not EXport").
    """
    out = odds.copy()
    main = {s.word: i for i, s in enumerate(syllables) if s.lexical_stress == 1}
    for i, syllable in enumerate(syllables):
        head = main.get(syllable.word) if syllable.word is not None else None
        if head is None or head == i or odds[i] > odds[head] + CONTRAST:
            continue
        out[i] = min(odds[i], odds[head] - UNDER_MAIN)
    return out


def one_of_two(odds: FloatArray) -> FloatArray:
    """Log-odds with the weaker of two syllables side by side held back: accents seldom touch."""
    padded = np.pad(odds, 1, constant_values=-np.inf)
    stronger = np.maximum(padded[:-2], padded[2:]) - odds
    return odds - BESIDE / (1 + np.exp(-2 * np.clip(stronger, -20, 20)))


def sound_shares(
    cues: Cues, kinds: Sequence[int], phrases: Sequence[tuple[int, int]], way: _Way
) -> dict[str, FloatArray]:
    """Log-odds that pitch, loudness and length add, signed. Shapes (n,)."""
    shares = {share: np.zeros(len(kinds)) for share in ("pitch", "loudness", "length")}
    lively = liveliness(cues.pitch_body_st - kind_means("pitch_body_st", kinds))
    for (cue, (share, spread)), weight in zip(CUES.items(), way.weights, strict=True):
        if weight == 0.0:
            continue
        rest = getattr(cues, cue) - kind_means(cue, kinds)
        if cue not in ("pitch_move_st", "pitch_wave_st", "level_wave_db", "length_wave_log"):
            near = around(rest, phrases, reach=way.reach, decay=way.decay)
            rest = rest - way.likeness[share] * near
        if share == "pitch":
            rest = _past_even(np.maximum(rest, LOWEST_ST)) / lively
        shares[share] += weight * way.most * np.tanh(rest / spread / way.most)
    return shares


def liveliness(body_st: FloatArray) -> float:
    """How widely this voice moves its pitch, 1 for an ordinary reading.

    The same excursion says more in a flat voice. Median absolute deviation, held back towards 1
    where there are few syllables.
    """
    spread = 1.4826 * float(np.median(np.abs(body_st - np.median(body_st)))) / USUAL_SPREAD_ST
    n = len(body_st)
    mixed = (n * spread + DOUBT_SYLLABLES) / (n + DOUBT_SYLLABLES)
    return float(np.clip(mixed, *LIVELY))


def _past_even(semitones: FloatArray) -> FloatArray:
    """Semitones with small differences taken as less: half is left at EVEN_ST."""
    return semitones**3 / (semitones**2 + EVEN_ST**2)


def lexicon_shares(
    syllables: Sequence[Syllable], words: Sequence[Word], phrases: Sequence[tuple[int, int]]
) -> FloatArray:
    """Log-odds from word class, lexical stress and place in the phrase. Zero without words."""
    out = np.zeros(len(syllables))
    weights = word_weights([w.text for w in words])
    for i, (syllable, kind) in enumerate(
        zip(syllables, syllable_kinds(syllables, words), strict=True)
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
            out[content[-1]] += LAST_CONTENT
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
