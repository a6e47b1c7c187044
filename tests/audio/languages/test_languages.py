"""Other languages: espeak-ng's own speech, by another of its voices, is laid where it lies.

This proves that the times are carried over, not that another speaker's accent is followed.
"""

from __future__ import annotations

import numpy as np
import pytest

from audio.clip import clip_from_samples
from audio.errors import TranscriptError
from audio.stress.word_weight import BOUND, CONTENT, word_weight

pytest.importorskip("espeakng_loader")

LINES = {
    "es": "Ma\u00f1ana por la ma\u00f1ana iremos todos juntos al mercado.",
    "fr": "Demain matin nous irons tous ensemble au march\u00e9.",
    "de": "Morgen fr\u00fch gehen wir alle zusammen auf den Markt.",
    "it": "Domani mattina andremo tutti insieme al mercato.",
}
SILENCE_S = 0.4


@pytest.mark.parametrize("language", sorted(LINES))
def test_phones_of_another_voice_lie_within_a_frame(language: str) -> None:
    from audio.languages.espeak import synthesise
    from audio.languages.foreign_words import align_foreign, pronounce_foreign

    voice = synthesise(LINES[language], f"{language}+f2", words_a_minute=120)
    quiet = np.zeros(int(SILENCE_S * voice.rate_hz), dtype=np.float32)
    clip = clip_from_samples(np.concatenate([quiet, voice.samples, quiet]), voice.rate_hz)
    spoken = pronounce_foreign(LINES[language], language).words

    alignment = align_foreign(clip, spoken)

    heard = [phone for word in alignment.words for phone in word.phones]
    truth = [phone for phone in voice.phones if phone.phone]
    assert [phone.phone for phone in heard] == [phone.phone for phone in truth]
    errors_ms = [
        1000 * abs(a.start_s - b.start_s - SILENCE_S) for a, b in zip(heard, truth, strict=True)
    ]
    assert np.median(errors_ms) < 20
    assert np.mean(np.array(errors_ms) < 1000 / 24) >= 0.9
    assert [word.text for word in alignment.words] == [word.text for word in spoken]


@pytest.mark.parametrize(
    ("language", "word", "stresses"),
    [
        ("es", "ma\u00f1ana", [0, 1, 0]),
        ("it", "insieme", [0, 0, 1, 0]),
        ("de", "Morgen", [1, 0]),
        ("fr", "demain", [0, 1]),
    ],
)
def test_lexical_stress_is_where_speakers_put_it(
    language: str, word: str, stresses: list[int]
) -> None:
    """Common knowledge of these languages: the penult, the penult, the first, the last."""
    from audio.languages.foreign_words import pronounce_foreign

    spoken = pronounce_foreign(word, language).words[0]

    assert [syllable.stress for syllable in spoken.syllables] == stresses
    assert "".join(syllable.text for syllable in spoken.syllables) == word


def test_an_unknown_language_is_refused_in_one_line() -> None:
    from audio.languages.foreign_words import pronounce_foreign

    with pytest.raises(TranscriptError, match='espeak-ng knows no language "xx-none"; try es'):
        pronounce_foreign("hola", "xx-none")


@pytest.mark.parametrize(
    ("language", "grammar", "content"),
    [("es", "para", "mercado"), ("de", "auf", "Markt"), ("fr", "l'", "march\u00e9"),
     ("it", "dell'", "mercato"), ("fr-ca", "dans", "demain")],
)  # fmt: skip
def test_words_of_grammar_are_known(language: str, grammar: str, content: str) -> None:
    assert word_weight(grammar, language) == BOUND
    assert word_weight(content, language) == CONTENT
