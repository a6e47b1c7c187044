"""A text in another language than English: its spoken words, and their places on the sound.

Does for other languages what `words.pronounce` and `alignment.align` do for English, with
espeak-ng's phones (IPA) and time warping (`other_languages`): coarser, see there.
"""

from __future__ import annotations

from collections.abc import Sequence

from audio.alignment.align import Alignment, doubts, sounding_part, spread
from audio.clip import VoiceClip
from audio.languages.other_languages import lay_foreign, speak_words
from audio.words.pronounce import Pronounced, SpokenWord, check_length, syllables_of
from audio.words.transcript import read_transcript


def pronounce_foreign(text: str, language: str) -> Pronounced:
    """The words of a text in a language espeak-ng speaks ("es", "fr", "de", "it"...).

    Raises TranscriptError if the language is not to be had, or the text is too long to be said.
    """
    check_length(text)
    transcript = read_transcript(text)
    speech = speak_words(transcript.words, language) if transcript.words else None
    words = tuple(
        SpokenWord(written, phones, syllables_of(written, phones), "guessed", (phones,), language)
        for written, phones in zip(transcript.words, speech.phones if speech else (), strict=True)
    )
    return Pronounced(words, (), transcript.hints, transcript.marks)


def align_foreign(clip: VoiceClip, spoken: Sequence[SpokenWord]) -> Alignment:
    """Words of one language laid on a clip; as `align_words` promises."""
    if not spoken:
        return Alignment(())
    words = lay_foreign(clip.samples, spoken, *sounding_part(clip.samples))
    if words is None:
        return spread(clip, spoken)
    return Alignment(words, doubts(words), tuple(spoken))
