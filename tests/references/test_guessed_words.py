"""Guesses against the CMU dictionary's own entries, for words the guesser cannot have seen.

The shipped letter table is trained without one word family in twenty (by a hash of the stem, so
that inflected relatives are left out as well); the words tested come from these families, and the
guesser's look-up hides all of them. It may see the rest of the dictionary, as it does in use.
"Ordinary" words are those in the vocabulary of pocketsphinx's English language model.
"""

from __future__ import annotations

import random

import pytest
from pocketsphinx import NGramModel, get_model_path

from audio.words.cmu_dictionary import look_up
from audio.words.guess import guess_word
from tests.training.letters import dictionary_words, is_held_out

pytestmark = pytest.mark.reference
WORDS = 500
Phones = tuple[str, ...]


def known(word: str) -> tuple[Phones, ...]:
    return () if is_held_out(word) else look_up(word)


def stresses(phones: Phones) -> list[int]:
    return [int(phone[-1]) for phone in phones if phone[-1].isdigit()]


def same_count(guess: Phones, listed: Phones) -> bool:
    return len(stresses(guess)) == len(stresses(listed))


def same_stress(guess: Phones, listed: Phones) -> bool:
    a, b = stresses(guess), stresses(listed)
    return len(a) == len(b) and 1 in a and 1 in b and a.index(1) == b.index(1)


def test_hidden_ordinary_words_have_their_syllables_and_stress() -> None:
    model = NGramModel.readfile(get_model_path("en-us/en-us.lm.bin"))
    unknown = model.prob(["zorblatted"])
    words = [
        word
        for word, _ in dictionary_words()
        if is_held_out(word) and word.isalpha() and len(word) > 3 and model.prob([word]) != unknown
    ]
    hidden = random.Random(2024).sample(sorted(set(words)), WORDS)

    guesses = {word: guess_word(word, known=known).variants[0] for word in hidden}
    counted = sum(any(same_count(guesses[w], v) for v in look_up(w)) for w in hidden) / WORDS
    stressed = sum(any(same_stress(guesses[w], v) for v in look_up(w)) for w in hidden) / WORDS

    print(
        f"\n{WORDS} of {len(set(words))} held-out ordinary words: syllable count right "
        f"{counted:.3f}, stressed syllable right {stressed:.3f}"
    )
    assert counted >= 0.95
    assert stressed >= 0.85


def test_relatives_of_a_hidden_word_are_hidden_too() -> None:
    for family in (("lantern", "lanterns", "lantern's"), ("walk", "walked", "walking", "walker")):
        assert len({is_held_out(word) for word in family}) == 1
