"""Words and phones laid on the sound.

Every spoken word gets a place, always: where the sound cannot be these words, they are spread over
its sounding part with a confidence near 0, and a warning says so. Times are seconds from the clip's
start, half-open. The aligner also chooses among a word's pronunciations; `Alignment.spoken` holds
the words as they were said.
Method: pocketsphinx in two passes (`audio.sphinx`): words with optional silences, then phones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.pronounce import SpokenWord
from audio.reading import Phone, Word
from audio.sphinx import FRAME_S, LaidWord, lay_words

Phones = tuple[str, ...]
SOUNDING_BELOW_PEAK_DB = 35.0  # what is quieter than this under the loudest 20 ms is no speech
NO_CONFIDENCE = 0.02  # words that were only spread over the sound


@dataclass(frozen=True, slots=True)
class Alignment:
    """`words[i]` lies where `spoken[i]` was heard; `spoken` are the words given, as said."""

    words: tuple[Word, ...]
    warnings: tuple[str, ...] = ()
    spoken: tuple[SpokenWord, ...] = ()


def bare_variants(word: SpokenWord) -> tuple[Phones, ...]:
    """The word's pronunciations without stress digits, each once, the taken one first."""
    ordered = (word.phones, *word.variants)
    return tuple(dict.fromkeys(tuple(p.rstrip("012") for p in v) for v in ordered))


def with_digits(word: SpokenWord, bare: Phones) -> Phones:
    """The pronunciation of `word` that reads `bare` without digits."""
    ordered = (word.phones, *word.variants)
    return next(v for v in ordered if tuple(p.rstrip("012") for p in v) == bare)


def sounding_part(samples: NDArray[np.float32]) -> tuple[float, float]:
    """Start and end in seconds of what is louder than the clip's own silence."""
    step = ANALYSIS_RATE_HZ // 50
    count = len(samples) // step
    if count == 0:
        return 0.0, len(samples) / ANALYSIS_RATE_HZ
    power = np.mean(np.square(samples[: count * step].reshape(count, step), dtype=np.float64), 1)
    loud = np.flatnonzero(power >= power.max() * 10 ** (-SOUNDING_BELOW_PEAK_DB / 10))
    return float(loud[0]) * 0.02, float(loud[-1] + 1) * 0.02


def spread_words(spoken: Sequence[SpokenWord], start_s: float, end_s: float) -> tuple[Word, ...]:
    """Words laid evenly by their number of phones, where nothing better is known."""
    total = sum(len(word.phones) for word in spoken)
    step_s = (end_s - start_s) / max(total, 1)
    words: list[Word] = []
    done = 0
    for word in spoken:
        edges = [start_s + step_s * (done + i) for i in range(len(word.phones) + 1)]
        done += len(word.phones)
        phones = tuple(map(Phone, word.phones, edges, edges[1:]))
        words.append(Word(word.text, edges[0], edges[-1], phones, NO_CONFIDENCE))
    return tuple(words)


def _placed(laid: LaidWord, said: SpokenWord) -> Word:
    phones = tuple(
        Phone(name, found.first * FRAME_S, found.end * FRAME_S)
        for name, found in zip(said.phones, laid.phones, strict=True)
    )
    return Word(said.text, phones[0].start_s, phones[-1].end_s, phones, laid.confidence)


def align_words(clip: VoiceClip, spoken: Sequence[SpokenWord]) -> Alignment:
    """Lay words on a clip; `len(words) == len(spoken)` always.

    A warning names what could not be laid on the sound.
    """
    if not spoken:
        return Alignment(())
    variants = [bare_variants(word) for word in spoken]
    laid = lay_words(clip.samples, variants)
    if laid is None:
        words = spread_words(spoken, *sounding_part(clip.samples))
        warning = "the text does not fit the sound; its words are only spread over it"
        return Alignment(words, (warning,), tuple(spoken))
    said = tuple(
        word.as_said(with_digits(word, ways[found.variant]))
        for word, ways, found in zip(spoken, variants, laid, strict=True)
    )
    return Alignment(tuple(map(_placed, laid, said)), (), said)
