"""How long a syllable would be if nobody leaned on it.

Gives the logarithm of heard over expected length for every syllable: above zero is drawn out.
Expected are the usual lengths of the phones, cut where phones share a cluster or a word has many
syllables, stretched before a pause. Stress is left out of the expectation on purpose: that is what
the ratio has to show. The speaker's tempo stays in; neighbours take it out (`stress_cues`).

Method: rules after Klatt 1976 (JASA 59:1208) and Klatt 1987 (JASA 82:737; rules for cluster,
polysyllabic shortening, phrase-final lengthening); phone lengths are rounded means of American
reading (common practice). Where no phones are known, all syllables are expected equally long.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from audio.reading import FloatArray, Phone, Syllable, Word

# Usual length in ms, unstressed and within a phrase.
PHONE_MS = {
    "AA": 105, "AE": 110, "AH": 70, "AO": 110, "AW": 125, "AY": 120, "EH": 85, "ER": 85,
    "EY": 105, "IH": 65, "IY": 85, "OW": 105, "OY": 135, "UH": 70, "UW": 90,
    "B": 62, "CH": 105, "D": 50, "DH": 45, "F": 90, "G": 62, "HH": 55, "JH": 85, "K": 80,
    "L": 58, "M": 62, "N": 55, "NG": 65, "P": 80, "R": 55, "S": 98, "SH": 100, "T": 68,
    "TH": 80, "V": 55, "W": 55, "Y": 50, "Z": 75, "ZH": 75,
}  # fmt: skip
VOWELS = frozenset("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split())
CLUSTER = 0.8  # consonant beside another consonant of the same syllable (Klatt 1987)
MANY_SYLLABLES = 0.92  # syllable of a word of three or more (Klatt 1987: 0.8 on the vowel)
FINAL = 1.65  # last syllable before a pause (Klatt 1976: final vowel up to 2)
FINAL_STRESSED = 1.12  # main-stressed, not last, of the last word (Turk & Shattuck-Hufnagel 2007)
FALLBACK_MS = 190.0  # a syllable of no known phones (Klatt 1976: mean 200, median 180)
LEAST_S = 0.03  # no syllable is taken as shorter


def bare(phone: Phone | str) -> str:
    """A phone without its stress digit."""
    name = phone if isinstance(phone, str) else phone.phone
    return name.rstrip("012")


def phones_of(syllable: Syllable, words: Sequence[Word]) -> list[Phone]:
    """The phones of a syllable: those of its word whose middle lies within it."""
    if syllable.word is None or syllable.word >= len(words):
        return []
    span = (syllable.start_s - 1e-6, syllable.end_s + 1e-6)
    return [
        p for p in words[syllable.word].phones if span[0] <= (p.start_s + p.end_s) / 2 <= span[1]
    ]


def phones_ms(phones: Sequence[Phone]) -> tuple[float, float]:
    """Expected length of a syllable and of its vowel in ms; a fallback where there is none."""
    names = [bare(p) for p in phones]
    total = vowel = 0.0
    for index, name in enumerate(names):
        length = float(PHONE_MS.get(name, 70))
        near = names[max(0, index - 1) : index] + names[index + 1 : index + 2]
        if name in VOWELS:
            vowel += length
        elif any(n not in VOWELS for n in near):
            length *= CLUSTER
        total += length
    if vowel == 0.0:
        return FALLBACK_MS, FALLBACK_MS / 2
    return total, vowel


def final_factor(index: int, last: int, syllables: Sequence[Syllable]) -> float:
    """How much the end of a phrase stretches syllable `index`; `last` is the phrase's last."""
    if index == last:
        return FINAL
    same_word = syllables[index].word is not None and syllables[index].word == syllables[last].word
    if same_word and syllables[index].lexical_stress == 1:
        return FINAL_STRESSED
    return 1.0


def length_ratios(
    syllables: Sequence[Syllable], words: Sequence[Word], phrases: Sequence[tuple[int, int]]
) -> tuple[FloatArray, FloatArray]:
    """Log of heard over expected length of every syllable, and of its vowel. Shapes (n,).

    phrases : first and last syllable of each stretch between pauses, inclusive. Tempo is still in
    both. Without phones the vowel's place is taken by the time to the next vowel.
    """
    per_word: dict[int, int] = {}
    for syllable in syllables:
        if syllable.word is not None:
            per_word[syllable.word] = per_word.get(syllable.word, 0) + 1
    whole, vowel = np.zeros(len(syllables)), np.zeros(len(syllables))
    for first, last in phrases:
        for i in range(first, last + 1):
            whole[i], vowel[i] = _log_ratios(i, last, syllables, words, per_word)
    return whole, vowel


def _log_ratios(
    index: int,
    last: int,
    syllables: Sequence[Syllable],
    words: Sequence[Word],
    per_word: dict[int, int],
) -> tuple[float, float]:
    syllable = syllables[index]
    phones = phones_of(syllable, words)
    whole_ms, vowel_ms = phones_ms(phones)
    factor = final_factor(index, last, syllables)
    if syllable.word is not None and per_word.get(syllable.word, 1) >= 3:
        factor *= MANY_SYLLABLES
    whole_s = max(syllable.end_s - syllable.start_s, LEAST_S)
    whole = float(np.log(whole_s / (whole_ms / 1000 * factor)))
    vowels = [p for p in phones if bare(p) in VOWELS]
    if vowels:
        heard_s = max(sum(p.end_s - p.start_s for p in vowels), LEAST_S)
        return whole, float(np.log(heard_s / (vowel_ms / 1000 * factor)))
    if index < last:
        step_s = max(syllables[index + 1].nucleus_s - syllable.nucleus_s, LEAST_S)
        return whole, float(np.log(step_s / (FALLBACK_MS / 1000)))
    return whole, whole
