"""Does the voice lean on a syllable, or is it only read? A small learned judge of contrast.

A listener hears a lean against what stands around it, so every cue of a syllable is taken in
spreads of its kind and then against up to REACH syllables to each side in its phrase: their median,
their highest, how widely they differ, and the ones next to it. Small nets, averaged, give each
syllable a score; within its surroundings the scores compete with "nobody leans" (score zero).

The nets are learned from speech in which one syllable, none, or all the rest held back was moved by
overlap-add (tests/training/leans.py makes the table and says from what). Words may be unknown: then
other nets are used, which do without kinds. `because` shares are Shapley values of pitch, loudness
and length: what a cue adds, averaged over the orders in which the cues may be brought to what the
neighbours have. Shapes (n,), n syllables; scores in log-odds against "nobody leans".

Sources: prominence is relative to its surroundings (Suni et al. 2017, Computer Speech & Language
45); pitch differences under 1.5 semitones hardly count (Rietveld & Gussenhoven 1985, J. Phonetics
13); attribution after Shapley 1953.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import combinations
from math import factorial

import numpy as np

from audio.reading import FloatArray
from audio.stress.expected_sound import KINDS, kind_means
from audio.stress.stress_cues import Cues

TABLE = "leans.npz"
REACH = 8  # syllables looked at to each side
WIDEST = 5.0  # spreads: a cue further off says no more
EVEN = 0.8  # spreads, 1.5 semitones: pitch differences under it hardly count
SAME = 0.5  # spreads added to how widely the others differ, so that equal ones do not matter
LARGE = 1.0  # spreads: leans larger than this go on rising; the nets say no more by themselves
SELDOM = 1.2  # log-odds: people lean less often than the voices the judge has learned from
ANY_LEAN = 0.5  # probability that a phrase is leaned on at all, from which a second is looked for
SECOND_LEAN = 0.6  # probability from which there is one
LONG = 15.0  # syllables from which a phrase counts as long
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
SHARES = ("pitch", "loudness", "length")
PITCH = np.array([share == "pitch" for share, _ in CUES.values()])


@dataclass(frozen=True, slots=True)
class Leans:
    """For each syllable: how probably the voice leans on it, and what each cue adds (log-odds).

    sure : if a phrase is leaned on once; both : if it may be leaned on twice.
    """

    sure: FloatArray
    both: FloatArray
    shares: dict[str, FloatArray]


def find_leans(
    cues: Cues,
    kinds: Sequence[int],
    lexicon: FloatArray | None,
    phrases: Sequence[tuple[int, int]],
) -> Leans:
    """How surely the voice leans on each syllable. lexicon : None where no words are known."""
    own = in_spreads(cues, kinds, known=lexicon is not None)
    view = Surroundings.of(own, phrases)
    rest = standing(kinds, lexicon, phrases)
    nets = judges()["words" if lexicon is not None else "sound"]
    score, shares = _scores_and_shares(nets, own, view, rest)
    score = score + np.maximum(view.size(own) - LARGE, 0.0)
    sure = compete(score, phrases)
    return Leans(sure, _twice(nets, own, rest, sure, phrases), shares)


def _twice(
    nets: Sequence[Net],
    own: FloatArray,
    rest: FloatArray,
    sure: FloatArray,
    phrases: Sequence[tuple[int, int]],
) -> FloatArray:
    """How probably the voice leans on each syllable where a phrase may have two leans.

    Two leans stand in each other's way, as each is judged by what is around it. So the surest of a
    phrase is brought to what its neighbours have, and the others are asked again.
    """
    without, firsts = own.copy(), []
    median = Surroundings.of(own, phrases).median
    for first, last in phrases:
        top = first + int(np.argmax(sure[first : last + 1]))
        if sure[first : last + 1].sum() >= ANY_LEAN:
            firsts.append(top)
            without[top] = median[top]
    if not firsts:
        return sure
    view = Surroundings.of(without, phrases)
    score = _scores(nets, view.features(without, rest))
    score = score + np.maximum(view.size(without) - LARGE, 0.0)
    again = compete(score, phrases)
    both = sure.copy()
    for first, last in phrases:
        tops = [top for top in firsts if first <= top <= last]
        if tops and again[first : last + 1].max() >= SECOND_LEAN:
            both[first : last + 1] = np.maximum(sure, again)[first : last + 1]
            both[tops] = sure[first : last + 1].sum()  # what the second took from it given back
    return both


def in_spreads(cues: Cues, kinds: Sequence[int], *, known: bool) -> FloatArray:
    """Cues less what their kind leads one to expect, in spreads. Shape (n, cues).

    Level, balance and length are taken from the line's median: gain, microphone and tempo say
    nothing about a lean.
    """
    columns = []
    for cue, (share, spread) in CUES.items():
        usual = kind_means(cue, kinds) if known else 0.0
        values = np.nan_to_num(getattr(cues, cue)) - usual
        columns.append((values - (0.0 if share == "pitch" else np.median(values))) / spread)
    own: FloatArray = np.stack(columns, axis=1)
    return own


def standing(
    kinds: Sequence[int], lexicon: FloatArray | None, phrases: Sequence[tuple[int, int]]
) -> FloatArray:
    """What is known of a syllable but its sound: place in the phrase, kind, prior of its word."""
    place = np.zeros((len(kinds), 4))
    for first, last in phrases:
        place[first : last + 1, 0] = np.linspace(0.0, 1.0, last - first + 1)
        place[first, 1] = place[last, 2] = 1.0
        place[first : last + 1, 3] = min((last - first + 1) / LONG, 1.0)
    if lexicon is None:
        return place
    return np.concatenate([place, np.eye(len(KINDS))[list(kinds)], lexicon[:, None]], axis=1)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands around each syllable, per cue. Shapes (n, cues); `alone` (n,) has nobody."""

    median: FloatArray
    highest: FloatArray
    spread: FloatArray
    before: FloatArray
    after: FloatArray

    @classmethod
    def of(cls, own: FloatArray, phrases: Sequence[tuple[int, int]]) -> Surroundings:
        """From the cues of all syllables; a syllable that has no neighbour is its own."""
        n = len(own)
        phrase_of = np.zeros(n, dtype=int)
        for number, (first, last) in enumerate(phrases):
            phrase_of[first : last + 1] = number
        steps = np.array([step for step in range(-REACH, REACH + 1) if step])
        at = np.arange(n)[:, None] + steps
        there = (at >= 0) & (at < n)
        at = at.clip(0, n - 1)
        there &= phrase_of[at] == phrase_of[:, None]
        count = there.sum(axis=1)[:, None]
        others = np.where(there[:, :, None], own[at], np.inf)
        ordered = np.sort(others, axis=1)
        half = np.maximum(count - 1, 0)
        low = np.take_along_axis(ordered, (half // 2)[:, :, None], axis=1)[:, 0]
        high = np.take_along_axis(ordered, ((half + 1) // 2)[:, :, None], axis=1)[:, 0]
        top = np.take_along_axis(ordered, half[:, :, None], axis=1)[:, 0]
        filled = np.where(there[:, :, None], own[at], 0.0)
        mean = filled.sum(axis=1) / np.maximum(count, 1)
        square = (np.where(there[:, :, None], own[at] - mean[:, None], 0.0) ** 2).sum(axis=1)
        some = count > 0
        median = np.where(some, (low + high) / 2, own)
        beside = there[:, [REACH - 1, REACH]]
        return cls(
            median=median,
            highest=np.where(some, top, own),
            spread=np.where(count > 1, np.sqrt(square / np.maximum(count, 1)), 1.0),
            before=np.where(beside[:, :1], own[at[:, REACH - 1]], median),
            after=np.where(beside[:, 1:], own[at[:, REACH]], median),
        )

    def size(self, own: FloatArray) -> FloatArray:
        """How far a syllable stands above those around it, in spreads, all shares alike. (n,)."""
        over = audible(own - self.median)
        belongs = np.array([share for share, _ in CUES.values()])
        shares = [over[:, belongs == share].mean(axis=1) for share in SHARES]
        return np.asarray(np.mean(shares, axis=0), dtype=np.float64)

    def features(self, own: FloatArray, rest: FloatArray) -> FloatArray:
        """What the nets see of syllables with cues `own` in these surroundings."""
        over = audible(own - self.median)
        return np.concatenate(
            [
                np.clip(own, -WIDEST, WIDEST),
                over,
                audible(own - self.highest),
                np.clip(over / (self.spread + SAME), -WIDEST, WIDEST),
                audible(own - self.before),
                audible(own - self.after),
                np.minimum(self.spread, WIDEST),
                rest,
            ],
            axis=1,
        )


def past_even(difference: FloatArray, even: float) -> FloatArray:
    """Differences with small ones taken as less: half is left of one as large as `even`."""
    return difference**3 / (difference**2 + even**2)


def audible(difference: FloatArray) -> FloatArray:
    """Differences with those of pitch that sound alike taken as less, and none too large."""
    return np.clip(np.where(PITCH, past_even(difference, EVEN), difference), -WIDEST, WIDEST)


Net = tuple[FloatArray, ...]  # weights and offsets of three layers


@cache
def judges() -> dict[str, list[Net]]:
    """The learned nets: "words" for lines with text, "sound" for those without."""
    with resources.files("audio.stress").joinpath(TABLE).open("rb") as file:
        table = np.load(file)
        return {
            name: [
                tuple(table[f"{name}{number}_{part}"].astype(np.float64) for part in range(6))
                for number in range(int(table[f"{name}_nets"]))
            ]
            for name in ("words", "sound")
        }


def _scores(nets: Sequence[Net], features: FloatArray) -> FloatArray:
    """Mean score of the nets. features : (n, features)."""
    total = np.zeros(len(features))
    for w1, b1, w2, b2, w3, b3 in nets:
        total += (np.tanh(np.tanh(features @ w1 + b1) @ w2 + b2) @ w3 + b3)[:, 0]
    return total / len(nets)


def compete(score: FloatArray, phrases: Sequence[tuple[int, int]]) -> FloatArray:
    """Probability that the voice leans on each syllable: one of those around it, or none."""
    heard = np.exp(np.clip(score - SELDOM, -30.0, 30.0))
    sure: FloatArray = heard / (1.0 + around_each(heard, phrases))
    return sure


def around_each(values: FloatArray, phrases: Sequence[tuple[int, int]]) -> FloatArray:
    """Sum of values over each syllable and those around it in its phrase. Shape (n,)."""
    sums = np.zeros(len(values))
    for first, last in phrases:
        run = np.concatenate([[0.0], np.cumsum(values[first : last + 1])])
        place = np.arange(last - first + 1)
        stop = np.minimum(place + REACH + 1, last - first + 1)
        sums[first : last + 1] = run[stop] - run[np.maximum(place - REACH, 0)]
    return sums


def _scores_and_shares(
    nets: Sequence[Net], own: FloatArray, view: Surroundings, rest: FloatArray
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Scores, and Shapley values of the shares: a cue taken out is what the others' median is."""
    belongs = np.array([SHARES.index(share) for share, _ in CUES.values()])
    value: dict[frozenset[int], FloatArray] = {}
    for size in range(len(SHARES) + 1):
        for kept in map(frozenset, combinations(range(len(SHARES)), size)):
            heard = np.where(np.isin(belongs, list(kept)), own, view.median)
            value[kept] = _scores(nets, view.features(heard, rest))
    count = len(SHARES)
    out = {share: np.zeros(len(own)) for share in SHARES}
    for kept, score in value.items():
        for number in kept:
            weight = factorial(len(kept) - 1) * factorial(count - len(kept)) / factorial(count)
            out[SHARES[number]] += weight * (score - value[kept - {number}])
    return value[frozenset(range(count))], out
