"""Text into spoken words: what is a word, whose pronunciation counts, what is warned about."""

from __future__ import annotations

import pytest

from audio.errors import TranscriptError
from audio.words.pronounce import parse_phones, pronounce_text
from audio.words.transcript import read_transcript


def test_words_stay_as_written_without_their_outer_punctuation() -> None:
    text = (
        "\u201cThat\u2019s the THIRD umbrella \u2014 this week...right?\u201d cold-hearted, 'tis!"
    )

    assert [w.text for w in pronounce_text(text).words] == [
        "That\u2019s", "the", "THIRD", "umbrella", "this", "week", "right", "cold-hearted", "'tis",
    ]  # fmt: skip


def test_what_stands_in_brackets_is_a_hint_before_its_word() -> None:
    transcript = read_transcript("[sighs] No. (laughs softly) Not *gasp* today.")

    assert transcript.words == ("No", "Not", "today")
    assert transcript.hints == ((0, "sighs"), (1, "laughs softly"), (2, "gasp"))


def test_quotation_marks_fall_but_apostrophes_of_the_word_stay() -> None:
    words = read_transcript("'hello' he's nothin' dogs' 'em rock 'n' roll, 'twas").words

    assert words == ("hello", "he's", "nothin'", "dogs'", "'em", "rock", "'n", "roll", "'twas")


def test_dictionary_gives_phones_syllables_and_all_variants() -> None:
    word = pronounce_text("umbrella").words[0]

    assert word.phones == ("AH0", "M", "B", "R", "EH1", "L", "AH0")
    assert [(s.text, s.stress) for s in word.syllables] == [("um", 0), ("brel", 1), ("la", 0)]
    assert word.origin == "dictionary"
    assert word.phones in word.variants


def test_sounds_like_wins_over_the_dictionary_and_ignores_case() -> None:
    word = pronounce_text("Read", {"read": "R EH1 D"}).words[0]

    assert (word.origin, word.phones, word.variants) == (
        "given", ("R", "EH1", "D"), (("R", "EH1", "D"),),
    )  # fmt: skip


def test_phones_without_digits_are_stressed_on_the_first_vowel() -> None:
    assert parse_phones("t ow b ih n", word="Tobin") == ("T", "OW1", "B", "IH0", "N")
    assert parse_phones("T OW B IH1 N", word="Tobin") == ("T", "OW0", "B", "IH1", "N")


@pytest.mark.parametrize(
    ("phones", "message"),
    [
        ("T OW1 X", 'sounds_like of "Tobin": "X" is no ARPAbet phone; write phones like'),
        ("T1 OW1", '"T1" is no ARPAbet phone'),
        ("T B N", 'sounds_like of "Tobin" has no vowel; add one, like AH0'),
        ("", "has no vowel"),
    ],
)
def test_phones_that_cannot_be_read_are_refused_in_one_line(phones: str, message: str) -> None:
    with pytest.raises(TranscriptError) as caught:
        pronounce_text("Tobin waits", {"Tobin": phones})

    assert message in str(caught.value)


def test_a_guessed_word_is_warned_about_once() -> None:
    pronounced = pronounce_text("zorblat and zorblat")

    assert [w.origin for w in pronounced.words] == ["guessed", "dictionary", "guessed"]
    assert len(pronounced.warnings) == 1
    assert '"zorblat" is not in the dictionary' in pronounced.warnings[0]


def test_as_said_takes_another_pronunciation_with_its_own_syllables() -> None:
    word = pronounce_text("every").words[0]
    short = next(v for v in word.variants if sum(p[-1].isdigit() for p in v) == 2)

    said = word.as_said(short)

    assert said.phones == short
    assert len(said.syllables) == 2
    assert "".join(s.text for s in said.syllables) == "every"


@pytest.mark.parametrize("text", ["", "   ", "...", "[sighs]", "-- \u2014 !"])
def test_text_without_words_gives_none(text: str) -> None:
    assert pronounce_text(text).words == ()


def test_marks_stand_after_their_words() -> None:
    text = '"No." Mr. Gray, who knew... [sighs] went on; he left - quietly -- then: U.S. air?'
    marks = read_transcript(text).marks
    words = read_transcript(text).words
    assert dict(zip(words, marks, strict=True)) == {
        "No": ".", "Mr": "", "Gray": ",", "who": "", "knew": ".", "went": "", "on": ",", "he": "",
        "left": "", "quietly": ",", "then": ",", "U.S.": "", "air": ".",
    }  # fmt: skip
