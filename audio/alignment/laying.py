"""A stretch of sound and the words said in it: each phone's place, settled and trusted or not.

The decoder's two passes go first; where their words are in doubt the rough pass
(audio.alignment.anchors) is asked too, and the better of both is kept: that finds a word pass that
slipped. Times are seconds from the clip's start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audio.alignment.acoustic_model import STATES, Floats, english_model
from audio.alignment.anchors import RoughWord, rough_alignment
from audio.alignment.cepstra import FRAME_S, RATE_HZ, cepstra, streams
from audio.alignment.confidence import EVERY, phone_fits, said_frames, word_confidence
from audio.alignment.settle import LaidPhone, chain_of, settle
from audio.alignment.sphinx import lay_words
from audio.reading import Phone, Word
from audio.words.pronounce import SpokenWord

Phones = tuple[str, ...]
DOUBT = 0.5  # mean confidence of a stretch below which the rough pass is asked as well
SLIPPED = 0.2  # by so much surer must the rough pass be, since it seeks what confidence measures
STOPS = frozenset("P B T D K G CH JH".split())
LEVEL_STEP = 40  # samples, 2.5 ms
BURST_BELOW_PEAK_DB = 25.0  # a stop is first heard this far under the loudest of its surroundings
AFTER_STOP_S = 0.03


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of a clip: samples, their cepstra with changes, how each phone fits, where it begins.

    fits : None until somebody needs all of them; most of the time only those of the words count.
    """

    samples: Floats
    heard: Floats
    fits: Floats | None
    start_s: float

    def all_fits(self) -> Floats:
        """How well each phone fits every EVERY-th frame."""
        return phone_fits(self.heard, english_model()) if self.fits is None else self.fits


@dataclass(frozen=True, slots=True)
class Placed:
    """Words laid on a stretch, and the pronunciations they were said with."""

    words: tuple[Word, ...]
    said: tuple[SpokenWord, ...]

    @property
    def confidence(self) -> float:
        """Mean over the words."""
        return sum(word.confidence for word in self.words) / max(len(self.words), 1)


def bare_variants(word: SpokenWord) -> tuple[Phones, ...]:
    """The word's pronunciations without stress digits, each once, the taken one first."""
    ordered = (word.phones, *word.variants)
    return tuple(dict.fromkeys(tuple(p.rstrip("012") for p in v) for v in ordered))


def with_digits(word: SpokenWord, bare: Phones) -> Phones:
    """The pronunciation of `word` that reads `bare` without digits."""
    ordered = (word.phones, *word.variants)
    return next(v for v in ordered if tuple(p.rstrip("012") for p in v) == bare)


def stretch_of(samples: Floats, start_s: float = 0.0, fits: Floats | None = None) -> Stretch:
    """A stretch, with its fits if they are known already."""
    return Stretch(samples, streams(cepstra(samples)), fits, start_s)


def _burst_s(samples: Floats, start_s: float, end_s: float) -> float:
    """When a stop after silence is first heard: its closure before cannot be told from silence."""
    first = int(start_s * RATE_HZ)
    part = samples[first : int((end_s + AFTER_STOP_S) * RATE_HZ)]
    count = len(part) // LEVEL_STEP
    if count < 2:
        return start_s
    power = np.square(part[: count * LEVEL_STEP]).reshape(count, LEVEL_STEP).mean(axis=1)
    loud = np.flatnonzero(power >= power.max() * 10 ** (-BURST_BELOW_PEAK_DB / 10))
    heard_s = (first + int(loud[0]) * LEVEL_STEP) / RATE_HZ
    return min(max(start_s, heard_s), end_s - FRAME_S) if end_s - start_s > FRAME_S else start_s


def _place(stretch: Stretch, chain: list[LaidPhone], said: Sequence[SpokenWord]) -> Placed:
    """Words from a chain of phones: boundaries settled, confidence weighed."""
    model = english_model()
    edges = settle(stretch.heard, chain, model)
    fits = stretch.fits
    if fits is None:
        count = -(-stretch.heard.shape[1] // EVERY)
        fits = phone_fits(stretch.heard, model, said_frames(chain, edges, count))
    trust = word_confidence(fits, chain, edges, model, len(said))
    times_s: list[float] = np.minimum(edges * FRAME_S, len(stretch.samples) / RATE_HZ).tolist()
    places: list[list[tuple[float, float]]] = [[] for _ in said]
    for i, phone in enumerate(chain):
        if phone.word < 0:
            continue
        start_s, end_s = times_s[i], times_s[i + 1]
        if phone.phone in STOPS and chain[i - 1].word < 0:
            start_s = _burst_s(stretch.samples, start_s, end_s)
        places[phone.word].append((stretch.start_s + start_s, stretch.start_s + end_s))
    return Placed(tuple(map(_word, said, places, trust)), tuple(said))


def _word(word: SpokenWord, places: list[tuple[float, float]], confidence: float) -> Word:
    phones = tuple(Phone(name, *place) for name, place in zip(word.phones, places, strict=True))
    return Word(word.text, phones[0].start_s, phones[-1].end_s, phones, confidence)


def by_decoder(stretch: Stretch, spoken: Sequence[SpokenWord]) -> Placed | None:
    """Words laid by the decoder's two passes; None where they do not fit."""
    variants = [bare_variants(word) for word in spoken]
    laid = lay_words(stretch.samples, variants)
    if laid is None:
        return None
    said = [
        word.as_said(with_digits(word, ways[choice]))
        for word, ways, choice in zip(spoken, variants, laid.variants, strict=True)
    ]
    return _place(stretch, chain_of(laid.phones, english_model(), stretch.heard.shape[1]), said)


def by_anchors(
    stretch: Stretch, spoken: Sequence[SpokenWord], rough: Sequence[RoughWord]
) -> Placed:
    """Words laid where the rough pass has them; its frames count from the stretch's start."""
    model = english_model()
    phones: list[LaidPhone] = []
    for number, (word, place) in enumerate(zip(spoken, rough, strict=True)):
        frames = [max(EVERY * edge - 1, 0) for edge in place.edges]  # in the decoder's time
        if phones and frames[0] > phones[-1].end:
            phones.append(LaidPhone("SIL", phones[-1].end, frames[0], (), -1))
        for name, first, end in zip(bare_variants(word)[0], frames, frames[1:], strict=False):
            states = STATES * model.book(name)
            senones = tuple(range(states, states + STATES))
            phones.append(LaidPhone(name, first, end, senones, number))
    return _place(stretch, chain_of(phones, model, stretch.heard.shape[1]), spoken)


def lay_stretch(
    stretch: Stretch, spoken: Sequence[SpokenWord], rough: Sequence[RoughWord] | None = None
) -> Placed | None:
    """The better of the decoder's and the rough pass's places, or None if nothing fits.

    rough : from a rough pass already made, in frames from the stretch's start.
    """
    fine = by_decoder(stretch, spoken)
    if fine is not None and fine.confidence >= DOUBT:
        return fine
    if rough is None:
        phones = [bare_variants(word)[0] for word in spoken]
        stretch = replace(stretch, fits=stretch.all_fits())
        assert stretch.fits is not None
        rough = rough_alignment(stretch.fits, phones, english_model())
    if rough is None:
        return fine
    anchored = by_anchors(stretch, spoken, rough)
    if fine is None or anchored.confidence > fine.confidence + SLIPPED:
        return anchored
    return fine
