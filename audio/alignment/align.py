"""Words and phones laid on the sound.

Every spoken word gets a place, always: where the sound cannot be these words, they are spread over
its sounding part with a confidence near 0, and a warning says so. Times are seconds from the clip's
start, half-open. The aligner also chooses among a word's pronunciations; `Alignment.spoken` holds
the words as they were said.
A long sound is laid roughly as a whole, cut at pauses, and each piece laid finely
(audio.alignment.laying): memory stays bounded, time grows with length, and a piece cannot pull its
neighbours along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audio.alignment.acoustic_model import Floats, english_model
from audio.alignment.anchors import (
    LONGEST_PIECE_S,
    STEP_S,
    RoughWord,
    cut_pieces,
    rough_alignment,
    rough_fits,
)
from audio.alignment.cepstra import HOP
from audio.alignment.confidence import EVERY
from audio.alignment.laying import Placed, bare_variants, lay_stretch, stretch_of
from audio.clip import ANALYSIS_RATE_HZ, VoiceClip
from audio.reading import Phone, Word
from audio.stress.word_weight import is_grammar
from audio.words.pronounce import SpokenWord

SOUNDING_BELOW_PEAK_DB = 35.0  # what is quieter than this under the loudest 20 ms is no speech
NO_CONFIDENCE = 0.02  # words that were only spread over the sound
UNLIKE = (
    0.3  # mean confidence below which the text is not what is said (right texts: 0.9, in noise 0.6)
)
UNLIKE_WORDS = 3  # fewer words may well be shouted, whispered or sung
UNSURE = 0.2  # a word below this is named in a warning where its neighbour is unsure too
# Alone: of 100 words put in place of right ones (espeak-ng, flite, the demo scenes) 79 lie below
# this; of 336 right ones of 150 ms and more that are no words of grammar 9 do, all of espeak-ng.
UNSURE_ALONE = 0.02
SWALLOWED_S = 0.15  # a shorter word is often reduced beyond what the model knows
NAMED_AT_MOST = 6
MISFIT = "the text does not fit the sound"


@dataclass(frozen=True, slots=True)
class Alignment:
    """`words[i]` lies where `spoken[i]` was heard; `spoken` are the words given, as said."""

    words: tuple[Word, ...]
    warnings: tuple[str, ...] = ()
    spoken: tuple[SpokenWord, ...] = ()


def sounding_part(samples: Floats) -> tuple[float, float]:
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


def spread(clip: VoiceClip, spoken: Sequence[SpokenWord]) -> Alignment:
    """Words spread over the sounding part, with the warning that they are only that."""
    words = spread_words(spoken, *sounding_part(clip.samples))
    return Alignment(
        words, (f"{MISFIT}: its words are only spread over it; check the text",), tuple(spoken)
    )


def _moved(rough: RoughWord, frames: int) -> RoughWord:
    return RoughWord(tuple(edge - frames for edge in rough.edges))


def _piecewise(samples: Floats, spoken: Sequence[SpokenWord]) -> list[Placed] | None:
    """Words laid piece by piece; None if there are more phones than the sound can hold."""
    model = english_model()
    fits = rough_fits(samples, model)
    rough = rough_alignment(fits, [bare_variants(word)[0] for word in spoken], model)
    if rough is None:
        return None
    placed: list[Placed] = []
    step = HOP * EVERY
    for piece in cut_pieces(rough, len(fits)):
        part = samples[piece.start * step : piece.end * step]
        stretch = stretch_of(part, piece.start * STEP_S, fits[piece.start : piece.end])
        mine = slice(piece.first_word, piece.end_word)
        anchors = [_moved(word, piece.start) for word in rough[mine]]
        found = lay_stretch(stretch, spoken[mine], anchors)
        if found is not None:
            placed.append(found)
    return placed


def _weak(word: Word) -> bool:
    """Whether a word may be swallowed in good speech: short, or of the grammar."""
    return word.end_s - word.start_s < SWALLOWED_S or is_grammar(word.text)


def doubted(words: Sequence[Word]) -> list[int]:
    """Indexes of the words the sound does not seem to say.

    One word alone is doubted if it is hardly swallowed and fits badly; two or more that are unsure
    side by side are doubted together if one of them is.
    """
    runs: list[list[int]] = []
    for index, word in enumerate(words):
        if word.confidence < UNSURE:
            if runs and runs[-1][-1] == index - 1:
                runs[-1].append(index)
            else:
                runs.append([index])
    found: list[int] = []
    for run in runs:
        clear = [i for i in run if not _weak(words[i])]
        if clear and (len(run) > 1 or words[run[0]].confidence < UNSURE_ALONE):
            found += run
    return found


def doubts(words: Sequence[Word]) -> tuple[str, ...]:
    """One warning that names the words the sound does not seem to say."""
    unsure = [f'"{words[i].text}" ({i + 1})' for i in doubted(words)]
    if not unsure:
        return ()
    more = f" and {len(unsure) - NAMED_AT_MOST} more" if len(unsure) > NAMED_AT_MOST else ""
    names = ", ".join(unsure[:NAMED_AT_MOST])
    return (f"the sound may not say these words of the text: {names}{more}",)


def align_words(clip: VoiceClip, spoken: Sequence[SpokenWord]) -> Alignment:
    """Lay words on a clip; `len(words) == len(spoken)` always, in order, none before the last.

    Warnings name words the sound does not seem to say (counted from 1), or say that the whole text
    does not fit.
    """
    if not spoken:
        return Alignment(())
    samples = clip.samples
    if len(samples) <= LONGEST_PIECE_S * ANALYSIS_RATE_HZ:
        found = lay_stretch(stretch_of(samples), spoken)
        placed = None if found is None else [found]
    else:
        placed = _piecewise(samples, spoken)
    words = tuple(word for part in placed or () for word in part.words)
    if len(words) != len(spoken):
        return spread(clip, spoken)
    mean = sum(word.confidence for word in words) / len(words)
    said = tuple(word for part in placed or () for word in part.said)
    if mean < UNLIKE and len(words) >= UNLIKE_WORDS:
        # Laid all the same: in an odd voice a right text fits badly, and still lies well.
        return Alignment(words, (f"{MISFIT} well; check the text",), said)
    return Alignment(words, doubts(words), said)
