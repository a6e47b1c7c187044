"""Log-odds that a syllable bears an accent, from its cues: two ways weighed against each other.

*Read*: the prior of the words plus what the voice does against the neighbours. *Leaned on*: the
voice alone, against how a syllable of its kind is usually said. The likelier way counts, and
the shares of pitch, loudness and length are those of the likelier way. Shapes (syllables,).

Method: cues in units of their spread among syllables of one kind, limited, added as log-odds (ours;
weights rounded from trials with syllables moved by overlap-add and from ordinary readings, see
tests/benchmarks/accuracy.py). Pitch under 1.5 semitones hardly counts (Rietveld & Gussenhoven 1985,
J. Phonetics 13); late peaks belong to the stressed syllable (Ladd 2008); a contrast takes from
the phrase's other accents (Xu & Xu 2005, J. Phonetics 33:159).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audio.expected_sound import KINDS, kind_means
from audio.reading import FloatArray, Syllable
from audio.stress_cues import Cues, around

EVEN_ST = 1.5  # semitones under which two excursions sound alike (Rietveld & Gussenhoven 1985)
LOWEST_ST = -2.5  # a lower pitch speaks no more against an accent: accents may be low
SUREST = 2.2  # log-odds: an ordinary accent is never surer than this, a contrast may be
USUAL_SPREAD_ST = 1.9  # semitones between syllables, less what their kind explains
DOUBT_SYLLABLES, LIVELY = 4.0, (0.5, 1.5)
LATE_PEAK_ST = 1.0  # semitones a late peak loses
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
class Way:
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
READ = Way(0.0, (0.34, 0.11, 0.17, 0.29, 0.40, 0.23, 0.09, 0.29, 0.06, 0.40), 5, 0.95, ALL_OFF, 4)
LEANED_ON = Way(
    -6.5, (3.0, 1.0, 0.0, 1.6, 1.1, 0.0, 0.0, 1.5, 0.9, 0.0), 5, 0.9, LIKE_NEIGHBOURS, 2.5
)
SOUND_ALONE = Way(
    -0.85, (0.40, 0.10, 0.15, 0.25, 0.60, 0.05, 0.08, 0.55, 0.28, 0.15), 5, 0.9, ALL_OFF, 4
)
LEAN_ALLOWED = {"weak": -4.0, "second": -1.5}  # log-odds: seldom is such a syllable leaned on
LEAN_FIRST = -0.6  # log-odds: a phrase's first syllable is high and loud anyway
PITCH_ALONE, AGREEMENT, ALONE_POWER = 5.0, 1.5, 3.0  # log-odds; see agreed_pitch


def two_ways(
    cues: Cues,
    syllables: Sequence[Syllable],
    kinds: Sequence[int],
    lexicon: FloatArray,
    phrases: Sequence[tuple[int, int]],
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Log-odds that a syllable is accented in either way, and the shares of the likelier one."""
    read = sound_shares(with_late_peaks(cues, kinds, syllables), kinds, phrases, READ)
    leaned = sound_shares(cues, kinds, phrases, LEANED_ON)
    none = np.zeros(len(kinds))
    read_odds = READ.base + lexicon + sum(read.values(), none)
    read_odds = np.where(read_odds > 0, SUREST * np.tanh(read_odds / SUREST), read_odds)
    allowed = np.array([LEAN_ALLOWED.get(KINDS[kind], 0.0) for kind in kinds])
    allowed[[first for first, _ in phrases]] += LEAN_FIRST
    lively = liveliness(cues.pitch_body_st - kind_means("pitch_body_st", kinds))
    leaned["pitch"] = agreed_pitch(leaned, lively)
    leaned_odds = LEANED_ON.base + allowed + sum(leaned.values(), none)
    read_odds = read_odds - FOCUS * elsewhere(leaned_odds, phrases)
    by_voice = 1 / (1 + np.exp(read_odds - leaned_odds))
    shares = {name: (1 - by_voice) * read[name] + by_voice * leaned[name] for name in read}
    shares["lexicon"] = (1 - by_voice) * lexicon
    return np.logaddexp(read_odds, leaned_odds), shares


def with_late_peaks(cues: Cues, kinds: Sequence[int], syllables: Sequence[Syllable]) -> Cues:
    """Cues in which a stressed syllable has the pitch of the unstressed one after it in its word.

    An accent's peak often comes after its syllable (Ladd 2008, chapter 5).
    """
    heads = [
        i
        for i in range(len(kinds) - 1)
        if KINDS[kinds[i]] in ("content", "common", "loose")
        and KINDS[kinds[i + 1]] == "weak"
        and syllables[i].word == syllables[i + 1].word
    ]
    late: dict[str, FloatArray] = {}
    for cue in ("pitch_body_st", "pitch_top_st", "pitch_wave_st"):
        values = getattr(cues, cue).copy()
        for i in heads:
            values[i] = max(values[i], getattr(cues, cue)[i + 1] - LATE_PEAK_ST)
        late[cue] = values
    return replace(cues, **late)


def agreed_pitch(leaned: dict[str, FloatArray], lively: float) -> FloatArray:
    """The share of pitch, kept to what loudness and length bear out. Shape (n,).

    In a lively reading a high function word that is neither loud nor long carries the late peak of
    the accent before it (or a tracker's slip). In a flat one pitch alone is clear enough.
    """
    alone = PITCH_ALONE / lively**ALONE_POWER
    bound = alone + AGREEMENT * (leaned["loudness"] + leaned["length"])
    kept: FloatArray = np.minimum(leaned["pitch"], np.maximum(bound, alone / 2))
    return kept


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
    cues: Cues, kinds: Sequence[int], phrases: Sequence[tuple[int, int]], way: Way
) -> dict[str, FloatArray]:
    """Log-odds that pitch, loudness and length add, signed. Shapes (n,)."""
    shares = {share: np.zeros(len(kinds)) for share in ("pitch", "loudness", "length")}
    lively = liveliness(cues.pitch_body_st - kind_means("pitch_body_st", kinds))
    for (cue, (share, spread)), weight in zip(CUES.items(), way.weights, strict=True):
        if weight == 0.0:
            continue
        usual = kind_means(cue, kinds)
        if share == "pitch":
            usual = usual * min(lively, 1.0)  # a flat voice keeps its kinds closer together
        rest = getattr(cues, cue) - usual
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
