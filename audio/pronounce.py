"""Text into spoken words: phones with lexical stress, and syllables.

Order of trust: the user's own `sounds_like`, then the dictionary, then a guess, which is warned
about. Phones are ARPAbet with stress digits on vowels (0 none, 1 main, 2 secondary). All listed
pronunciations are kept as `variants`, since only the sound can tell which one was said: the
aligner chooses, and `as_said` gives the word with that choice.
What it does not do: heteronyms by grammar ("to record", "a record"); the sound decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from audio.cmu_dictionary import look_up
from audio.errors import TranscriptError
from audio.guess import guess_word
from audio.syllabify import VOWELS, is_vowel, spelling_chunks, stress_of, syllable_starts
from audio.transcript import plain, read_transcript

Phones = tuple[str, ...]
Origin = Literal["dictionary", "given", "guessed"]
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

    phones : of the pronunciation taken; syllables : their phones joined are `phones`.
    variants : all pronunciations to be tried on the sound, `phones` among them.
    """

    text: str
    phones: Phones
    syllables: tuple[SpokenSyllable, ...]
    origin: Origin
    variants: tuple[Phones, ...]

    def as_said(self, phones: Phones) -> SpokenWord:
        """The same word with another pronunciation taken (one of `variants`)."""
        if phones == self.phones:
            return self
        return replace(self, phones=phones, syllables=syllables_of(self.text, phones))


@dataclass(frozen=True, slots=True)
class Pronounced:
    """The spoken words of a text, in order.

    hints : (index of the word that follows, text in brackets). warnings : one line each.
    """

    words: tuple[SpokenWord, ...]
    warnings: tuple[str, ...] = ()
    hints: tuple[tuple[int, str], ...] = ()


def syllables_of(text: str, phones: Phones) -> tuple[SpokenSyllable, ...]:
    """Phones cut into syllables, each with its letters of `text`; a word has one at least."""
    starts = syllable_starts(phones)
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


def pronounce_text(text: str, sounds_like: Mapping[str, str] | None = None) -> Pronounced:
    """The words of a text with their phones and syllables.

    sounds_like : word (any case) to ARPAbet phones, for words the dictionary lacks or gets wrong.
    Raises TranscriptError if a `sounds_like` cannot be read.
    """
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
        elif listed := look_up(key):
            words.append(_spoken(written, listed, "dictionary"))
        else:
            guess = guess_word(key)
            words.append(_spoken(written, guess.variants, "guessed"))
            warnings.append(
                f'"{written}" is not in the dictionary; guessed as {" ".join(guess.variants[0])}'
                f" ({guess.how}); set sounds_like if that is wrong"
            )
    return Pronounced(tuple(words), tuple(dict.fromkeys(warnings)), transcript.hints)
