"""The acoustic model, held once per process: words and phones laid on samples in two passes.

The decoder is pocketsphinx with the English model of its wheel, without a dictionary of its own:
each word comes with its pronunciations. First pass: which pronunciation of each word, with what
silences between; second pass: the phones inside the words. Frames are 10 ms.
A lock makes it safe to call from several threads (one at a time aligns).
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.alignment.settle import LaidPhone

SHORTEST_SAMPLES = 1600  # 0.1 s at 16 kHz: less holds no frame whose change can be measured
DROP_NOTHING = 1e-300  # beam
# Gaussians of a stream that are scored for a frame. The decoder's standard is 4; with 2 it is a
# quarter quicker, and the boundaries, which are settled afterwards, lie as well (word_edges.py).
GAUSSIANS = 2
_LOCK = threading.Lock()
Phones = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """Phones and silences in order, and which pronunciation of each word was chosen."""

    phones: tuple[LaidPhone, ...]
    variants: tuple[int, ...]


class Aligner:
    """One decoder and the pronunciations it has been told.

    beam : paths this much less likely than the best are dropped in the first pass.
    gaussians : scored of each stream in a frame.
    """

    def __init__(self, beam: float | None = None, gaussians: int = GAUSSIANS) -> None:
        from pocketsphinx import Decoder

        beams = {} if beam is None else {"beam": beam, "wbeam": beam, "pbeam": beam}
        self._decoder: Any = Decoder(
            lm=None, dict=None, bestpath=False, loglevel="FATAL", topn=gaussians, **beams
        )
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

    def lay(self, samples: NDArray[np.int16], words: Sequence[tuple[Phones, ...]]) -> Laid | None:
        """Words laid on samples (16 kHz), or None where the sound cannot be these words.

        words : for each word its pronunciations, without stress digits and without repeats.
        """
        if len(samples) < SHORTEST_SAMPLES or not words:
            return None
        names = [self._name(variants) for variants in words]
        # Its measure of the noise lives on from one sound to the next; each must stand alone.
        self._decoder.reinit_feat()
        self._decoder.set_align_text(" ".join(names))
        self._run(samples)
        if self._decoder.hyp() is None:
            return None
        self._decoder.set_alignment()
        self._run(samples)
        laid = self._collect()
        return laid if len(laid.variants) == len(words) else None

    def _collect(self) -> Laid:
        phones: list[LaidPhone] = []
        variants: list[int] = []
        for entry in self._decoder.get_alignment():  # an entry is gone once the loop moves on
            number = -1
            if entry.name.startswith("v"):
                number = len(variants)
                place = entry.name.partition("(")[2].rstrip(")")
                variants.append(int(place) - 1 if place else 0)
            for phone in entry:
                end = phone.start + phone.duration
                senones = tuple(int(state.name) for state in phone)
                phones.append(LaidPhone(phone.name, phone.start, end, senones, number))
        return Laid(tuple(phones), tuple(variants))


@cache
def _aligner(beam: float | None = None) -> Aligner:
    return Aligner(beam)


def lay_words(samples: NDArray[np.float32], words: Sequence[tuple[Phones, ...]]) -> Laid | None:
    """Words laid on samples : shape (n,), 16 kHz, full scale 1. See `Aligner.lay`.

    Where the usual search loses its way (noise, shouting, wrong words), nothing is dropped.
    """
    whole = np.clip(np.round(samples * 32768.0), -32768, 32767).astype(np.int16)
    with _LOCK:
        for beam in (None, DROP_NOTHING):
            try:
                laid = _aligner(beam).lay(whole, words)
            except RuntimeError:  # it gives up on a sound that cannot be these words
                _aligner.cache_clear()
                continue
            if laid is not None:
                return laid
    return None
