"""The acoustic model, held once per process: words and phones laid on samples in two passes.

The decoder is pocketsphinx with the English model of its wheel, without a dictionary of its own:
each word comes with its pronunciations. First pass: which pronunciation of each word, with what
silences between; second pass: the phones inside the words. Frames are 10 ms.
A lock makes it safe to call from several threads (one at a time aligns).
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

FRAME_S = 0.010  # pocketsphinx's frame rate of 100 a second
SHORTEST_SAMPLES = 1600  # 0.1 s at 16 kHz: less holds no frame whose change can be measured
SCORE_SCALE = 40.0  # acoustic score a frame (pocketsphinx's units) that means 1/e
_LOCK = threading.Lock()
Phones = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LaidPhone:
    """A phone without its stress digit, on frames [first, end)."""

    phone: str
    first: int
    end: int


@dataclass(frozen=True, slots=True)
class LaidWord:
    """Word number `word`, said as its pronunciation number `variant`."""

    word: int
    variant: int
    phones: tuple[LaidPhone, ...]
    confidence: float


class Aligner:
    """One decoder and the pronunciations it has been told."""

    def __init__(self) -> None:
        from pocketsphinx import Decoder

        self._decoder: Any = Decoder(lm=None, dict=None, bestpath=False, loglevel="FATAL")
        self._names: dict[tuple[Phones, ...], str] = {}

    def _name(self, variants: tuple[Phones, ...]) -> str:
        """The decoder's name for a word said in one of these ways (no stress digits)."""
        if variants not in self._names:
            name = f"v{len(self._names)}"
            for i, phones in enumerate(variants):
                alternative = name if i == 0 else f"{name}({i + 1})"
                self._decoder.add_word(alternative, " ".join(phones), False)
            self._names[variants] = name
        return self._names[variants]

    def _run(self, samples: NDArray[np.int16]) -> None:
        self._decoder.start_utt()
        try:
            self._decoder.process_raw(samples.tobytes(), no_search=False, full_utt=True)
        finally:
            self._decoder.end_utt()

    def lay(
        self, samples: NDArray[np.int16], words: list[tuple[Phones, ...]]
    ) -> tuple[LaidWord, ...] | None:
        """Words laid on samples (16 kHz), or None where the sound cannot be these words.

        words : for each word its pronunciations, without stress digits and without repeats.
        """
        if len(samples) < SHORTEST_SAMPLES:
            return None
        names = [self._name(variants) for variants in words]
        self._decoder.set_align_text(" ".join(names))
        self._run(samples)
        if self._decoder.hyp() is None:
            return None
        self._decoder.set_alignment()
        self._run(samples)
        return self._collect(len(words))

    def _collect(self, count: int) -> tuple[LaidWord, ...] | None:
        laid: list[LaidWord] = []
        for entry in self._decoder.get_alignment():  # an entry is gone once the loop moves on
            phones = tuple(LaidPhone(p.name, p.start, p.start + p.duration) for p in entry)
            confidence = math.exp(entry.score / max(entry.duration, 1) / SCORE_SCALE)
            if not entry.name.startswith("v"):
                continue
            number = entry.name.partition("(")[2].rstrip(")")
            laid.append(LaidWord(len(laid), int(number) - 1 if number else 0, phones, confidence))
        return tuple(laid) if len(laid) == count else None


@cache
def _aligner() -> Aligner:
    return Aligner()


def lay_words(
    samples: NDArray[np.float32], words: list[tuple[Phones, ...]]
) -> tuple[LaidWord, ...] | None:
    """Words laid on samples : shape (n,), 16 kHz, full scale 1. See `Aligner.lay`."""
    whole = np.clip(np.round(samples * 32768.0), -32768, 32767).astype(np.int16)
    with _LOCK:
        return _aligner().lay(whole, words)
