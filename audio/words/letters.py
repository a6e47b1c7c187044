"""From letters to sounds: how a word that nobody has listed is probably said.

Two log-linear models learned from the CMU dictionary (see tests.training.letters, which leaves one
word family in twenty out, so that the shipped table can be tested on them): one chooses for each
letter the phones it spells, from the letters around it and the choices before it (beam search);
the other chooses the vowel with the main stress. Weights are hashed into one table of bytes
(Weinberger et al. 2009), so it stays small and loads at once.
Phones are ARPAbet with stress digits. It knows nothing of morphology; audio.words.guess does.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from audio.words.syllabify import VOWELS

Phones = tuple[str, ...]
Hashes = NDArray[np.uint32]
TABLE = "letters.npz"
TABLE_BITS = 21
PAD = 5  # letters looked at to each side
BEAM = 6
ALPHABET = "abcdefghijklmnopqrstuvwxyz'"
# First and last letter, counted from the one in question, of each run that is looked at.
RUNS = (
    (0, 0), (-1, -1), (1, 1), (-2, -2), (2, 2), (-3, -3), (3, 3), (-1, 0), (0, 1), (-1, 1), (0, 2),
    (-2, 0), (1, 2), (-2, -1), (-2, 1), (-1, 2), (0, 3), (-3, 0), (-2, 2), (-3, 1), (-1, 3), (0, 4),
    (-4, 0), (-3, 2), (-2, 3), (-4, 1), (-1, 4), (0, 5), (-5, 0), (-3, 3), (-4, 2), (-2, 4),
)  # fmt: skip
_MIX = np.uint32(0x01000193)  # FNV-1's prime
_SPREAD = np.uint32(0x9E3779B1)  # golden ratio, Knuth's multiplicative hashing


def letter_codes(word: str) -> NDArray[np.uint32]:
    """Letters as numbers from 1, others 0, with PAD zeros at both ends."""
    codes = [ALPHABET.find(letter) + 1 for letter in word]
    return np.array([0] * PAD + codes + [0] * PAD, dtype=np.uint32)


def mixed(seed: int, *columns: NDArray[np.uint32] | np.uint32) -> Hashes:
    """A hash of a feature's number and its values, column-wise."""
    total = np.uint32((seed * 0x85EBCA6B) & 0xFFFFFFFF)
    result: Hashes = np.asarray(total)
    for column in columns:
        result = (result ^ column) * _MIX
        result = result ^ (result >> np.uint32(15))
    return result


def place(hashes: Hashes, choice: NDArray[np.uint32] | np.uint32) -> NDArray[np.uint32]:
    """Where in the table the weight of features together with a choice stands."""
    return ((hashes ^ (choice * _MIX)) * _SPREAD) >> np.uint32(32 - TABLE_BITS)


def run_hashes(codes: NDArray[np.uint32]) -> Hashes:
    """Hashes of the letters around each letter, shape (letters, runs)."""
    count = len(codes) - 2 * PAD
    at = np.arange(count) + PAD
    rows = [
        mixed(number, *(codes[at + k] for k in range(first, last + 1)))
        for number, (first, last) in enumerate(RUNS)
    ]
    return np.stack(rows, axis=1)


def history_hashes(
    codes: NDArray[np.uint32], at: NDArray[np.int64], before: NDArray[np.uint32]
) -> Hashes:
    """Hashes of the choices before with letters; before : (n, 3), the last choice first."""
    one, two, three = before.T
    here, left = codes[at + PAD], codes[at + PAD - 1]
    right, right2 = codes[at + PAD + 1], codes[at + PAD + 2]
    rows = [
        mixed(101, one, here),
        mixed(102, one, two, here),
        mixed(103, one, here, right),
        mixed(104, one, two, here, right),
        mixed(105, one, two, three, here),
        mixed(106, one, left, here, right, right2),
        mixed(107, one, two, three, here, right, right2),
    ]
    return np.stack(rows, axis=1)


