"""Text into spoken words: phones with lexical stress, and syllables.

Order of trust: the user's own `sounds_like`, then the dictionary, then a guess, which is warned
about. Phones are ARPAbet with stress digits on vowels (0 none, 1 main, 2 secondary). All listed
pronunciations are kept as `variants`, since only the sound can tell which one was said: the
aligner chooses, and `as_said` gives the word with that choice.
What it does not do: heteronyms by grammar ("to record", "a record"); the sound decides.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from audio.errors import TranscriptError
from audio.words.cmu_dictionary import look_up
from audio.words.guess import Guess, guess_word
from audio.words.syllabify import (
    VOWELS,
    is_vowel,
    lay_letters,
    spelling_chunks,
    stress_of,
    syllable_starts,
)
from audio.words.transcript import plain, read_transcript

TEXT_MAX = 100_000  # characters; an hour of talk, the longest clip, has about 60,000
WORD_MAX = 80  # characters of a word nobody lists; the longest listed has 28
Phones = tuple[str, ...]
Origin = Literal["dictionary", "given", "guessed"]
_INITIALS = re.compile(r"(?:[a-z]\.)+[a-z]?")  # listed as words in part, but said as letters
CONSONANTS = frozenset("B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH".split())


@dataclass(frozen=True, slots=True)
class SpokenSyllable:
    """A syllable: its letters, its phones and its lexical stress (0 none, 1 main, 2 secondary)."""

    text: str
    phones: Phones
    stress: int


@dataclass(frozen=True, slots=True)
class SpokenWord:
    """A word as written and how it is said.

    phones : of the pronunciation taken; syllables : their phones joined are `phones`, their texts
    joined are `text` (but for figures, spelled as they are read).
    variants : all pronunciations to be tried on the sound, `phones` among them.
    """

    text: str
    phones: Phones
    syllables: tuple[SpokenSyllable, ...]
    origin: Origin
    variants: tuple[Phones, ...]
    language: str = "en"

    def as_said(self, phones: Phones) -> SpokenWord:
        """The same word with another pronunciation taken (one of `variants`)."""
        if phones == self.phones:
            return self
        spelled = "".join(syllable.text for syllable in self.syllables)
        return replace(self, phones=phones, syllables=syllables_of(spelled, phones))


@dataclass(frozen=True, slots=True)
class Pronounced:
    """The spoken words of a text, in order.

    hints : (index of the word that follows, text in brackets). warnings : one line each.
    marks : what ends after each word ("." a sentence, "," a part of one, "" nothing).
    """

    words: tuple[SpokenWord, ...]
    warnings: tuple[str, ...] = ()
    hints: tuple[tuple[int, str], ...] = ()
    marks: tuple[str, ...] = ()


def _seams(text: str, phones: Phones) -> frozenset[int]:
    """Phones that begin a part of a hyphenated word."""
    hyphens = [i for i, letter in enumerate(plain(text)) if letter == "-"]
    if not hyphens:
        return frozenset()
    laid = lay_letters(plain(text), phones)
    after = (next((p for p, (a, _) in enumerate(laid) if a > hyphen), 0) for hyphen in hyphens)
    return frozenset(after)


def syllables_of(text: str, phones: Phones) -> tuple[SpokenSyllable, ...]:
    """Phones cut into syllables, each with its letters of `text`; a word has one at least."""
    starts = syllable_starts(phones, _seams(text, phones))
    chunks = spelling_chunks(text, phones, starts)
    ends = (*starts[1:], len(phones))
    return tuple(
        SpokenSyllable(chunk, phones[a:b], max(map(stress_of, phones[a:b]), default=0))
        for chunk, a, b in zip(chunks, starts, ends, strict=True)
    )


def parse_phones(text: str, *, word: str) -> Phones:
    """A pronunciation as the user writes it ("T OW1 B IH0 N"), checked; digits may be left out.

    Raises TranscriptError for a phone that is not ARPAbet, or a pronunciation without a vowel.
    """
    phones = tuple(text.upper().split())
    for phone in phones:
        known = phone.rstrip("012") in VOWELS if phone[-1:].isdigit() else phone in CONSONANTS
        if not known and phone not in VOWELS:
            raise TranscriptError(
                f'sounds_like of "{word}": "{phone}" is no ARPAbet phone',
                mend="write phones like T OW1 B IH0 N",
            )
    if not any(map(is_vowel, phones)):
        raise TranscriptError(f'sounds_like of "{word}" has no vowel', mend="add one, like AH0")
    if any(p[-1].isdigit() for p in phones):
        return tuple(f"{p}0" if p in VOWELS else p for p in phones)
    first = next(i for i, p in enumerate(phones) if p in VOWELS)
    return tuple(f"{p}{int(i == first)}" if p in VOWELS else p for i, p in enumerate(phones))


def _spoken(text: str, variants: tuple[Phones, ...], origin: Origin) -> SpokenWord:
    return SpokenWord(text, variants[0], syllables_of(text, variants[0]), origin, variants)


def _guessed(written: str, guess: Guess) -> SpokenWord:
    """A guessed word; the syllables of figures are spelled as read, "for", "ty", "two"."""
    word = _spoken(written, guess.variants, "guessed")
    if not guess.read_as:
        return word
    return replace(word, syllables=syllables_of(guess.read_as.replace(" ", ""), word.phones))


def check_length(text: str) -> None:
    """Refuse a text that cannot be what a clip says.

    Raises TranscriptError.
    """
    if len(text) > TEXT_MAX:
        raise TranscriptError(
            f"{len(text)} characters of text, more than an hour of talk",
            mend="give the words of this clip alone",
        )
    long = next((word for word in text.split() if len(word) > WORD_MAX), None)
    if long is not None:
        raise TranscriptError(
            f'a word of {len(long)} characters: "{long[:20]}..."',
            mend="put spaces between the words",
        )


def pronounce_text(text: str, sounds_like: Mapping[str, str] | None = None) -> Pronounced:
    """The words of an English text with their phones and syllables.

    sounds_like : word (any case) to ARPAbet phones, for words the dictionary lacks or gets wrong.
    Raises TranscriptError if a `sounds_like` cannot be read, or the text or a word of it is too
    long to be said.
    """
    check_length(text)
    given = {
        plain(word): parse_phones(phones, word=word) for word, phones in (sounds_like or {}).items()
    }
    transcript = read_transcript(text)
    words: list[SpokenWord] = []
    warnings: list[str] = []
    for written in transcript.words:
        key = plain(written)
        if key in given:
            words.append(_spoken(written, (given[key],), "given"))
        elif (listed := look_up(key)) and not _INITIALS.fullmatch(key):
            words.append(_spoken(written, listed, "dictionary"))
        else:
            guess = guess_word(key, written)
            words.append(_guessed(written, guess))
            if not guess.sure:
                warnings.append(
                    f'"{written}" is not in the dictionary; guessed as '
                    f"{' '.join(guess.variants[0])} ({guess.how}); set sounds_like if that is wrong"
                )
    said = tuple(dict.fromkeys(warnings))
    return Pronounced(tuple(words), said, transcript.hints, transcript.marks)
