"""Log-odds that a syllable bears an accent, from its cues: two ways, mixed by how likely each is.

*Read*: the prior of the words plus what the voice does against the neighbours, added as log-odds.
*Leaned on*: the voice alone, judged against what stands around (`audio.stress.leans`). Where the
voice leans the prior of the words is gone; a contrast takes from the other accents around it, and
where nobody leans the ordinary accents of the reading stand. Shapes (syllables,).

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

from audio.reading import FloatArray, Syllable
from audio.stress.expected_sound import KINDS, kind_means
from audio.stress.leans import CUES, Leans, around_each, past_even
from audio.stress.stress_cues import Cues, around

EVEN_ST = 1.5  # semitones under which two excursions sound alike (Rietveld & Gussenhoven 1985)
LOWEST_ST = -2.5  # a lower pitch speaks no more against an accent: accents may be low
SUREST = 1.2  # log-odds: an ordinary accent is never surer than this, a contrast may be
SURE_LEAN = 4.6  # log-odds of an accent where the voice leans
USUAL_SPREAD_ST = 1.9  # semitones between syllables, less what their kind explains
DOUBT_SYLLABLES, LIVELY = 4.0, (0.5, 1.5)
LATE_PEAK_ST = 1.0  # semitones a late peak loses
FOCUS = 0.6  # log-odds: a contrast takes so much from the accents around it
CONTRAST, UNDER_MAIN = 1.5, 2.0  # log-odds; see one_a_word
BESIDE = 0.8  # log-odds; see one_of_two


@dataclass(frozen=True, slots=True)
class Way:
    """A way to an accent: log-odds at rest, and what a spread of each cue adds (order of CUES).

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
READ = Way(0.0, (0.34, 0.11, 0.17, 0.29, 0.40, 0.23, 0.09, 0.29, 0.06, 0.40), 5, 0.95, ALL_OFF, 4)
SOUND_ALONE = Way(
    -0.85, (0.40, 0.10, 0.15, 0.25, 0.60, 0.05, 0.08, 0.55, 0.28, 0.15), 5, 0.9, ALL_OFF, 4
)


def as_read(
    cues: Cues,
    syllables: Sequence[Syllable],
    kinds: Sequence[int],
    lexicon: FloatArray | None,
    phrases: Sequence[tuple[int, int]],
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Log-odds of an accent in an ordinary reading, and shares. lexicon : None without words."""
    if lexicon is None:
        shares = sound_shares(cues, kinds, phrases, SOUND_ALONE)
        shares["lexicon"] = np.zeros(len(kinds))
        return one_of_two(SOUND_ALONE.base + sum(shares.values(), np.zeros(len(kinds)))), shares
    shares = sound_shares(with_late_peaks(cues, kinds, syllables), kinds, phrases, READ)
    shares["lexicon"] = lexicon
    return READ.base + sum(shares.values(), np.zeros(len(kinds))), shares


def mixed(
    read_odds: FloatArray,
    read_shares: dict[str, FloatArray],
    leans: Leans,
    phrases: Sequence[tuple[int, int]],
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Log-odds of an accent in either way; shares weighted by how likely each is the reason."""
    capped = np.where(read_odds > 0, SUREST * np.tanh(read_odds / SUREST), read_odds)
    here = leans.sure
    beside = np.clip(around_each(here, phrases) - here, 0.0, 1.0 - here)
    accented = (1.0 - here - beside) * _probability(capped) + beside * _probability(capped - FOCUS)
    leaned = here * _probability(SURE_LEAN)
    total = np.clip(accented + leaned, 1e-6, 1 - 1e-6)
    by_voice = leaned / total
    shares = {
        name: (1 - by_voice) * share + by_voice * leans.shares.get(name, 0.0)
        for name, share in read_shares.items()
    }
    return np.log(total / (1 - total)), shares


def _probability(odds: FloatArray | float) -> FloatArray:
    return np.asarray(1 / (1 + np.exp(-np.asarray(odds))), dtype=np.float64)


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
        if weight == 0.0 or (share == "pitch" and not cues.pitch_move_st.any()):
            continue  # nothing is said by a cue that is not there: a whisper has no pitch
        usual = kind_means(cue, kinds)
        if share == "pitch":
            usual = usual * min(lively, 1.0)  # a flat voice keeps its kinds closer together
        rest = getattr(cues, cue) - usual
        if cue not in ("pitch_move_st", "pitch_wave_st", "level_wave_db", "length_wave_log"):
            near = around(rest, phrases, reach=way.reach, decay=way.decay)
            rest = rest - way.likeness[share] * near
        if share == "pitch":
            rest = past_even(np.maximum(rest, LOWEST_ST), EVEN_ST) / lively
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