def stress_hashes(word: str, phones: Phones) -> Hashes:
    """Hashes of what speaks for the main stress on each vowel, shape (vowels, features)."""
    nuclei = [i for i, phone in enumerate(phones) if phone in VOWELS]
    names = {name: i + 1 for i, name in enumerate(sorted(VOWELS))}
    code = letter_codes(word)
    tail, head = code[PAD : len(code) - PAD][::-1][:5], code[PAD : PAD + 4]
    tail = np.concatenate([tail, np.zeros(5 - len(tail), dtype=np.uint32)])
    head = np.concatenate([head, np.zeros(4 - len(head), dtype=np.uint32)])
    count = np.uint32(len(nuclei))
    vowels = np.array([0, 0, *(names[phones[i]] for i in nuclei), 0, 0], dtype=np.uint32)
    ends = [*nuclei[1:], len(phones)]
    weight = np.array([min(b - a, 4) for a, b in zip(nuclei, ends, strict=True)], dtype=np.uint32)
    index = np.arange(len(nuclei), dtype=np.uint32)
    back = count - index
    here, left, right = vowels[2:-2], vowels[1:-3], vowels[3:-1]
    shape = np.uint32(sum(int(v) * 17**k for k, v in enumerate(vowels[2:-2][::-1][:4])) & 0xFFFFFF)
    rows = [
        mixed(201, back, count), mixed(202, here, back), mixed(203, here, weight),
        mixed(204, here, left, right), mixed(205, back, weight), mixed(206, here, weight, back),
        *(mixed(210 + k, back, *tail[:k]) for k in range(1, 6)),
        *(mixed(220 + k, back, count, *tail[:k]) for k in range(1, 6)),
        *(mixed(230 + k, index, *head[:k]) for k in range(1, 5)),
        *(mixed(240 + k, index, count, *head[:k]) for k in range(1, 5)),
        mixed(250, back, shape), mixed(251, back, count, shape), mixed(252, index, here, left),
        mixed(253, back, here, right), mixed(254, back, count, vowels[-3], vowels[-4]),
    ]  # fmt: skip
    return np.stack([np.broadcast_to(row, index.shape) for row in rows], axis=1)


@dataclass(frozen=True, slots=True)
class LetterTable:
    """weights : (2 ** TABLE_BITS,), in steps of `step`. chunks : phones that letters may spell.

    choices : for each letter code the numbers of its chunks.
    """

    weights: NDArray[np.int8]
    step: float
    chunks: tuple[Phones, ...]
    choices: tuple[NDArray[np.uint32], ...]


@cache
def letter_table() -> LetterTable:
    """The shipped table."""
    with resources.files("audio.words").joinpath(TABLE).open("rb") as file:
        stored = np.load(file, allow_pickle=False)
        chunks = tuple(tuple(chunk.split()) for chunk in str(stored["chunks"]).split("|"))
        allowed = stored["allowed"]
        return LetterTable(
            weights=stored["weights"],
            step=float(stored["step"]),
            chunks=chunks,
            choices=tuple(np.flatnonzero(row).astype(np.uint32) for row in allowed),
        )


def _chances(
    table: LetterTable, hashes: Hashes, choices: NDArray[np.uint32]
) -> NDArray[np.float64]:
    """Log chance of each choice, from the features' hashes."""
    weights = table.weights[place(hashes[:, None], choices[None, :])]
    scores = weights.sum(axis=0, dtype=np.int64) * table.step
    return np.asarray(scores - np.logaddexp.reduce(scores))


def spell_out(word: str, *, beam: int = BEAM) -> Phones:
    """The likeliest phones of a word, without stress digits; () if no letter speaks."""
    table = letter_table()
    codes = letter_codes(word)
    runs = run_hashes(codes)
    paths: list[tuple[float, tuple[int, ...]]] = [(0.0, (0, 0, 0))]
    for i in range(len(runs)):
        choices = table.choices[int(codes[i + PAD])]
        if not len(choices):
            continue
        offers: list[tuple[float, tuple[int, ...]]] = []
        for score, chosen in paths:
            before = np.array([[chosen[-1], chosen[-2], chosen[-3]]], dtype=np.uint32)
            history = history_hashes(codes, np.array([i]), before)[0]
            chances = _chances(table, np.concatenate([runs[i], history]), choices)
            for choice in np.argsort(-chances)[:beam]:
                step = score + float(chances[choice])
                offers.append((step, (*chosen, int(choices[choice]))))
        paths = sorted(offers, key=lambda offer: -offer[0])[:beam]
    for _, chosen in paths:
        phones = tuple(phone for number in chosen[3:] for phone in table.chunks[number])
        if any(phone in VOWELS for phone in phones):
            return phones
    return tuple(phone for number in paths[0][1][3:] for phone in table.chunks[number])


def stressed_vowel(word: str, phones: Phones) -> int:
    """Which of the vowels (counted from 0) bears the main stress; phones without digits."""
    table = letter_table()
    weights = table.weights[place(stress_hashes(word, phones), np.uint32(1))]
    return int(np.argmax(weights.sum(axis=1, dtype=np.int64)))


REDUCED = frozenset({"AH", "ER", "IH", "IY"})  # vowels that bear no secondary stress as a rule


def with_stress(phones: Phones, main: int) -> Phones:
    """Phones with digits: 1 on the main vowel, 2 on full vowels two or more away, else 0."""
    nuclei = [i for i, phone in enumerate(phones) if phone in VOWELS]
    marked = list(phones)
    for number, i in enumerate(nuclei):
        far = abs(number - main) >= 2 and phones[i] not in REDUCED
        marked[i] += "1" if number == main else "2" if far else "0"
    return tuple(marked)


def sound_out(word: str) -> Phones:
    """The likeliest phones of a word with stress digits; () if its letters say nothing."""
    phones = spell_out(word)
    if not any(phone in VOWELS for phone in phones):
        return phones
    return with_stress(phones, stressed_vowel(word, phones))
