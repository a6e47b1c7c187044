"""Figures are read as English speakers read them (common usage)."""

from __future__ import annotations

import pytest

from audio.words.spoken_numbers import cardinal, figures_in_words, ordinal, year


@pytest.mark.parametrize(
    ("token", "words"),
    [
        ("0", "zero"),
        ("13", "thirteen"),
        ("42", "forty two"),
        ("100", "one hundred"),
        ("1,000,000", "one million"),
        ("100,000", "one hundred thousand"),
        ("1984", "nineteen eighty four"),
        ("1,984", "one thousand nine hundred eighty four"),
        ("2003", "two thousand three"),
        ("1905", "nineteen oh five"),
        ("3.14", "three point one four"),
        ("50%", "fifty percent"),
        ("2nd", "second"),
        ("21st", "twenty first"),
        ("30th", "thirtieth"),
        ("$5", "five dollars"),
        ("$1", "one dollar"),
        ("$2.50", "two dollars fifty cents"),
        ("\u00a33.20", "three pounds twenty pence"),
        ("10:30", "ten thirty"),
        ("7:05pm", "seven oh five p m"),
        ("7:00", "seven o'clock"),
        ("1990s", "nineteen nineties"),
        ("007", "zero zero seven"),
        ("mp3", "mp three"),
        ("&", "and"),
        ("\u00bd", "one half"),
        ("umbrella", ""),
        ("\u0664", "four"),
    ],
)
def test_figures_and_signs_are_read_as_spoken(token: str, words: str) -> None:
    assert " ".join(figures_in_words(token)) == words


def test_numbers_of_every_size_have_words() -> None:
    assert " ".join(cardinal(10**12 - 1)).startswith("nine hundred ninety nine billion")
    assert " ".join(ordinal(112)) == "one hundred twelfth"
    assert " ".join(year(1900)) == "nineteen hundred"
    for number in (-1, 10**12):
        with pytest.raises(ValueError, match="no words for"):
            cardinal(number)
