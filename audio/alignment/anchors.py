"""A whole script laid roughly on a whole recording, and where both can be cut in step.

The rough pass runs over all phones of the script at once, in a band that follows the best path, so
time and memory grow with the length alone, and a stretch that went wrong cannot push the rest away.
Between words it may wait: in silence for nothing, in unscripted sound for a price a frame. Frames
are 20 ms here; scores are log ratios to the best phone (audio.alignment.confidence), 0 at best.
Cuts are made in the middle of waits that are silent and long enough, so that no word loses a part.
It does not choose among pronunciations; the aligner does that on each piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.alignment.acoustic_model import SILENCE, AcousticModel, Floats
from audio.alignment.cepstra import FRAME_S, HOP, cepstra, streams
from audio.alignment.confidence import EVERY, phone_fits

STEP_S = FRAME_S * EVERY
BLOCK_S = 30.0  # sound scored at a time; its mean spectrum is taken off, so rooms may change
BAND_PHONES = 3000  # kept around the best path: some four minutes of speech
UNSCRIPTED = -3.5  # nats a frame: between right words (-1.3) and wrong ones (-7), as measured
SHORTEST_PAUSE_S = 0.16  # in which a cut may be made
PIECE_S = 12.0  # cut at the next pause after this
LONGEST_PIECE_S = 25.0  # beyond which a shorter pause, or none, must do
NEVER = -1e9
Ints = NDArray[np.int64]
Phones = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoughWord:
    """First frame of each phone of a word, and the frame past its last (frames of STEP_S)."""

    edges: tuple[int, ...]

    @property
    def start(self) -> int:
        """First frame."""
        return self.edges[0]

    @property
    def end(self) -> int:
        """Past the last frame."""
        return self.edges[-1]


@dataclass(frozen=True, slots=True)
class Piece:
    """Words [first_word, end_word) lie on frames [start, end) of STEP_S."""

    first_word: int
    end_word: int
    start: int
    end: int


def rough_fits(samples: Floats, model: AcousticModel) -> Floats:
    """Log ratio of each phone to the best one, shape (frames of STEP_S, phones)."""
    block = int(BLOCK_S / FRAME_S) * HOP
    parts: list[Floats] = []
    for start in range(0, max(len(samples), 1), block):
        heard = streams(cepstra(samples[start : start + block])[: block // HOP])
        parts.append(phone_fits(heard, model))
    return np.concatenate(parts)


def _positions(words: Sequence[Phones], model: AcousticModel) -> Ints:
    """The book of each position, -1 for a wait: wait, phones of word 0, wait, word 1, ..., wait."""
    books: list[int] = [-1]
    for phones in words:
        books += [*(model.book(phone) for phone in phones), -1]
    return np.array(books)


def _best_path(fits: Floats, waits: Floats, books: Ints) -> Ints:
    """Position at each frame on the best path through all positions, in a band around it."""
    size, frames = len(books), len(fits)
    band = min(size, BAND_PHONES)
    enters = np.zeros(size, dtype=bool)  # positions that a wait before them may be skipped for
    enters[2:] = (books[2:] >= 0) & (books[1:-1] < 0)
    score = np.full(band, NEVER, dtype=np.float32)
    score[:2] = waits[0], fits[0, books[1]]
    offsets = np.zeros(frames, dtype=np.int64)
    moved = np.zeros((frames, (band + 7) // 8), dtype=np.uint8)
    skipped = np.zeros_like(moved)
    low = 0
    for t in range(1, frames):
        middle = low + int(score.argmax())
        latest = size - band  # the end must stay within reach of the frames that are left
        shift = min(max(middle - band // 2, low), latest) - low
        if shift:
            score = np.concatenate([score[shift:], np.full(shift, NEVER, dtype=np.float32)])
            low += shift
        books_here = books[low : low + band]
        one = np.concatenate([[np.float32(NEVER)], score[:-1]])
        two = np.concatenate([np.full(2, NEVER, dtype=np.float32), score[:-2]])
        two[~enters[low : low + band]] = NEVER
        by_skip = two > np.maximum(score, one)
        by_move = one > score
        best = np.maximum(np.maximum(score, one), two)
        score = best + np.where(books_here < 0, waits[t], fits[t, books_here])
        offsets[t] = low
        moved[t] = np.packbits(by_move)
        skipped[t] = np.packbits(by_skip)
    return _trace(score, low, offsets, moved, skipped, size)


def _trace(
    score: Floats, low: int, offsets: Ints, moved: NDArray[np.uint8],
    skipped: NDArray[np.uint8], size: int,
) -> Ints:  # fmt: skip
    """Back along the best path from the last word or the wait after it."""
    ends = [place for place in (size - 1, size - 2) if 0 <= place - low < len(score)]
    place = max(ends, key=lambda p: float(score[p - low]))
    path = np.zeros(len(offsets), dtype=np.int64)
    for t in range(len(offsets) - 1, 0, -1):
        path[t] = place
        byte, bit = divmod(place - int(offsets[t]), 8)
        if byte < 0 or byte >= moved.shape[1]:
            continue
        mask = 0x80 >> bit
        if skipped[t, byte] & mask:
            place -= 2
        elif moved[t, byte] & mask:
            place -= 1
    path[0] = place
    return path


def rough_alignment(
    fits: Floats, words: Sequence[Phones], model: AcousticModel
) -> tuple[RoughWord, ...] | None:
    """Words (phones without digits) laid roughly; None if there are more phones than frames.

    fits : from rough_fits, of the whole sound.
    """
    books = _positions(words, model)
    if len(fits) <= int((books >= 0).sum()) + 1:
        return None
    waits = np.maximum(fits[:, model.book(SILENCE)], UNSCRIPTED)
    path = _best_path(fits, waits, books)
    starts = np.searchsorted(path, np.arange(len(books) + 1)).tolist()
    rough: list[RoughWord] = []
    place = 1
    for phones in words:
        rough.append(RoughWord(tuple(starts[place : place + len(phones) + 1])))
        place += len(phones) + 1
    return tuple(rough)


def cut_pieces(rough: Sequence[RoughWord], frames: int) -> tuple[Piece, ...]:
    """Stretches of words and sound that belong together, cut in pauses; frames of STEP_S."""
    pieces: list[Piece] = []
    first, start = 0, 0
    for i in range(1, len(rough)):
        silent = rough[i].start - rough[i - 1].end
        long_enough = (rough[i].start - start) * STEP_S >= PIECE_S
        too_long = (rough[min(i + 1, len(rough) - 1)].end - start) * STEP_S >= LONGEST_PIECE_S
        if (long_enough and silent * STEP_S >= SHORTEST_PAUSE_S) or (too_long and silent > 0):
            cut = (rough[i].start + rough[i - 1].end) // 2
            pieces.append(Piece(first, i, start, cut))
            first, start = i, cut
    return (*pieces, Piece(first, len(rough), start, frames))
