"""A stream of blocks of any rate and number of channels, as one channel at the analysis rate.

Every block is mixed and resampled as it comes, so that memory is that of the result; blocks of pure
silence are counted, not kept. Bounded by what the file's bytes can hold: a header, or an hour of
nothing packed into a kilobyte, costs neither memory nor time. Resampling is linear, so that the
mean may be taken before it.

Where the mean would cancel the voice (channels out of phase, or most of them empty), `lost_voice`
names the loudest channel, and the caller gathers that one alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from audio.errors import ClipError

Samples = NDArray[np.float32]

ANALYSIS_RATE_HZ = 16_000  # the acoustic model's rate; speech cues used here lie below 8 kHz
LONGEST_CLIP_S = 3600.0  # one hour; a longer recording is read in parts
CHANNELS_MAX = 64  # what a production recorder's file has at most
SAMPLES_FREE = 100_000_000  # of all channels: half an hour of one at 48 kHz, decoded in a second
SAMPLES_PER_BYTE = 200  # stereo Opus at 6 kbit/s has 128; digital silence has thousands
FULL_SCALE = 0.999  # of the largest sample value, to either side
CLIPPED_RUN = 3  # samples in a row at full scale: flat tops, not a single peak
CANCEL_DB = -9.0  # mix against loudest channel: below it, channels cancel or most are empty


@dataclass(slots=True)
class Gathered:
    """One channel, and what was noticed on the way."""

    rate_hz: int
    mono: Samples
    seen: int = 0  # samples of each channel, at the file's rate
    clipped: int = 0
    powers: list[float] = field(default_factory=list)  # summed squares, a channel each
    mixed_power: float = 0.0
    warnings: list[str] = field(default_factory=list)

    @property
    def channels(self) -> int:
        """How many channels there are."""
        return len(self.powers)

    def lost_voice(self) -> int | None:
        """The loudest channel, from 0, if the mean of all would lose the voice."""
        if self.channels < 2:
            return None
        loudest = int(np.argmax(self.powers))
        kept = self.mixed_power >= self.powers[loudest] * 10.0 ** (CANCEL_DB / 10.0)
        return None if kept else loudest


def samples_max(file_bytes: int) -> int:
    """How many samples, of all channels, are believed of so many bytes."""
    return SAMPLES_FREE + SAMPLES_PER_BYTE * file_bytes


def check_channels(count: int, where: str) -> None:
    """Raises ClipError for more channels than any recording has."""
    if not 0 < count <= CHANNELS_MAX:
        raise ClipError(
            f"its header says {count} channels", where=where,
            mend="export the voice alone, in one or two channels",
        )  # fmt: skip


def gather(
    blocks: Iterable[Samples], rate_hz: int, where: str, *, most: int, longest_s: float,
    channel: int | None = None, to_hz: int | None = ANALYSIS_RATE_HZ,
) -> Gathered:  # fmt: skip
    """One channel of blocks of shape (n, channels): their mean, or the one named, from 0.

    most : samples of all channels after which the sound is refused. to_hz : None keeps the rate.
    Raises ClipError for values that are no numbers, and for too much sound.
    """
    sound = Gathered(rate_hz, np.zeros(0, dtype=np.float32))
    track = _Track(rate_hz, to_hz or rate_hz)
    for block in blocks:
        if not np.isfinite(block).all():
            raise ClipError(
                "holds values that are no numbers", where=where, mend="export the sound again"
            )
        sound.seen += len(block)
        _check_amount(sound, block.shape[1], where, most, longest_s)
        sound.clipped += _flat_tops(block)
        one = _weighed(sound, block)
        track.add(one if channel is None else np.ascontiguousarray(block[:, channel]))
    sound.mono = track.whole()
    return sound


def _check_amount(sound: Gathered, channels: int, where: str, most: int, longest_s: float) -> None:
    if sound.seen > longest_s * sound.rate_hz:
        raise ClipError(
            f"longer than {longest_s / 60:.0f} minutes", where=where, mend="read it in parts"
        )
    if sound.seen * channels > most:
        raise ClipError(
            "unpacks to far more sound than its size can hold", where=where,
            mend="export the sound again, as WAV",
        )  # fmt: skip


def _weighed(sound: Gathered, block: Samples) -> Samples:
    """The mean of a block's channels; what each channel and the mean hold is summed up."""
    if block.shape[1] == 1:
        sound.powers = [0.0]
        return np.ascontiguousarray(block[:, 0], dtype=np.float32)
    mixed: Samples = block.mean(axis=1, dtype=np.float32)
    held = np.square(block, dtype=np.float32).sum(axis=0, dtype=np.float64)
    before = sound.powers or [0.0] * block.shape[1]
    sound.powers = [a + float(b) for a, b in zip(before, held, strict=True)]
    sound.mixed_power += float(np.square(mixed).sum(dtype=np.float64))
    return mixed


def _flat_tops(block: Samples) -> int:
    """Samples that stand in a run at full scale, all channels together."""
    full = np.abs(block) >= FULL_SCALE
    if not full.any():
        return 0
    run = full[2:] & full[1:-1] & full[:-2]
    return int(run.sum()) * (CLIPPED_RUN if run.any() else 1)


class _Track:
    """One channel being put together at the analysis rate; silence is kept as its length."""

    def __init__(self, rate_hz: int, to_hz: int) -> None:
        self._parts: list[Samples | int] = []
        self._resample = None
        if rate_hz != to_hz:
            import soxr

            self._resample = soxr.ResampleStream(rate_hz, to_hz, 1, dtype="float32", quality="HQ")

    def add(self, samples: Samples) -> None:
        self._keep(samples if self._resample is None else self._resample.resample_chunk(samples))

    def _keep(self, samples: Samples) -> None:
        if samples.any():
            self._parts.append(samples)
        elif self._parts and isinstance(self._parts[-1], int):
            self._parts[-1] += len(samples)
        else:
            self._parts.append(len(samples))

    def whole(self) -> Samples:
        """All of it. Nothing but silence comes as so many zeros that no memory is touched."""
        if self._resample is not None and self._parts:
            self._keep(self._resample.resample_chunk(np.zeros(0, dtype=np.float32), last=True))
        total = sum(p if isinstance(p, int) else len(p) for p in self._parts)
        whole = np.zeros(total, dtype=np.float32)
        at = 0
        for place, part in enumerate(self._parts):
            length = part if isinstance(part, int) else len(part)
            if not isinstance(part, int):
                whole[at : at + length] = part
                self._parts[place] = 0
            at += length
        return whole
