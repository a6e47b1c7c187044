"""Words of languages other than English: said by espeak-ng, and laid on the sound by time warping.

Espeak-ng speaks the text and tells when each phone begins; dynamic time warping (librosa) between
its speech and the voice's carries these times over. Coarser than the English aligner: there is no
acoustic model of the language, only another voice saying the same. Lexical stress is espeak-ng's.
Confidence says how much nearer the two are along the path than at random; it is rough.
Sound longer than LONGEST_S is not laid (the warping takes memory by the square of the length).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from audio.alignment.acoustic_model import Floats
from audio.alignment.cepstra import FRAME_S, HOP, RATE_HZ, cepstra, streams
from audio.languages.espeak import SpokenPhone, Synthetic, synthesise
from audio.reading import Phone, Word
from audio.words.syllabify import is_vowel

if TYPE_CHECKING:
    from audio.words.pronounce import SpokenWord

VOICES = {"en": "en-us"}  # where the voice is not named as the language
LONGEST_S = 120.0
BETWEEN_WORDS_S = 0.02  # kept around a word that is spoken by itself
CHANGE_WEIGHT = 0.5  # of the cepstra's change, against the cepstra
Phones = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Speech:
    """Synthetic speech at 16 kHz and, word by word, the times of its phones."""

    samples: Floats
    words: tuple[tuple[SpokenPhone, ...], ...]

    @property
    def phones(self) -> tuple[Phones, ...]:
        """Names of the phones of each word, with stress marks."""
        return tuple(tuple(phone.phone for phone in word) for word in self.words)


def _at_16_khz(synthetic: Synthetic) -> Floats:
    import librosa

    resampled = librosa.resample(
        synthetic.samples, orig_sr=synthetic.rate_hz, target_sr=RATE_HZ, res_type="soxr_hq"
    )
    return np.asarray(resampled, dtype=np.float32)


def _in_one(words: tuple[str, ...], voice: str) -> Speech | None:
    """The words as one sentence; None if a word got no phones of its own (run together)."""
    text, starts = "", []
    for word in words:
        starts.append(len(text))
        text += f"{word} "
    synthetic = synthesise(text, voice)
    mine: list[list[SpokenPhone]] = [[] for _ in words]
    for phone in synthetic.phones:
        if phone.phone:
            mine[int(np.searchsorted(starts, phone.letter, side="right")) - 1].append(phone)
    if not all(any(is_vowel(phone.phone) for phone in part) or len(part) for part in mine):
        return None
    return Speech(_at_16_khz(synthetic), tuple(map(tuple, mine)))


def _one_by_one(words: tuple[str, ...], voice: str) -> Speech:
    """The words spoken each by itself and joined."""
    parts: list[Floats] = []
    spoken: list[tuple[SpokenPhone, ...]] = []
    at_s = 0.0
    for word in words:
        synthetic = synthesise(word, voice)
        phones = [phone for phone in synthetic.phones if phone.phone]
        phones = phones or [
            SpokenPhone("\u0259", 0.0, len(synthetic.samples) / synthetic.rate_hz, 0)
        ]
        samples = _at_16_khz(synthetic)
        first_s = max(phones[0].start_s - BETWEEN_WORDS_S, 0.0)
        last_s = phones[-1].end_s + BETWEEN_WORDS_S
        part = samples[int(first_s * RATE_HZ) : int(last_s * RATE_HZ)]
        shift_s = at_s - first_s
        spoken.append(
            tuple(SpokenPhone(p.phone, p.start_s + shift_s, p.end_s + shift_s, 0) for p in phones)
        )
        parts.append(part)
        at_s += len(part) / RATE_HZ
    return Speech(np.concatenate(parts) if parts else np.zeros(0, np.float32), tuple(spoken))


@lru_cache(maxsize=32)
def speak_words(words: tuple[str, ...], language: str) -> Speech:
    """Words spoken by espeak-ng in a language, with the times of their phones.

    Raises TranscriptError if the extra `languages` is missing or the language unknown.
    """
    voice = VOICES.get(language, language)
    return _in_one(words, voice) or _one_by_one(words, voice)


def _features(samples: Floats) -> Floats:
    """Cepstra and their change, each of unit spread: shape (26, frames)."""
    level, change, _ = streams(cepstra(samples))
    both = [part / np.maximum(part.std(axis=0), 1e-6) for part in (level, change)]
    return np.asarray(np.concatenate([both[0], CHANGE_WEIGHT * both[1]], axis=1).T)


def lay_foreign(
    samples: Floats, spoken: Sequence[SpokenWord], start_s: float, end_s: float
) -> tuple[Word, ...] | None:
    """Words on the sounding part of a clip, start_s to end_s; None if it is too short or long.

    spoken : all of one language, as audio.words.pronounce gave them.
    """
    import librosa

    speech = speak_words(tuple(word.text for word in spoken), spoken[0].language)
    part = samples[int(start_s * RATE_HZ) : int(end_s * RATE_HZ)]
    first, last = speech.words[0][0].start_s, speech.words[-1][-1].end_s
    model = speech.samples[int(first * RATE_HZ) : int(last * RATE_HZ)]
    if len(part) < 10 * HOP or len(part) > LONGEST_S * RATE_HZ or len(model) < 10 * HOP:
        return None
    costs, path = librosa.sequence.dtw(_features(model), _features(part), metric="cosine")
    times, nearness = _along(costs, path[::-1])
    words: list[Word] = []
    for word, phones in zip(spoken, speech.words, strict=True):
        edges = [phones[0].start_s, *(phone.end_s for phone in phones)]
        at = np.interp(np.array(edges) - first, np.arange(len(times)) * FRAME_S, times) + start_s
        at = np.minimum(np.maximum.accumulate(at), len(samples) / RATE_HZ).tolist()
        frames = slice(int((edges[0] - first) / FRAME_S), int((edges[-1] - first) / FRAME_S) + 1)
        trust = float(np.clip(nearness[frames].mean(), 0.0, 1.0))
        laid = tuple(map(Phone, (phone.phone for phone in phones), at, at[1:]))
        words.append(Word(word.text, at[0], at[-1], laid, trust))
    return tuple(words)


def _along(
    costs: NDArray[np.float64], path: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """For each frame of the model: its time in the voice, and how near the voice is there.

    Nearness is 1 where the frames are alike and 0 where their cosine distance is 1, as at random.
    """
    total = costs[path[:, 0], path[:, 1]]
    steps = np.diff(total, prepend=0.0)
    count = np.bincount(path[:, 0], minlength=costs.shape[0])
    times = np.bincount(path[:, 0], weights=path[:, 1]) / count * FRAME_S
    near = 1.0 - np.bincount(path[:, 0], weights=steps) / count
    return np.maximum.accumulate(times), near
