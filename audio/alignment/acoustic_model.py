"""The sounds of English as the acoustic model knows them: how well a frame fits a state of a phone.

Reads the phonetically tied model in pocketsphinx's wheel: for each of its 42 phones a book of 128
Gaussians in each of three streams (cepstra, change, change of change), and for each state (a
"senone") the weights of these Gaussians. Scores are natural log likelihoods of one frame.
The first 3 * 42 senones are the three states of each phone regardless of its neighbours.
File formats: Sphinx-3 parameter files and sendump, from pocketsphinx's own sources (BSD).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

STATES = 3  # emitting states of a phone
SILENCE = "SIL"
LOG_UNIT = 1024 * np.log(1.0001)  # a step of a stored weight, in nats
LEAST_VARIANCE = 1e-4  # pocketsphinx's own floor
Floats = NDArray[np.float32]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class AcousticModel:
    """phones : names in the model's order. weights : (3, 128, senones).

    gauss : (3, 42, 26, 128) for the squares and the values of a stream; offset : (3, 42, 128).
    stay : (42, 3), the probability to stay in a state for another frame.
    own_weights : (3, 42, 128, 3), of each phone's states regardless of neighbours.
    """

    phones: tuple[str, ...]
    gauss: Floats
    offset: Floats
    weights: Floats
    stay: Floats
    own_weights: Floats

    def book(self, phone: str) -> int:
        """The number of a phone (without its stress digit)."""
        return self.phones.index(phone)

    def score(self, streams: Floats, book: int, senones: Sequence[int] | Ints) -> Floats:
        """Log likelihood of frames in states of one phone, shape (frames, senones).

        streams : shape (3, frames, 13), see audio.alignment.cepstra.
        """
        total = np.zeros((streams.shape[1], len(senones)), dtype=np.float32)
        for number, stream in enumerate(streams):
            fits = np.concatenate([stream * stream, stream], axis=1) @ self.gauss[number, book]
            fits += self.offset[number, book]
            best = fits.max(axis=1, keepdims=True)
            fits -= best
            mixed = np.exp(fits, out=fits) @ self.weights[number][:, senones]
            total += np.log(mixed + np.float32(1e-30)) + best
        return total


def _parameters(path: Path) -> tuple[NDArray[np.int32], Floats]:
    """The dimensions and the numbers of a Sphinx-3 parameter file."""
    data = path.read_bytes()
    start = data.index(b"endhdr\n") + len(b"endhdr\n") + 4  # the byte-order mark follows
    head = np.frombuffer(data, "<i4", count=12, offset=start)
    if path.name == "transition_matrices":
        return head[:4], np.frombuffer(data, "<f4", count=int(head[3]), offset=start + 16)
    count, offset = int(head[3 + head[1]]), start + 4 * (4 + int(head[1]))
    return head[:4], np.frombuffer(data, "<f4", count=count, offset=offset)


def _weights(path: Path) -> Floats:
    """Weights of the Gaussians in each senone, shape (3, 128, senones)."""
    data = path.read_bytes()
    position, skipped = 0, 0
    while True:  # strings with their length before them, an empty one ends the header
        size = int.from_bytes(data[position : position + 4], "little")
        position += 4 + size
        skipped += 1
        if size == 0 and skipped > 2:
            break
    rows, columns = np.frombuffer(data, "<i4", count=2, offset=position)
    stored = np.frombuffer(data, np.uint8, offset=position + 8).reshape(-1, int(rows), int(columns))
    return np.asarray(np.exp(np.arange(256) * -LOG_UNIT), dtype=np.float32)[stored]


def _phones(path: Path) -> tuple[str, ...]:
    """Names of the phones, from the model's definition file."""
    data = path.read_bytes()
    start = 12 + int.from_bytes(data[8:12], "little")
    count = int.from_bytes(data[start : start + 4], "little")
    return tuple(
        name.decode() for name in data[start + 40 : start + 40 + 8 * count].split(b"\0")[:count]
    )


@cache
def english_model() -> AcousticModel:
    """The model, read once per process (about 20 ms, 25 MB)."""
    from pocketsphinx import get_model_path

    folder = Path(get_model_path("en-us/en-us"))
    (books, count, size, width), means = _parameters(folder / "means")
    shape = (int(books), int(count), int(size), int(width))
    mean = means.reshape(shape).transpose(1, 0, 3, 2)
    spread = _parameters(folder / "variances")[1].reshape(shape).transpose(1, 0, 3, 2)
    spread = np.maximum(spread, LEAST_VARIANCE)
    offset = -0.5 * (np.square(mean) / spread + np.log(2 * np.pi * spread)).sum(axis=2)
    head, moves = _parameters(folder / "transition_matrices")
    matrices = moves.reshape(int(head[0]), int(head[1]), int(head[2]))
    stay = np.diagonal(matrices[:, :, :STATES], axis1=1, axis2=2) / matrices.sum(axis=2)
    weights = _weights(folder / "sendump")
    own = weights[:, :, : STATES * shape[0]].reshape(shape[1], shape[2], shape[0], STATES)
    return AcousticModel(
        phones=_phones(folder / "mdef"),
        gauss=np.ascontiguousarray(np.concatenate([-0.5 / spread, mean / spread], axis=2)),
        offset=offset,
        weights=weights,
        stay=stay.astype(np.float32),
        own_weights=np.ascontiguousarray(own.transpose(0, 2, 1, 3)),
    )
