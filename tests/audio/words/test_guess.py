"""Words nobody listed: figures, clitics, laughs, stutters, cut-off words, and plain letters."""

from __future__ import annotations

import pytest

from audio.words.cmu_dictionary import look_up
from audio.words.guess import guess_word
from audio.words.letters import sound_out
from audio.words.pronounce import pronounce_text
from audio.words.syllabify import is_vowel


def said(word: str, written: str = "") -> str:
    return " ".join(guess_word(word, written).variants[0])


@pytest.mark.parametrize(
    ("word", "phones"),
    [
        ("tobin's", "T OW1 B IH0 N Z"),  # clitic on a listed name
        ("shouldn't've", "SH UH1 D AH0 N T AH0 V"),
        ("rememberin'", "R IH0 M EH1 M B ER0 IH0 N"),  # g dropped
        ("haha", "HH AA1 HH AA0"),  # spelled laughs, a beat a syllable
        ("heehee", "HH IY1 HH IY0"),
        ("ahahaha", "AA1 HH AA0 HH AA0 HH AA0"),
        ("i-i", "AY1 AY1"),  # stutters
        ("w-what", "W AH0 W AH1 T"),
        ("umbr-", "AH1 M B R"),  # cut off
        ("well-", "W EH1 L"),
        ("nooo", "N OW1"),  # drawn out
        ("yesss", "Y EH1 S"),
        ("42", "F AO1 R T IY0 T UW1"),
        ("cold-hearted", "K OW1 L D HH AA1 R T AH0 D"),
        ("slowpokes", "S L OW1 P OW2 K S"),  # a listed stem and an ending
        ("zxq", "Z IY1 EH1 K S K Y UW1"),  # no vowel: letter by letter
    ],
)
def test_words_are_made_of_what_is_known(word: str, phones: str) -> None:
    assert look_up(word) == ()
    assert said(word) == phones


def test_every_guess_has_a_vowel_whatever_the_word() -> None:
    for word in (
        "brrk",
        "str-",
        "th-",
        "\u65e5\u672c",
        "-",
        "'",
        "caf\u00e9",
        "7x",
        "x" * 40,
        "mmm-",
    ):
        assert any(map(is_vowel, guess_word(word).variants[0])), word


def test_guesses_made_of_listed_words_alone_are_not_warned_about() -> None:
    pronounced = pronounce_text("Tobin's 42 cold-hearted w-what hahaha, but zorblats!")

    assert [w.split('"')[1] for w in pronounced.warnings] == ["zorblats"]
    assert "(by its letters); set sounds_like if that is wrong" in pronounced.warnings[0]


def test_figures_have_the_syllables_of_their_words() -> None:
    word = pronounce_text("$42").words[0]

    assert word.text == "$42"
    assert [s.text for s in word.syllables] == ["for", "ty", "two", "dol", "lars"]


def test_an_initialism_is_said_letter_by_letter() -> None:
    assert said("u.s.") == "Y UW1 EH1 S"
    assert [w.text for w in pronounce_text("the U.S. team").words] == ["the", "U.S.", "team"]


def test_a_guess_never_asks_about_a_hidden_word() -> None:
    hidden = {"umbrella", "umbrellas"}

    def known(word: str) -> tuple[tuple[str, ...], ...]:
        return () if word in hidden else look_up(word)

    guess = guess_word("umbrellas", known=known)

    assert guess.how in ("by its letters", "from its stem")
    assert guess.variants[0][-1] == "Z"


def test_letters_alone_give_phones_with_one_main_stress() -> None:
    for word in ("zorblat", "blenkinsop", "mirthlessly", "quorvane"):
        phones = sound_out(word)

        assert sum(phone.endswith("1") for phone in phones) == 1
        assert all(phone[-1].isdigit() == is_vowel(phone) for phone in phones)
